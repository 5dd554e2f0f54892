"""What is typed at the desk is never lost, whatever goes on beside."""

from __future__ import annotations

import json
import re
from html import unescape
from typing import Any

from hands import PEOPLE, forgive, new_case, saved, type_in
from playwright.sync_api import Page, Route, expect
from visitors import Browser, add_client


def test_two_windows_show_each_other_s_changes_and_ask_about_one_field(page: Page) -> None:
    url = new_case(page)
    other = page.context.new_page()
    other.goto(url)
    type_in(page, PEOPLE, "4")
    saved(page)
    type_in(other, "[name='heater.age_years']", "11")
    expect(other.locator(PEOPLE)).to_have_value("4")
    saved(other, "Another window changed")
    type_in(page, "[name='heater.tank_l']", "135")
    expect(page.locator("[name='heater.age_years']")).to_have_value("11")
    type_in(page, PEOPLE, "5")
    saved(page)
    assert type_in(other, PEOPLE, "6") == 409
    slot = other.locator("#f-people-count-fault")
    expect(slot).to_contain_text("Another window saved “5”; you typed “6”")
    expect(other.locator(PEOPLE)).to_have_value("6")
    other.click("text=Take the other")
    expect(other.locator(PEOPLE)).to_have_value("5")
    type_in(page, PEOPLE, "7")
    saved(page)
    assert type_in(other, PEOPLE, "8") == 409
    with other.expect_response("**/save"):
        other.click("text=Keep mine")
    saved(other)
    page.goto(url)
    expect(page.locator(PEOPLE)).to_have_value("8")
    other.close()
    forgive(page, "409", "htmx:")


def test_a_field_that_one_is_typing_into_is_never_replaced(page: Page) -> None:
    url = new_case(page)
    other = page.context.new_page()
    other.goto(url)
    assert type_in(other, PEOPLE, "9") == 200
    page.evaluate(
        """selector => {
          const field = document.querySelector(selector);
          field.value = "5";
          field.dispatchEvent(new Event("input", {bubbles: true}));
        }""",
        PEOPLE,
    )
    assert type_in(page, "[name='heater.tank_l']", "135") == 200
    expect(page.locator("#f-people-count-fault")).to_contain_text("saved “9”; you typed “5”")
    expect(page.locator(PEOPLE)).to_have_value("5")
    other.close()
    forgive(page, "409", "htmx:")


def test_a_desk_that_is_killed_loses_nothing_saved_and_takes_the_rest_when_it_is_back(
    mortal_page: Page, mortal: Any
) -> None:
    page = mortal_page
    url = new_case(page)
    type_in(page, PEOPLE, "4")
    saved(page)
    mortal.kill()
    page.fill(PEOPLE, "5")
    saved(page, "Not saved: the desk does not answer")
    expect(page.locator(PEOPLE)).to_have_value("5")
    mortal.start()
    saved(page, "Saved.")
    page.goto(url)
    expect(page.locator(PEOPLE)).to_have_value("5")
    forgive(page, "ERR_", "htmx:")


def test_a_desk_killed_amid_hundreds_of_saves_keeps_every_answered_one(
    mortal_page: Page, mortal: Any
) -> None:
    page = mortal_page
    url = new_case(page)
    script = """async ([url, token]) => {
      let kept = 0;
      for (let n = 1; n < 2000; n++) {
        try {
          const texts = {seen: "9999", window: "ab", token, "wishes.tie_margin": n};
          const body = new URLSearchParams(texts);
          const answer = await fetch(url + "/save", {method: "POST", body});
          if (answer.status === 429) {
            n -= 1;
            await new Promise((later) => setTimeout(later, 50));
            continue;
          }
          if (!answer.ok) return kept;
          kept = n;
          window.kept = n;
        } catch { return kept; }
      }
      return kept;
    }"""
    token = page.locator("[name=token]").first.input_value()
    page.evaluate("args => { window.done = (" + script + ")(args); }", [url, token])
    page.wait_for_function("() => window.kept > 20", timeout=60_000)
    mortal.kill()
    kept = page.evaluate("() => window.done")
    mortal.start()
    page.goto(url)
    stored = int(page.locator("[name='wishes.tie_margin']").input_value())
    assert stored in (kept, kept + 1)
    forgive(page, "ERR_", "429", "htmx:")


def test_undo_waits_until_what_is_typed_is_saved(page: Page) -> None:
    new_case(page)
    assert type_in(page, "[name='heater.tank_l']", "135") == 200
    page.route("**/save", lambda route: route.abort())
    page.fill(PEOPLE, "5")
    saved(page, "Not saved: the desk does not answer")
    page.click("button:text-is('Undo')")
    saved(page, "Not done: first, what you typed has to be saved")
    page.unroute("**/save")
    saved(page, "Saved.")
    expect(page.locator(PEOPLE)).to_have_value("5")
    expect(page.locator("[name='heater.tank_l']")).to_have_value("135")
    forgive(page, "ERR_FAILED", "htmx:")


def test_what_the_desk_will_not_take_stays_in_its_field(page: Page) -> None:
    new_case(page)
    long = "x" * 5000
    assert type_in(page, "[name='name']", long) == 413
    saved(page, "Not saved. What you typed stays here")
    expect(page.locator("#trouble")).to_contain_text("too long")
    expect(page.locator("[name='name']")).to_have_value(long)
    assert type_in(page, "[name='name']", "Ada") == 200
    saved(page, "Saved.")
    expect(page.locator("#trouble")).to_be_empty()
    forgive(page, "413", "htmx:")


def test_enter_in_the_title_of_a_case_renames_it(page: Page) -> None:
    new_case(page)
    page.click("text=The case as a whole")
    page.fill("[name=title]", "Before the quote")
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_have_text("Before the quote")


def test_a_session_that_ends_while_the_answer_is_computed_is_told_once(page: Page) -> None:
    asked: list[str] = []

    def answer(route: Route) -> None:
        asked.append(route.request.url)
        if len(asked) == 1:
            route.fulfill(body='<p class="step" data-next="quick">Computing</p>')
        else:
            route.fulfill(status=401)

    page.route("**/answer", answer)
    new_case(page)
    expect(page.locator("#answer-body .step")).to_contain_text("Your session is over")
    page.evaluate("fetch('/settings').then(reply => reply.text())")
    assert len(asked) == 2
    forgive(page, "401")


def test_a_row_is_removed_only_from_the_list_that_the_page_shows(browser: Browser) -> None:
    case = add_client(browser)
    first = browser.change(f"{case}/save", {"quotes[1].family": "heat_pump", "seen": "0"})
    browser.change(f"{case}/save", {"quotes[2].family": "timer", "seen": "1", "window": "aa"})
    assert first.status_code == 200
    page = browser.get(case).text
    with_row = re.search(r"hx-vals='([^']*quotes\[2\][^']*)' hx-include=\"([^\"]+)\"", page)
    assert with_row is not None
    pressed: dict[str, Any] = json.loads(unescape(with_row[1]))
    gone = browser.change(f"{case}/remove", {"row": "quotes[1]", "seen": "2", "window": "bb"})
    assert gone.status_code == 200
    # The page has since been told of change 3, but kept the list that somebody is in.
    included = {"seen": "3"} if "#seen" in with_row[2] else {}
    texts = {key: str(value) for key, value in {**included, **pressed}.items()}
    refused = browser.change(f"{case}/remove", {**texts, "window": "aa"})
    assert refused.status_code == 422
    assert "Changed in another window" in refused.text
    assert browser.get(case).text.count('name="quotes[1].family"') == 1
