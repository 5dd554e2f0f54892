"use strict";
// What the server cannot do: tell assistive tools which inputs are at fault, and keep trying to
// save what was typed while the desk does not answer.

const RETRY_MS = 2000;
const UNSAVED = "[data-unsaved], [data-stuck]";

function markFaults() {
  for (const slot of document.querySelectorAll(".fault[data-for]")) {
    const input = document.getElementById(slot.dataset.for);
    if (!input) continue;
    if (slot.textContent.trim()) input.setAttribute("aria-invalid", "true");
    else input.removeAttribute("aria-invalid");
  }
}

function say(words) {
  const place = document.getElementById("saved");
  if (place) place.textContent = words;
}

function isField(element) {
  return element.matches("input[name], select[name], textarea[name]") && element.closest("#form");
}

// The state of the work, which stands outside of the form. One that was chosen is not replaced by
// what another chose, until the desk has kept it or one has decided.
function isState(element) {
  return element.id === "state";
}
document.addEventListener("htmx:beforeSwap", (event) => {
  const asker = event.detail.requestConfig?.elt;
  if (event.detail.xhr.status !== 200 || !asker?.closest("#state, #state-moved")) return;
  const state = document.getElementById("state");
  delete state.dataset.dirty;
  delete state.dataset.unsaved;
});

document.addEventListener("htmx:afterSettle", markFaults);
document.addEventListener("htmx:oobAfterSwap", markFaults);

// Each field knows the number of the change up to which it shows what is stored, so that a save
// of it is told from what another window saved since. A field that one is typing into is never
// replaced; its next save then meets the other window's, and the desk asks.
function decided(button) {
  const slot = button.closest(".fault[data-for]");
  return slot && document.getElementById(slot.dataset.for);
}
// What one decided takes the place of what is typed once the desk has done so, and only where
// nothing was typed since one asked for it.
document.addEventListener("htmx:beforeSwap", (event) => {
  const asker = event.detail.requestConfig?.elt;
  const field = event.detail.xhr.status === 200 && asker && decided(asker);
  if (!field || field.value !== field.dataset.decided) return;
  for (const mark of ["dirty", "unsaved", "stuck", "decided"]) delete field.dataset[mark];
});
document.addEventListener("input", (event) => {
  if (isField(event.target)) event.target.dataset.dirty = "yes";
});
// Enter goes to the next field that shows; Tab also stops at what there is to say of each.
document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || event.isComposing || !isField(event.target)) return;
  if (event.target.matches("select, textarea")) return; // it opens the choices, or ends a line
  event.preventDefault();
  const fields = [...document.querySelectorAll("#form input, #form select")].filter(
    (field) => isField(field) && field.checkVisibility(),
  );
  fields[fields.indexOf(event.target) + 1]?.focus();
});
document.addEventListener("htmx:oobBeforeSwap", (event) => {
  const place = event.detail.target;
  const typing = place.matches(".list") && place.contains(document.activeElement);
  const kept = `[data-dirty], ${UNSAVED}`;
  if (typing || place.matches(kept) || place.querySelector(kept)) {
    event.detail.shouldSwap = false;
  }
});
document.addEventListener("htmx:configRequest", (event) => {
  const field = event.target;
  if (!isField(field)) return;
  const leaving = event.detail.triggeringEvent?.type === "change";
  if (leaving && field.value === field.dataset.sent) {
    event.preventDefault(); // already on its way as typed
    return;
  }
  event.detail.parameters.set("seen", field.dataset.seen);
  field.dataset.sent = field.value;
});

document.addEventListener("htmx:beforeRequest", (event) => {
  if (isState(event.target)) event.target.dataset.dirty = "yes";
  if (isField(event.target)) say("Saving…");
  else if (event.detail.target?.querySelector(UNSAVED)) {
    event.preventDefault(); // its answer would take the place of what was typed
    say("Not done: first, what you typed has to be saved.");
    return;
  }
  const field = decided(event.target);
  if (field) field.dataset.decided = field.value;
});

const SESSION_OVER = "Your session is over. Come in again in another tab, and this page goes on.";
const TRYING = "What you typed stays here; trying again.";
function unsaved(event, why = "the desk does not answer.") {
  const field = decided(event.target) || event.target;
  if (!isField(field) && !isState(field)) return;
  field.dataset.unsaved = "yes";
  say(`Not saved: ${why} ${TRYING}`);
}
document.addEventListener("htmx:sendError", (event) => unsaved(event));
document.addEventListener("htmx:timeout", (event) => unsaved(event));
document.addEventListener("htmx:responseError", (event) => {
  const status = event.detail.xhr.status;
  if (status === 401) unsaved(event, "your session is over. Come in again in another tab.");
  else if (status === 503) unsaved(event, "the desk's records do not answer.");
  else if (status === 429 || status >= 500) unsaved(event);
  else if (status === 409 && event.target.matches("textarea")) {
    event.target.dataset.stuck = "yes"; // long to type again: leaving the page asks first
  } else if (status !== 409 && isField(event.target)) {
    say("Not saved. What you typed stays here.");
    event.target.dataset.stuck = "yes";
    delete event.target.dataset.unsaved;
  }
});
document.addEventListener("htmx:afterRequest", (event) => {
  if (!event.detail.successful || event.target.matches("[data-news]")) return;
  document.getElementById("trouble").replaceChildren();
  const field = decided(event.target) || event.target;
  if (isState(field)) delete field.dataset.unsaved;
  if (!isField(field)) return;
  delete field.dataset.unsaved;
  delete field.dataset.stuck;
  field.dataset.seen = document.getElementById("seen").value;
  if (field.value === field.dataset.sent) delete field.dataset.dirty;
});

