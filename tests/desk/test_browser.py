"""The desk as an adviser meets it: a browser does the job on a running desk."""

from __future__ import annotations

import signal
from typing import Any

import pytest
from access import faults_of_access
from hands import PEOPLE, forgive, new_case, saved, type_in
from playwright.sync_api import Page, Route, expect

SCRIPT = "<img src=x onerror=alert(1)>"


def test_an_adviser_adds_a_client_and_what_is_typed_is_saved(page: Page) -> None:
    url = new_case(page, SCRIPT)
    type_in(page, PEOPLE, "four")
    saved(page, "1 to mend")
    expect(page.locator("#f-people-count-fault")).to_contain_text("Not a whole number")
    expect(page.locator(PEOPLE)).to_have_attribute("aria-invalid", "true")
    type_in(page, PEOPLE, "4")
    saved(page)
    expect(page.locator("#f-people-count-fault")).to_be_empty()
    page.goto(url)
    expect(page.locator(PEOPLE)).to_have_value("4")
    page.click("text=Clients")
    page.fill("[name=q]", "nobody")
    expect(page.locator("#list")).to_contain_text("No client fits")
    page.fill("[name=q]", "IMG onerror")
    expect(page.locator("#list th a")).to_have_text(SCRIPT)


def test_rows_are_added_removed_and_brought_back(page: Page) -> None:
    new_case(page)
    page.click("text=Add quote")
    family = page.locator("[name='quotes[1].family']")
    expect(family).to_be_focused()
    with page.expect_response("**/save"):
        family.select_option("heat_pump")
    type_in(page, "[name='quotes[1].installed_price']", "4200")
    page.click("text=Remove quote 1")
    expect(family).to_have_count(0)
    page.click("button:text-is('Undo')")
    expect(page.locator("[name='quotes[1].installed_price']")).to_have_value("4200")
    page.click("button:text-is('Redo')")
    expect(family).to_have_count(0)


def test_the_answer_renews_as_one_types_first_provisional_then_whole(page: Page) -> None:
    new_case(page)
    step = page.locator("#answer-body .step")
    expect(step).to_contain_text("Provisional", timeout=60_000)
    expect(page.locator("#answer-body")).to_have_attribute("aria-busy", "true")
    best = page.locator("#answer-body .best")
    expect(best).to_be_visible()
    before = page.locator(".ranking").inner_text()
    type_in(page, "[name='wishes.horizon_years']", "7")
    expect(page.locator(".ranking thead")).to_contain_text("7 years", timeout=60_000)
    assert page.locator(".ranking").inner_text() != before
    expect(step).to_contain_text("The whole search is through", timeout=120_000)
    expect(page.locator("#answer-body")).not_to_have_attribute("aria-busy", "true")
    type_in(page, PEOPLE, "many")
    expect(step).to_contain_text("Waits until 1 thing is mended")
    expect(page.locator(".old .best")).to_be_visible()
    type_in(page, PEOPLE, "5")
    expect(step).to_contain_text("Provisional", timeout=60_000)
    assert faults_of_access(page) == []


def test_what_is_out_of_date_says_so_while_it_is_computed_anew(page: Page) -> None:
    new_case(page)
    body = page.locator("#answer-body")
    step = body.locator(".step")
    page.evaluate("location.hash = 'f-wishes-tie-margin'")
    type_in(page, "[name='wishes.tie_margin']", "0")
    expect(step).to_contain_text("The whole search is through", timeout=120_000)
    expect(page.locator("#answer-said")).to_contain_text("Best: ")
    expect(body.locator(".best + p")).to_contain_text("ahead of the next")
    assert body.locator("h3:text-is('Why') + ul li").count() >= 3
    page.click("#a-rest summary")
    held: list[Route] = []
    page.route("**/answer", lambda route: held.append(route))
    with page.expect_request("**/answer"):
        type_in(page, "[name='wishes.horizon_years']", "9")
    expect(step).to_have_text("Out of date: computing anew…")
    expect(body).to_have_attribute("aria-busy", "true")
    page.locator("#a-rest summary").focus()
    page.unroute("**/answer")  # and lets go what it held
    expect(step).to_contain_text("The whole search is through", timeout=120_000)
    expect(body.locator(".changed")).to_contain_text("Before, ")
    expect(page.locator("#a-rest")).to_have_attribute("open", "")
    expect(page.locator("#a-rest summary")).to_be_focused()


