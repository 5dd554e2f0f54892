"""What is typed in the words of people is taken, and the form says how it was read."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import pytest
from hands import new_case, saved, type_in
from playwright.sync_api import Page, expect
from visitors import Browser, add_client, in_words

PRICE = "electricity.usage_price_per_kwh"
BILL = "electricity.bills[1].first"


def test_a_save_tells_how_a_text_was_read_and_the_page_tells_it_again(browser: Browser) -> None:
    case = add_client(browser)
    for number, (path, text, told) in enumerate(
        [
            (PRICE, "38.5 c/kWh", "Read as 0.385 $/kWh"),
            (BILL, "3/5/26", "Read as 3 May 2026"),
            ("heater.hours", "10pm-7am", "Read as 22:00 to 07:00"),
            ("roof.azimuth_deg", "north-east", "Read as 45 degrees"),
        ]
    ):
        answer = browser.change(f"{case}/save", {path: text, "seen": str(number)})
        slot = re.sub(r"[^a-z0-9]+", "-", path).strip("-")
        assert (
            f'<span class="read" id="f-{slot}-read" hx-swap-oob="true">{told}</span>' in answer.text
        )
        page = unescape(browser.get(case).text)
        assert f'id="f-{slot}-read">{told}</span>' in page
        assert f'value="{text}"' in page  # what was typed stays as typed


def test_what_was_read_as_it_stands_is_not_told_twice(browser: Browser) -> None:
    case = add_client(browser)
    for number, text in enumerate(("0.385", "9 years", "")):
        path = PRICE if number != 1 else "heater.age_years"
        answer = browser.change(f"{case}/save", {path: text, "seen": str(number)})
        assert "Read as" not in answer.text
    assert "Read as" not in browser.get(case).text


def test_another_window_hears_how_a_text_was_read(browser: Browser) -> None:
    case = add_client(browser)
    browser.change(f"{case}/save", {PRICE: "38c", "seen": "0", "window": "aa"})
    told = browser.get(f"{case}/news?seen=0&window=bb")
    assert "Read as 0.38 $/kWh" in told.text
    assert "Read as 0.38 $/kWh" in browser.get(f"{case}/field?path={PRICE}").text


@pytest.mark.parametrize("text", ["0", "none", "No", "0 kW", "-"])
def test_a_client_without_panels_has_no_row_of_panels(browser: Browser, text: str) -> None:
    case = add_client(browser, **{"electricity.arrays[1].kw": text})
    page = browser.get(case).text
    assert 'name="electricity.arrays[1].kw"' not in page
    assert "Nothing to mend" in page


@pytest.mark.parametrize("text", ["0", "none"])
def test_a_row_without_panels_says_what_to_do(browser: Browser, text: str) -> None:
    case = add_client(browser)
    answer = browser.change(f"{case}/save", {"electricity.arrays[1].kw": text, "seen": "0"})
    assert "Remove these panels if there are none." in in_words(answer)


def test_how_a_price_in_cents_was_read_stands_below_it(page: Page, tmp_path: Path) -> None:
    new_case(page)
    field = f"[name='{PRICE}']"
    note = page.locator("#f-electricity-usage-price-per-kwh-read")
    expect(note).to_be_hidden()
    assert type_in(page, field, "38.5c") == 200
    saved(page, "Saved.")
    expect(note).to_be_visible()
    expect(note).to_have_text("Read as 0.385 $/kWh")
    assert type_in(page, field, "0.39") == 200
    expect(note).to_be_hidden()