// Progress that cannot be asked for says so, and goes on asking.
for (const fault of ["htmx:sendError", "htmx:timeout"]) {
  document.addEventListener(fault, (event) => {
    const words = event.target.querySelector?.("[data-far]");
    if (words) words.textContent = "The desk does not answer; asking again…";
  });
}
document.addEventListener("htmx:beforeSwap", (event) => {
  if (event.detail.xhr.status !== 401) return;
  event.detail.shouldSwap = false;
  document.getElementById("trouble").textContent = SESSION_OVER;
});

setInterval(() => {
  if (document.querySelector("#case .htmx-request, #form .htmx-request")) return; // one try at a time
  for (const field of document.querySelectorAll("[data-unsaved]")) htmx.trigger(field, "retry");
}, RETRY_MS);

window.addEventListener("beforeunload", (event) => {
  if (document.querySelector(UNSAVED)) event.preventDefault();
});

document.addEventListener("htmx:xhr:progress", (event) => {
  const bar = event.target.querySelector("progress");
  if (bar && event.detail.lengthComputable) {
    bar.hidden = false;
    bar.value = event.detail.loaded / event.detail.total;
  }
});

// A link to a field that is folded away opens what it lies in.
function unfold() {
  const target = location.hash && document.getElementById(location.hash.slice(1));
  for (let node = target; node; node = node.parentElement) {
    if (node.tagName === "DETAILS") node.open = true;
  }
  if (target && target.matches("input, select")) target.focus();
}
window.addEventListener("hashchange", unfold);
document.addEventListener("DOMContentLoaded", unfold);

// The answer renews after each change. What is under way for an earlier state is called off; the
// quick answer is shown as soon as it is there and says that the whole one follows. Until then
// what stands there says that it is out of date.
const ASK_AGAIN_MS = 1500;
const SIGN_IN_MS = 15000;
let asking = null;

function answerStep(words, kind) {
  const step = document.querySelector("#answer-body .step");
  if (!step) return;
  step.className = `step ${kind}`;
  step.textContent = words;
}

function putAnswer(body, html) {
  const open = [...body.querySelectorAll("details[open]")].map((part) => part.id);
  const inside = document.activeElement?.closest("#answer-body details")?.id;
  body.innerHTML = html;
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
  if (inside) document.querySelector(`#${inside} > summary`)?.focus({ preventScroll: true });
}

// What is to mend as of this answer, also what only answering finds, goes to its fields.
function putFaults(told) {
  if (!told) return;
  for (const slot of document.querySelectorAll("#form .fault[data-for]:not(.conflict)")) {
    const now = told.getElementById(slot.id)?.innerHTML ?? "";
    if (slot.innerHTML !== now) slot.innerHTML = now;
  }
  const list = document.getElementById("to-mend");
  const now = told.getElementById("to-mend");
  if (list.textContent !== now.textContent) {
    now.querySelector("details")?.toggleAttribute("open", Boolean(list.querySelector("[open]")));
    list.replaceChildren(...now.childNodes);
  }
  markFaults();
}

function sayAnswer(body) {
  const said = document.getElementById("answer-said");
  const words = [...body.querySelectorAll("[data-say]")].map((part) => part.textContent.trim());
  said.textContent = words.join(" ");
}

async function renewAnswer(whole) {
  const panel = document.getElementById("answer");
  const body = document.getElementById("answer-body");
  if (!panel) return;
  if (asking) asking.abort();
  const mine = (asking = new AbortController());
  body.setAttribute("aria-busy", "true");
  if (!whole && body.querySelector(".best")) answerStep("Out of date: computing anew…", "");
  let next = null;
  try {
    const reply = await fetch(panel.dataset.url + (whole ? "?whole=1" : ""), {
      headers: { "HX-Request": "true" },
      signal: mine.signal,
    });
    if (reply.status === 401) {
      answerStep(SESSION_OVER, "stopped");
      setTimeout(() => mine === asking && renewAnswer(whole), SIGN_IN_MS);
      return;
    }
    putAnswer(body, await reply.text());
    putFaults(body.querySelector("template[data-beside]")?.content);
    next = body.querySelector("[data-next]")?.dataset.next;
  } catch {
    if (mine.signal.aborted) return;
    answerStep("The desk does not answer; asking again.", "stopped");
    setTimeout(() => mine === asking && renewAnswer(whole), ASK_AGAIN_MS);
    return;
  }
  if (next) renewAnswer(next === "whole");
  else {
    body.removeAttribute("aria-busy");
    sayAnswer(body);
  }
}
document.addEventListener("case-changed", () => renewAnswer(false));
document.addEventListener("DOMContentLoaded", () => renewAnswer(false));
