"""What the report says, and how easily it reads."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
import textstat
from pypdf import PdfReader
from reading import (
    bare,
    page,
    with_answer,
)

from tankful.casefile.resolve import warning_text
from tankful.errors import Fault
from tankful.model.report_facts import ReportFacts
from tankful.report.document import Document, plain
from tankful.report.render import Rendered, render_report
from tankful.report.say import one_line, round_said, said_money
from tankful.report.sections_doubt import amount_text


def test_the_first_page_answers_what_and_how_much_and_by_when(reader: PdfReader) -> None:
    text = " ".join(reader.pages[0].extract_text().split())
    for words in ("best choice", "It costs", "It saves", "How sure", "What could change it"):
        assert words in text
    assert re.search(r"Pays back in|Paid back|Hot water costs", text)


def test_the_front_pages_read_easily(document: Document) -> None:
    """Flesch reading ease (Flesch 1948): 60 to 70 is plain English, by textstat."""
    front = [s for s in document.sections if not s.back_matter]
    sentences = " ".join(
        text for s in front for block in s.blocks for text in prose(plain(block)) if "." in text
    )
    assert textstat.flesch_reading_ease(sentences) > 60.0
    first = " ".join(text for b in front[0].blocks for text in prose(plain(b)) if "." in text)
    assert textstat.flesch_reading_ease(first) > 65.0


def prose(block: dict[str, Any]) -> Iterator[str]:
    if block["kind"] == "paragraph":
        yield block["text"]
    if block["kind"] == "points":
        for item in block["items"]:
            yield item["text"]
    if block["kind"] == "pair":
        for part in (*block["left"], *block["right"]):
            yield from prose(part)


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (4491, 4500),
        (17227, 17200),
        (389, 390),
        (27, 25),
        (7, 7),
        (104_321, 104_000),
        (-1496, -1500),
    ],
)
def test_numbers_are_rounded_as_people_say_them(value: float, said: float) -> None:
    assert round_said(value) == said


def test_money_is_in_the_currency_of_the_case(facts: ReportFacts) -> None:
    assert said_money(1234.0, "EUR") == "€1,200"
    assert said_money(-1234.0, "CHF") == "-1,200 CHF"
    made = render_report(with_answer(facts, currency="CHF"))
    assert "$" not in "".join(page(made).sections[key] for key in ("answer", "choices"))


def test_exact_numbers_stand_in_the_details(facts: ReportFacts, made: Rendered) -> None:
    best = facts.answer.best
    details = page(made).sections["exact"]
    assert f"{best.net_present_cost:,.2f}" in details
    assert f"{best.upfront.total:,.2f}" in details


def test_the_homes_own_values_and_the_defaults_stand_apart(
    facts: ReportFacts, made: Rendered
) -> None:
    seen = page(made).sections
    assert "invented time-of-use plan" in seen["home"]
    assert len(facts.answer.assumptions) > 50
    for item in facts.answer.assumptions:
        assert bare(one_line(item.source)) in bare(seen["assumed"])


def test_the_settings_sheet_holds_the_clock_and_the_limits(
    facts: ReportFacts, made: Rendered
) -> None:
    sheet = page(made).sections["settings"]
    control = facts.answer.best.choice.control
    for window in control.windows:
        assert window.hours_text() in sheet
    assert f"{facts.answer.best.heater.setpoint_c:.0f} °C" in sheet
    assert f"at most {facts.tap_limit_c:.0f} °C" in sheet


def test_flips_and_futures_are_told_in_words_and_on_the_first_page(made: Rendered) -> None:
    seen = page(made).sections
    assert "it is 4.5 c a kWh now. Below 2.6 c a kWh the best choice becomes" in seen["flips"]
    assert "it is 100 % of today's now. Above 123 % of today's" in seen["flips"]
    assert "it is $3,800 now. Above $4,400" in seen["flips"]
    assert "we tried 200 futures" in seen["futures"]
    assert "What moves the saving most: gas price." in seen["futures"]
    assert "It came out best in 60 of 100" in seen["answer"]
    assert "Below 2.6 c a kWh" in seen["answer"]


def test_prices_and_rates_are_said_as_people_say_them() -> None:
    assert amount_text(0.29, "AUD/kWh", "AUD") == "29 c a kWh"
    assert amount_text(1.45, "AUD/day", "AUD") == "$1.45 a day"
    assert amount_text(0.29, "CHF/kWh", "CHF") == "0.29 CHF a kWh"
    assert amount_text(0.041, "a year", "AUD") == "4.1 % a year"
    assert amount_text(2634.0, "kWh", "AUD") == "2,600 kWh"


def test_what_the_case_leaves_in_doubt_is_told_without_the_words_of_its_file(
    facts: ReportFacts,
) -> None:
    fault = Fault("heater.hours", "not used", mend='`write control = "hours"`')
    made = render_report(with_answer(facts, notes=(warning_text(fault),)))
    assert (
        "“Hours in which it may run”: not used; set “The element may run” to “in hours of its own”."
    ) in page(made).sections["notes"]


def test_values_and_defaults_are_named_for_people(made: Rendered) -> None:
    seen = page(made).sections
    said = seen["home"] + seen["assumed"]
    for jargon in ("quotes[", "deadband", "loss w per", "rating cop", "electric_storage"):
        assert jargon not in said, jargon
    assert "efficiency of the collectors without heat loss (eta0)" in said
    assert "W/m²K" in said
    assert "reckoned" not in "".join(seen.values())
    assert seen["care"].count("Noise at night") <= 1