def test_a_desk_that_is_stopped_while_it_computes_says_nothing_and_frees_its_records(
    mortal_page: Page, mortal: Any
) -> None:
    new_case(mortal_page)
    type_in(mortal_page, PEOPLE, "4")
    mortal.process.send_signal(signal.SIGINT)
    assert mortal.process.wait(20) == 0
    assert len(mortal.log.splitlines()) == 1, mortal.log
    mortal_page.goto("about:blank")
    mortal.start()
    forgive(mortal_page, "ERR_", "htmx:")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pages_pass_the_accessibility_scan_in_light_and_dark(page: Page, scheme: Any) -> None:
    page.emulate_media(color_scheme=scheme)
    assert faults_of_access(page) == []
    url = new_case(page)
    type_in(page, PEOPLE, "four")
    saved(page)
    page.click("text=Add quote")
    page.locator("[name='quotes[1].family']").wait_for()
    for part in page.locator("details").all():
        part.evaluate("element => { element.open = true; }")
    assert faults_of_access(page) == []
    page.goto(f"{url}/history")
    assert faults_of_access(page) == []
    page.click("text=Ada Example")
    assert faults_of_access(page) == []
    page.click("text=Clients")
    page.click("text=Your name on reports")
    assert faults_of_access(page) == []


def test_the_state_of_the_work_is_saved_as_it_is_chosen(page: Page) -> None:
    url = new_case(page)
    page.locator("[name=state]").select_option("report_sent")
    saved(page, "Saved: Report sent.")
    page.goto(url)
    expect(page.locator("[name=state]")).to_have_value("report_sent")


def test_the_form_is_worked_by_keyboard_alone(page: Page) -> None:
    page.keyboard.press("Tab")
    expect(page.locator(".skip")).to_be_focused()
    page.locator("[name=client]").focus()
    page.keyboard.type("Keys Only")
    page.keyboard.press("Tab")
    page.keyboard.type("2480")
    page.keyboard.press("Enter")
    page.wait_for_url("**/cases/*")
    page.locator("[name='place.postcode']").focus()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.locator("details.hint[open]")).to_contain_text("Four digits")
    page.keyboard.press("Tab")
    expect(page.locator(PEOPLE)).to_be_focused()
    page.locator("[name='place.postcode']").focus()
    page.keyboard.press("Enter")
    expect(page.locator(PEOPLE)).to_be_focused()
    with page.expect_response("**/save"):
        page.keyboard.type("4")
    saved(page)
    expect(page.locator(PEOPLE)).to_be_focused()


def test_a_tablet_shows_the_form_without_sideways_scrolling(page: Page) -> None:
    url = new_case(page)
    for width, height in ((820, 1180), (1180, 820), (390, 844)):
        page.set_viewport_size({"width": width, "height": height})
        page.goto(url)
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_page_stays_under_a_megabyte(page: Page) -> None:
    sizes: dict[str, int] = {}
    new_case(page)
    page.on("response", lambda r: sizes.__setitem__(r.url, len(r.body())))
    page.reload()
    expect(page.locator("#answer-body .best")).to_be_visible(timeout=60_000)
    assert 0 < sum(sizes.values()) < 1_000_000


def test_nothing_secret_is_logged(page: Page, running: Any) -> None:
    new_case(page, "Secret Person")
    page.goto(running.home + "nowhere")
    page.goto(running.link)
    log = running.log
    key = running.link.partition("=")[2]
    cookie = page.context.cookies()[0]["value"]
    assert key not in log
    assert cookie not in log
    assert "Secret Person" not in log
    forgive(page, "404")
