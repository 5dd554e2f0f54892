"""What stands on which page."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from pypdf import PdfReader
from reading import ADVISER, bare, doubted, page, pdf, renamed, with_answer

from tankful.model.report_facts import ReportFacts
from tankful.report.branding import CONTACT_LENGTH, LENGTHS, MAX_CONTACT_LINES, Branding
from tankful.report.build import build_document
from tankful.report.document import Document
from tankful.report.logo import Logo
from tankful.report.render import Rendered, render_report
from tankful.report.say import one_line

SHORT_PAGES = 6
TALL = b'<svg xmlns="http://www.w3.org/2000/svg" width="80" height="80"><rect width="80" height="80"/></svg>'  # fmt: skip # noqa: E501


def filled(length: int) -> str:
    return ("Wide words of the Example Mountains " * 50)[:length].strip()


LARGEST = Branding(
    name=filled(LENGTHS["name"]),
    contact=tuple(f"{i} {filled(CONTACT_LENGTH - 2)}" for i in range(MAX_CONTACT_LINES)),
    logo=Logo(TALL, "svg"),
    foreword=filled(LENGTHS["foreword"]),
    closing=filled(LENGTHS["closing"]),
)


def text_of(reader: PdfReader, number: int) -> str:
    return bare(reader.pages[number].extract_text())


@pytest.mark.parametrize("names", ["as they are", "long"])
def test_the_first_page_holds_under_the_largest_letterhead(names: str, facts: ReportFacts) -> None:
    full = doubted(facts)
    if names == "long":
        label = filled(70)
        options = renamed(facts.answer, label)
        full = with_answer(full, case_name=filled(80), options=options)
    made = render_report(full, LARGEST)
    reader = pdf(made)
    first, second = text_of(reader, 0), text_of(reader, 1)
    for line in LARGEST.contact:
        assert bare(line) in first
    assert "askforanewanswer." in first  # the last words of the answer
    head = bare(f"A word from {LARGEST.name}")
    assert head in second
    assert second.index(head) < len(bare(LARGEST.name)) + 200  # nothing of the answer before it


def test_the_foreword_follows_the_answer_and_the_closing_words_end_the_front(
    document: Document, facts: ReportFacts
) -> None:
    ids = [section.id for section in document.sections]
    assert ids[:3] == ["answer", "foreword", "choices"]
    front = [section.id for section in document.sections if not section.back_matter]
    assert front[-1] == "closing"
    plain_one = build_document(facts, Branding())
    assert [s.id for s in plain_one.sections][:2] == ["answer", "choices"]
    assert plain_one.sections[1].new_page


@pytest.fixture(scope="module")
def short(facts: ReportFacts) -> Rendered:
    return render_report(facts, ADVISER, short=True)


def test_a_short_report_is_short_and_says_where_the_details_are(
    short: Rendered, facts: ReportFacts
) -> None:
    assert len(pdf(short).pages) <= SHORT_PAGES
    seen = page(short).sections
    assert list(seen)[1:] == [
        *("answer", "foreword", "choices", "reasons", "ask", "settings", "care", "closing"),
        "assumed",
    ]
    assert "stand in the full report" in seen["assumed"]
    assert f"10 of {len(facts.answer.assumptions)}" in seen["assumed"]
    assert "#details" not in (short.html or "")


def test_the_weightiest_assumptions_of_a_short_report_keep_their_sources(
    short: Rendered, facts: ReportFacts
) -> None:
    told = bare(page(short).sections["assumed"])
    sources = [bare(one_line(item.source)) for item in facts.answer.assumptions]
    assert all(source in told for source in sources[:10])
    assert not all(source in told for source in sources)


def test_the_picture_of_many_choices_shows_today_s_heater_too(document: Document) -> None:
    (bars,) = [chart for chart in document.charts if chart.id == "choices"]
    assert bars.alt.startswith("Bars for 12 choices")
    assert "Keep today's heater" in bars.alt


def test_a_home_without_panels_gets_no_circuit_beside_them(facts: ReportFacts) -> None:
    dark = with_answer(facts, pv_kwh=0.0)
    row = re.compile(r"Circuit\s*general(\S?)")
    with_sun = row.search(page(render_report(facts, pdf=False)).sections["settings"])
    without = page(render_report(dark, pdf=False)).sections["settings"]
    assert with_sun is not None
    assert with_sun[1] == ","
    assert "panels" not in without


def test_a_per_cent_sign_stands_apart_everywhere(facts: ReportFacts) -> None:
    sun = replace(facts, why=("The sun brings 60% of it.",))
    seen = page(render_report(sun, pdf=False)).sections
    assert "60 % of it" in seen["money"]
    assert not [key for key, text in seen.items() if re.search(r"\d%", text)]


def test_the_lead_is_clear_only_where_the_futures_agree(facts: ReportFacts) -> None:
    first, second, *rest = facts.answer.options
    far = replace(second, net_present_cost=first.net_present_cost + 3000.0)
    wide = with_answer(facts, options=(first, far, *rest))
    told = {
        60: page(render_report(doubted(wide), pdf=False)).sections["answer"],
        None: page(render_report(wide, pdf=False)).sections["answer"],
    }
    assert "lead over the next choice is clear" in told[None]
    assert "lead over the next choice is $3,000" in told[60]
    for text in told.values():
        assert (
            "That is the same heater, set another way. The next other kind of heater is $" in text
        )


def test_a_timer_that_is_often_outrun_by_top_ups_is_said_so(facts: ReportFacts) -> None:
    control = facts.answer.best.heater.control
    assert control.kind == "hours"
    assert 0.0 < facts.top_up_share < 1.0
    often = page(render_report(replace(facts, top_up_share=0.42), pdf=False)).sections
    seldom = page(render_report(replace(facts, top_up_share=0.2), pdf=False)).sections
    assert "42 % of the year's heat is made outside those hours" in often["settings"]
    assert "of the year's heat" not in seldom["settings"]
    assert f"falls below {control.catch_up_c:g} °C, also outside the hours" in often["ask"]
