"""Two cases of a client beside each other: what the page shows, to whom, and in a browser."""

from __future__ import annotations

import re
from collections.abc import Callable
from html import unescape
from typing import Any

import pytest
from access import faults_of_access
from hands import new_case
from playwright.sync_api import Page, expect
from visitors import Browser, Resting, add_client, in_words, sign_in

from tankful.casefile.naming import name_of
from tankful.desk.easel import Order, drawn
from tankful.desk.turns import Task
from tankful.desk.visit import Desk

LONG_MS = 180_000
SMALL = '[place]\npostcode = "2480"\n[simulation]\nstep_min = 60\n'
HOURLY = {"simulation.step_min": "60", "heater.kind": "gas_storage"}


class Drawing(Resting):
    """Draws at once what is ordered, in the place of a process that does."""

    def ask(self, _who: str, _case: str, order: Order, keep: Callable[[Any], object]) -> None:
        keep(drawn(order, lambda *_: None).sheet)


class Waiting(Resting):
    """Has what is ordered under way, and never done."""

    def __init__(self) -> None:
        self.tasks: dict[str, Task] = {}

    def ask(self, _who: str, case: str, order: Order, keep: Callable[[Any], object]) -> None:
        self.tasks[case] = Task(case, order, keep)

    def task(self, _who: str, case: str, _kind: str, _order: Order | None) -> Task | None:
        return self.tasks.get(case)

    def call_off(self, _who: str, case: str, _kind: str) -> None:
        self.tasks.pop(case, None)


def client_of(browser: Browser, case: str) -> str:
    found = re.search(r"/clients/[0-9a-f]{16}", browser.get(case).text)
    assert found is not None
    return found[0]


def type_in(browser: Browser, case: str, **texts: str) -> None:
    for path, text in texts.items():
        answer = browser.change(f"{case}/save", {path: text, "seen": "999", "window": "ab"})
        assert answer.status_code == 200, answer.text


def two_cases(browser: Browser, **changed: str) -> tuple[str, str, str]:
    """The addresses of a client and of two cases, the second like the first but for a few texts."""
    one = add_client(browser, "Pia Pair")
    type_in(browser, one, **HOURLY)
    client = client_of(browser, one)
    added = browser.change(f"{client}/cases", {"title": "With more", "like": one[-16:]})
    other = added.headers["location"]
    type_in(browser, other, **changed)
    return client, one, other


def address(client: str, one: str, other: str, part: str = "") -> str:
    return f"{client}/compare{part}?a={one[-16:]}&b={other[-16:]}"


def cells(html: str, caption: str) -> list[list[str]]:
    """The rows of a table as words."""
    table = html.partition(f'<caption class="unseen">{caption}</caption>')[2].partition("</table")[
        0
    ]
    rows = re.findall(r"<tr[^>]*>(.*?)</tr>", table.partition("<tbody>")[2], re.DOTALL)
    return [
        [unescape(cell) for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row)] for row in rows
    ]


def dollars(cell: str) -> int:
    return int(cell.replace("$", "").replace(",", ""))


def test_a_client_with_two_cases_can_have_them_compared(browser: Browser) -> None:
    one = add_client(browser)
    client = client_of(browser, one)
    assert "/compare" not in browser.get(client).text
    assert "fewer than two cases" in in_words(browser.get(f"{client}/compare"))
    browser.change(f"{client}/cases", {"title": "Hot water", "like": ""})
    page = browser.get(client).text
    assert f'action="{client}/compare"' in page
    assert page.count(", changed today") == 4  # both have the same title
    assert "Choose the two cases" in in_words(browser.get(f"{client}/compare"))
    assert "two different cases" in in_words(browser.get(address(client, one, one)))


