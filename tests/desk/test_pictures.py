"""The answer in pictures, as an adviser meets it in a browser."""

from __future__ import annotations

from pathlib import Path

import pytest
from access import faults_of_access
from playwright.sync_api import Locator, Page, expect

LONG_MS = 180_000
KINDS = ("choices", "one", "day", "flips", "map", "futures")


@pytest.fixture
def case(page: Page) -> str:
    """The address of a small case, on a long step so that it is answered soon."""
    page.fill("[name=client]", "Pia Picture")
    page.fill("[name='place.postcode']", "2480")
    page.select_option("[name='heater.kind']", "gas_storage")
    page.fill("[name='electricity.arrays[1].kw']", "5")
    page.click("text=Start the case")
    page.wait_for_url("**/cases/*")
    type_in(page, "simulation.step_min", "60")
    return page.url


def type_in(page: Page, path: str, text: str) -> None:
    field = page.locator(f"[name='{path}']")
    field.evaluate(
        "e => { for (let n = e; n; n = n.parentElement) if ('open' in n) n.open = true }"
    )
    with page.expect_response("**/save"):
        if field.evaluate("element => element.tagName") == "SELECT":
            field.select_option(text)
        else:
            field.fill(text)


def part(page: Page, kind: str) -> Locator:
    return page.locator(f"#b-{kind}")


def shown(page: Page, kind: str) -> Locator:
    """The pictures of a kind once they are of the case as it is."""
    found = part(page, kind).locator(".now")
    found.first.wait_for(timeout=LONG_MS)
    return found


def draw(page: Page, kind: str) -> Locator:
    page.locator(f"#act-{kind}").click()
    return shown(page, kind)


def open_pictures(page: Page, case: str) -> None:
    page.goto(case)
    page.click("a:text-is('Pictures')")
    for kind in ("choices", "one", "day"):
        shown(page, kind)


def letters_px(drawing: Locator) -> float:
    """Height of the smallest letters of a drawing on the screen."""
    height: float = drawing.evaluate(
        """e => e.getScreenCTM().a * Math.min(...[...e.querySelectorAll("text")]
               .map(word => parseFloat(getComputedStyle(word).fontSize)))"""
    )
    return height


def test_every_picture_is_drawn_with_a_table_behind_it_and_opens_at_once_again(
    page: Page, case: str, tmp_path: Path
) -> None:
    open_pictures(page, case)
    for kind in ("flips", "map", "futures"):
        draw(page, kind)
    expect(page.locator("#pictures-said")).to_contain_text("In other futures: ready.")
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.reload()
    for kind in KINDS:
        expect(part(page, kind).locator(".now svg.drawn:visible").first).to_be_visible()
    assert len(asked) >= 5
    assert sum(len(page.request.get(url).body()) for url in asked) < 1_000_000
    for figure in page.locator("figure.picture").all():
        svg = figure.locator("svg.drawn:visible")
        expect(svg).to_have_count(1)
        expect(svg).to_have_accessible_name(figure.locator("h3").text_content() or "")
        table = figure.locator("details table").first
        expect(table).to_be_hidden()
        figure.locator("summary").first.focus()
        page.keyboard.press("Enter")
        expect(table).to_be_visible()
        assert table.locator("tbody tr").count() >= 1
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
        assert faults_of_access(page) == []
        page.screenshot(path=tmp_path / f"{scheme}.png", full_page=True)
    for width, height in ((820, 1180), (1180, 820), (390, 844)):
        page.set_viewport_size({"width": width, "height": height})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        for svg in page.locator("svg.drawn:visible").all():
            assert letters_px(svg) >= 10.0
            assert svg.evaluate("e => e.clientWidth") <= width


