"use strict";
// The pointer on the decision map: moved by mouse, finger or arrow keys, it reads out what the
// server put beside the map. And buttons that turn the day on.

const SVG = "http://www.w3.org/2000/svg";
const SPEAK_MS = 250;
const LEAP = 10;

function made(name, parent, attributes) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  return parent.appendChild(element);
}

function crosshair(drawing, [left, top, width, height]) {
  const group = made("g", drawing, { class: "crosshair" });
  const drawn = ["halo", "mark"].map((name) => ({
    across: made("line", group, { x1: left, x2: left + width, class: name }),
    upright: made("line", group, { y1: top, y2: top + height, class: name }),
    ring: made("circle", group, { r: 7, class: name }),
  }));
  return (x, y) => {
    for (const { across, upright, ring } of drawn) {
      for (const name of ["y1", "y2"]) across.setAttribute(name, y);
      for (const name of ["x1", "x2"]) upright.setAttribute(name, x);
      ring.setAttribute("cx", x);
      ring.setAttribute("cy", y);
    }
  };
}

function wording(map, column, row) {
  const winner = map.winner[row][column];
  const margin = map.margin[row][column];
  const isToday = column === map.x.today && row === map.y.today && map.x.exact && map.y.exact;
  const values = `${map.x.label}: ${map.x.values[column]}. ${map.y.label}: ${map.y.values[row]}.`;
  const place = isToday ? `Today. ${values}` : values;
  const best = `Cheapest: ${map.letters[winner]}, ${map.names[winner]}.`;
  if (margin === null) return `${place} ${best} No other is usable.`;
  const money = `${map.before}${margin.toLocaleString("en")}${map.after}`;
  const next = map.names[map.next[row][column]];
  const tie = map.tie[row][column] ? " That is too little to tell them apart." : "";
  return `${place} ${best} Next, ${money} dearer: ${next}.${tie}`;
}

function within(value, count) {
  return Math.min(Math.max(value, 0), count - 1);
}

// The number of the share that is nearest to one; shares rise.
function nearest(shares, share) {
  let found = 0;
  shares.forEach((at, i) => { if (Math.abs(at - share) < Math.abs(shares[found] - share)) found = i; });
  return found;
}

function readyPointer(plane) {
  const map = JSON.parse(plane.dataset.pointer);
  const drawings = [...plane.querySelectorAll("svg.drawn")]; // a wide and a narrow one
  const places = drawings.map((drawing, i) => crosshair(drawing, map.planes[i]));
  const readout = plane.parentElement.querySelector(".readout");
  const voice = plane.parentElement.querySelector(".voice");
  const columns = map.x.values.length;
  const rows = map.y.values.length;
  let column, row, speaking;

  function move(toColumn, toRow, speakAfter = SPEAK_MS) {
    const next = [within(toColumn, columns), within(toRow, rows)];
    if (next[0] === column && next[1] === row) return;
    [column, row] = next;
    places.forEach((place, i) => {
      const [left, top, width, height] = map.planes[i];
      place(left + width * map.x.at[column], top + height * (1 - map.y.at[row]));
    });
    const words = wording(map, column, row);
    readout.textContent = words;
    clearTimeout(speaking);
    speaking = setTimeout(() => { voice.textContent = words; }, speakAfter);
  }

  function follow(event) {
    const shown = drawings.findIndex((drawing) => drawing.getClientRects().length);
    const [left, top, width, height] = map.planes[shown];
    const spot = new DOMPoint(event.clientX, event.clientY);
    const at = spot.matrixTransform(drawings[shown].getScreenCTM().inverse());
    const x = (at.x - left) / width;
    const y = (top + height - at.y) / height;
    if (event.type === "pointermove" && (x < 0 || x > 1 || y < 0 || y > 1)) return;
    move(nearest(map.x.at, x), nearest(map.y.at, y));
  }

  function press(event) {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const far = event.shiftKey ? LEAP : 1;
    const steps = { ArrowLeft: [-far, 0], ArrowRight: [far, 0], ArrowUp: [0, far], ArrowDown: [0, -far] };
    if (event.key === "Home" || event.key === "Escape") move(map.x.today, map.y.today);
    else if (steps[event.key]) move(column + steps[event.key][0], row + steps[event.key][1]);
    else return;
    event.preventDefault();
  }

  // Read out to those who are on the map with the keyboard, and to nobody else.
  plane.addEventListener("focus", () => voice.setAttribute("aria-live", "polite"));
  plane.addEventListener("blur", () => voice.removeAttribute("aria-live"));
  plane.addEventListener("pointermove", follow);
  plane.addEventListener("pointerdown", follow);
  plane.addEventListener("keydown", press);
  plane.dataset.ready = "yes";
  move(map.x.today, map.y.today, 0);
}

function readyPointers() {
  document.querySelectorAll("[data-pointer]:not([data-ready])").forEach(readyPointer);
}
document.addEventListener("DOMContentLoaded", readyPointers);
document.addEventListener("htmx:afterSettle", readyPointers);

// A day on or back; the year is round.
function turn(input, step) {
  const before = input.value;
  input.stepUp(step);
  if (input.value === before) input.value = step > 0 ? input.min : input.max;
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-of]");
  if (!button) return;
  const input = document.getElementById(button.dataset.of);
  if (button.dataset.set) input.value = button.dataset.set;
  else turn(input, Number(button.dataset.step));
  input.dispatchEvent(new Event("change", { bubbles: true }));
});