def test_differences_are_those_of_the_costs_as_shown(desk: Desk, browser: Browser) -> None:
    desk.kept["studio"] = Drawing()
    battery = {"electricity.battery.capacity_kwh": "10", "electricity.usage_price_per_kwh": ".50"}
    client, one, other = two_cases(browser, **battery)
    browser.get(address(client, one, other))
    page = browser.get(address(client, one, other))
    words = in_words(page)
    rows = cells(page.text, "What each option costs")
    assert len(rows) > 5
    for _, _, was, _, now, gap in rows:
        if gap != "–":
            assert dollars(now) - dollars(was) == dollars(gap.replace("+", ""))
    assert cells(page.text, "Entered differently") == [
        [name_of("electricity.usage_price_per_kwh"), "left open", "$0.5/kWh"],
        [name_of("electricity.battery.capacity_kwh"), "left open", "10 kWh"],
    ]
    assert page.text.index("entered-title") < page.text.index("costs-title")
    assert 'in "With more"' in words
    assert "such as the price of a battery" in words
    assert page.text.count('class="drawn"') == 2  # wide and narrow
    assert page.text.count("<h2 id=") >= 5
    turned = browser.get(address(client, other, one))
    turned = browser.get(address(client, other, one))
    back = cells(turned.text, "What each option costs")
    gaps = {row[0]: row[-1] for row in rows}
    assert {row[0]: row[-1].translate(str.maketrans("+-", "-+")) for row in back} == gaps


def test_many_fields_entered_differently_stand_at_the_end(desk: Desk, browser: Browser) -> None:
    desk.kept["studio"] = Drawing()
    panels = {
        f"electricity.arrays[{n}].{key}": "5" for n in range(1, 8) for key in ("kw", "tilt_deg")
    }
    client, one, other = two_cases(browser, **panels)
    browser.get(address(client, one, other))
    page = browser.get(address(client, one, other)).text
    assert '<a href="#entered-title">14 fields were entered differently</a>' in page
    assert page.index('id="entered-title"') > page.index('id="costs-title"')
    assert len(cells(page, "Entered differently")) == 14


def test_cases_of_other_years_are_not_subtracted_nor_drawn(desk: Desk, browser: Browser) -> None:
    desk.kept["studio"] = Drawing()
    client, one, other = two_cases(browser, **{"wishes.horizon_years": "10"})
    browser.get(address(client, one, other))
    page = browser.get(address(client, one, other))
    assert "cannot be subtracted" in in_words(page)
    assert {row[-1] for row in cells(page.text, "What each option costs")} == {"–"}
    assert 'class="drawn"' not in page.text


def test_a_case_with_faults_is_named_and_linked(browser: Browser) -> None:
    client, one, other = two_cases(browser, **{"people.count": "nobody"})
    page = browser.get(address(client, one, other))
    assert "With more cannot be compared yet: 1 thing has to be mended" in in_words(page)
    assert f'<p class="notice"><a href="{other}">' in page.text
    assert page.text.count('class="notice"') == 1
    assert "act-compare" not in page.text


def test_a_case_of_another_client_or_of_none_is_not_found(browser: Browser) -> None:
    client, one, other = two_cases(browser)
    stranger = add_client(browser, "Ben Example")
    for part in ("", "/part"):
        for wrong in (stranger, "/cases/" + "0" * 16, "/cases/..%2F..%2F........"):
            for pair in ((one, wrong), (wrong, other)):
                asked = browser.get(address(client, *pair, part), headers={"hx-request": "true"})
                assert asked.status_code == 404, (part, wrong)
                assert "There is no such case." in in_words(asked)
    assert browser.get(f"/clients/{'0' * 16}/compare").status_code == 404