def test_the_pointer_is_moved_by_keys_mouse_and_finger_and_reads_out(page: Page, case: str) -> None:
    open_pictures(page, case)
    draw(page, "map")
    plane, said = page.locator(".plane"), page.locator("#p-map .voice")
    expect(said).to_contain_text("Today. ")
    today = said.text_content()
    expect(said).not_to_have_attribute("aria-live", "polite")  # silent until one is on the map
    plane.focus()
    expect(said).to_have_attribute("aria-live", "polite")
    page.keyboard.press("ArrowRight")
    expect(said).not_to_have_text(today or "")
    page.keyboard.press("ArrowLeft")
    expect(said).to_have_text(today or "")
    for key in ("Home", "Escape"):
        page.keyboard.press("Shift+ArrowUp")
        expect(said).not_to_have_text(today or "")
        page.keyboard.press(key)
        expect(said).to_have_text(today or "")
    for _ in range(8):
        page.keyboard.press("Shift+ArrowLeft")
        page.keyboard.press("Shift+ArrowDown")
    corner = said.text_content() or ""
    pointer = plane.evaluate("e => JSON.parse(e.dataset.pointer)")
    expect(said).to_contain_text(f"{pointer['x']['label']}: {pointer['x']['values'][0]}.")
    expect(said).to_contain_text(f"{pointer['y']['label']}: {pointer['y']['values'][0]}.")
    expect(said).to_contain_text(pointer["names"][pointer["winner"][0][0]])
    corner = said.text_content() or ""
    page.mouse.move(*spot(page, 0.9, 0.9))
    expect(said).not_to_have_text(corner)
    page.mouse.click(*spot(page, 0.002, 0.002))
    expect(said).to_have_text(corner)
    page.set_viewport_size({"width": 390, "height": 844})
    page.mouse.move(*spot(page, 0.998, 0.998))
    expect(said).to_contain_text(f"{pointer['x']['label']}: {pointer['x']['values'][-1]}.")
    expect(said).to_contain_text(f"{pointer['y']['label']}: {pointer['y']['values'][-1]}.")
    plane.focus()
    page.keyboard.press("Tab")
    expect(page.locator("#p-map summary")).to_be_focused()


def spot(page: Page, along: float, up: float) -> tuple[float, float]:
    """A place on the map's plane, by shares of its width and height, on the screen."""
    plane = page.locator(".plane")
    drawing = plane.locator("svg.drawn:visible")
    drawing.scroll_into_view_if_needed()
    is_narrow = drawing.evaluate("e => Boolean(e.closest('.slim'))")
    left, top, width, height = plane.evaluate("e => JSON.parse(e.dataset.pointer)")["planes"][
        int(is_narrow)
    ]
    x, y = drawing.evaluate(
        "(e, [x, y]) => { const p = new DOMPoint(x, y).matrixTransform(e.getScreenCTM()); "
        "return [p.x, p.y] }",
        [left + along * width, top + (1.0 - up) * height],
    )
    return x, y


def test_a_finger_drawn_up_the_map_reads_out_and_does_not_scroll_the_page(
    page: Page, case: str
) -> None:
    """By touch events of the browser itself, so that what it takes for scrolling counts."""
    open_pictures(page, case)
    draw(page, "map")
    pointer = page.locator(".plane").evaluate("e => JSON.parse(e.dataset.pointer)")
    start, end = spot(page, 0.3, 0.1), spot(page, 0.7, 0.998)
    before = page.evaluate("scrollY")
    touch = page.context.new_cdp_session(page)
    steps = [tuple(a + (b - a) * i / 8 for a, b in zip(start, end, strict=True)) for i in range(9)]
    for i, (x, y) in enumerate(steps):
        kind = "touchStart" if i == 0 else "touchMove"
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y}]})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    read = page.locator("#p-map .readout")
    expect(read).to_contain_text(f"{pointer['y']['label']}: {pointer['y']['values'][-1]}.")
    assert page.evaluate("scrollY") == before


def test_letters_of_pictures_grow_with_the_text_of_the_page(page: Page, case: str) -> None:
    """As far as the page is wide: text of twice the size turns the wide drawing into the narrow."""
    open_pictures(page, case)
    page.set_viewport_size({"width": 820, "height": 1180})
    drawing = page.locator("#p-waterfall svg.drawn:visible")
    before = letters_px(drawing)
    page.evaluate("document.documentElement.style.setProperty('font-size', '200%')")
    expect(page.locator("#p-waterfall .slim")).to_be_visible()
    assert letters_px(drawing) >= 1.6 * before
    assert page.evaluate("document.documentElement.scrollWidth") <= 820