def test_what_is_under_way_is_shown_and_called_off(desk: Desk, browser: Browser) -> None:
    desk.kept["studio"] = studio = Waiting()
    client, one, other = two_cases(browser, **{"people.count": "5"})
    assert "Call it off" in in_words(browser.get(address(client, one, other)))
    part = {"headers": {"hx-request": "true"}}
    url = address(client, one, other, "/part")
    watched = browser.get(f"{url}&watch=1", **part)
    assert "About to begin" in in_words(watched)
    assert "hx-retarget" not in watched.headers
    state = re.search(r"know=([0-9a-f-]+)", browser.get(url, **part).text)
    assert state is not None
    assert browser.get(f"{url}&know={state[1]}", **part).status_code == 204
    assert "Compare them" in in_words(browser.get(f"{url}&stop=1", **part))
    assert not studio.tasks
    assert "Call it off" in in_words(browser.get(f"{url}&go=1", **part))
    type_in(browser, one, **{"people.count": "2"})
    assert "Call it off" in in_words(browser.get(f"{url}&know={state[1]}", **part))
    (task,) = studio.tasks.values()
    assert "count = 2" in task.order.toml  # begun anew for the case as it is now
    assert browser.get(url).headers["location"] == address(client, one, other)


def test_a_reader_may_have_cases_compared(office: Desk) -> None:
    ada = sign_in(office, "ada", "correct horse battery")
    client, one, other = two_cases(ada)
    ben = sign_in(office, "ben", "staple battery horse")
    assert ben.get(address(client, one, other)).status_code == 200
    assert f'action="{client}/compare"' in ben.get(client).text


def test_script_in_a_title_stays_words(desk: Desk, browser: Browser) -> None:
    desk.kept["studio"] = Drawing()
    client, one, other = two_cases(browser, **{"people.count": "5"})
    script = "<script>alert(1)</script>&amp;|{{ 7*7 }}"
    for case, was in ((one, "Hot water"), (other, "With more")):
        assert browser.change(f"{case}/title", {"title": script, "was": was}).status_code == 303
    browser.get(address(client, one, other))
    page = browser.get(address(client, one, other))
    assert "<script>alert" not in page.text
    assert "{{ 7*7 }} (second)" in page.text
    assert "What each option costs" in page.text


@pytest.fixture
def pair(page: Page) -> str:
    """The address of a client with cases for four people and for five, on a long step."""
    new_case(page, "Pia Pair")
    page.click("nav >> text=Pia Pair")
    client = page.url
    for people in ("4", "5"):
        page.goto(client)
        case = f"{SMALL}[people]\ncount = {people}\n".encode()
        file = {"name": f"{people} people.toml", "mimeType": "text/plain", "buffer": case}
        page.set_input_files("input[type=file]", [file])  # type: ignore[list-item]
        page.click("button:text-is('Bring in')")
        page.wait_for_url("**/cases/*")
    return client


def test_two_cases_are_compared_by_keyboard_and_the_page_fits(page: Page, pair: str) -> None:
    page.goto(pair)
    watching = re.compile("watch=1")
    page.route(watching, lambda route: route.fulfill(status=204))  # as if nothing were done yet
    page.locator("button:text-is('Compare')").focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/compare?*")
    button, best = page.locator("#act-compare"), page.locator(".compared .best")
    expect(button).to_have_text("Call it off")
    button.focus()
    page.keyboard.press("Enter")
    expect(button).not_to_have_text("Call it off")
    expect(button).to_be_focused()
    page.unroute(watching)
    if not best.count():  # where it was done too soon to be called off
        expect(button).to_have_text("Compare them")
        page.keyboard.press("Enter")
    best.wait_for(timeout=LONG_MS)
    expect(page.locator("#compare-said")).to_contain_text("Compared. The best")
    rows = page.locator("section:has(#entered-title) tbody tr")
    expect(rows).to_have_count(1)
    expect(rows).to_have_text(re.compile(r"People in the home\s*4\s*5"))
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
        assert faults_of_access(page) == []
    for width, height in ((820, 1180), (390, 844)):
        page.set_viewport_size({"width": width, "height": height})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        expect(page.locator("svg.drawn:visible")).to_have_count(1)
    page.emulate_media(media="print")
    expect(page.locator(".pick")).to_be_hidden()
    expect(page.locator(".compared table").first).to_be_visible()
    page.emulate_media(media="screen")
    page.reload()
    expect(best).to_be_visible()  # kept