def test_any_day_and_any_option_can_be_chosen_by_keyboard(page: Page, case: str) -> None:
    open_pictures(page, case)
    before = part(page, "day").locator("h3").first.text_content() or ""
    page.locator("text=Day after").focus()
    page.keyboard.press("Enter")
    expect(part(page, "day").locator("h3").first).not_to_have_text(before, timeout=LONG_MS)
    expect(page.locator("text=Day after")).to_be_focused()
    page.locator("#c-day-date").fill(page.locator("#c-day-date").input_value()[:4] + "-10-03")
    expect(part(page, "day").locator("h3").first).to_contain_text("3 October", timeout=LONG_MS)
    page.locator("#c-one-option").focus()
    page.keyboard.press("ArrowDown")
    label = page.locator("#c-one-option option").nth(1).text_content() or ""
    name = label.partition(". ")[2]
    expect(part(page, "one").locator("figcaption").first).to_contain_text(name, timeout=LONG_MS)
    page.locator("#c-day-date").fill("2031-05-05")
    fault = part(page, "day").locator(".trouble")
    expect(fault).to_contain_text("Day: Not in the simulated year", timeout=LONG_MS)
    page.locator("#c-day-date").fill(page.locator("#c-day-date").get_attribute("max") or "")
    expect(part(page, "day").locator("h3").first).to_contain_text("31 December", timeout=LONG_MS)
    page.click("text=Day after")
    expect(part(page, "day").locator("h3").first).to_contain_text("1 January", timeout=LONG_MS)
    page.locator("#c-day-date").fill(page.locator("#c-day-date").input_value()[:4] + "-10-03")
    expect(part(page, "day").locator("h3").first).to_contain_text("3 October", timeout=LONG_MS)
    page.reload()
    expect(part(page, "day").locator("h3").first).to_contain_text("3 October")
    expect(part(page, "one").locator("figcaption").first).to_contain_text(name)


def test_long_work_can_be_called_off(page: Page, case: str) -> None:
    open_pictures(page, case)
    button = page.locator("#act-futures")
    button.focus()
    page.keyboard.press("Enter")
    expect(button).to_contain_text("Call it off")
    expect(button).to_be_focused()
    expect(part(page, "futures").locator("progress")).to_be_visible()
    page.keyboard.press("Enter")
    expect(button).to_contain_text("Draw it")
    expect(button).to_be_focused()
    expect(part(page, "futures").locator("progress")).to_have_count(0)
    draw(page, "flips")  # the process that was called off works on


def test_pictures_of_an_earlier_state_are_marked_and_come_back_with_it(
    page: Page, case: str
) -> None:
    open_pictures(page, case)
    draw(page, "flips")
    page.goto(case)
    type_in(page, "people.count", "5")
    page.goto(f"{case}/pictures")
    expect(part(page, "flips")).to_contain_text("Of an earlier state of the case")
    expect(part(page, "flips").locator("svg.drawn:visible")).to_be_visible()
    shown(page, "choices")
    expect(part(page, "flips").locator(".step")).to_contain_text("Of an earlier state")
    page.goto(case)
    type_in(page, "people.count", "nobody")
    page.goto(f"{case}/pictures")
    expect(page.locator(".notice")).to_contain_text("1 thing has to be mended")
    expect(page.locator("#act-flips")).to_have_count(0)
    page.goto(case)
    type_in(page, "people.count", "")
    page.goto(f"{case}/pictures")
    expect(part(page, "flips").locator(".now svg.drawn:visible")).to_be_visible()


def test_a_choice_that_cannot_be_drawn_is_met_in_words(page: Page, case: str) -> None:
    open_pictures(page, case)
    page.select_option("#c-map-y", page.locator("#c-map-x").input_value())
    fault = part(page, "map").locator(".trouble")
    expect(fault).to_contain_text("Up: Is the same as “Along”", timeout=LONG_MS)
    page.select_option("#c-map-y", "usage")
    page.locator("#c-one-option option").last.evaluate("e => e.value = 'gone'")
    page.locator("#c-one-option").select_option("gone")
    gone = part(page, "one").locator(".trouble")
    expect(gone).to_contain_text(
        "No such option in this answer. Open this page again", timeout=LONG_MS
    )
    shown(page, "map")
    expect(fault).to_have_count(0)


def test_an_unknown_picture_is_not_found(page: Page, case: str) -> None:
    reply = page.request.get(f"{case}/pictures/nothing", headers={"HX-Request": "true"})
    assert reply.status == 404
