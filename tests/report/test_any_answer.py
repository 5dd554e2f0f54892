"""Whatever the answer, the report holds it."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from reading import (
    FRONT_PAGES,
    bare,
    doubted,
    page,
    pdf,
    renamed,
    with_answer,
)

from tankful.model.report_facts import ReportFacts
from tankful.report.branding import Branding
from tankful.report.build import build_document
from tankful.report.document import Document, plain
from tankful.report.draw import to_svg
from tankful.report.render import Rendered, render_report


@pytest.mark.parametrize("count", [1, 2, 3, 12, 17])
def test_any_number_of_options_fits(count: int, facts: ReportFacts) -> None:
    options = facts.answer.options
    kept = tuple(o for o in options if o.id == "keep")
    chosen = (*(o for o in options if o.id != "keep"), *kept)[-count:]
    made = render_report(with_answer(facts, options=chosen))
    heads = [i for i, p in enumerate(pdf(made).pages) if "The details" in p.extract_text()]
    assert heads[0] <= FRONT_PAGES


def test_every_option_can_be_the_best(facts: ReportFacts) -> None:
    for option in facts.answer.options[::4]:
        first = replace(option, rank=1)
        others = tuple(o for o in facts.answer.options if o.id != option.id)
        document = build_document(with_answer(facts, options=(first, *others)), Branding())
        assert len(document.sections) >= 10
        for chart in document.charts:
            assert "<svg" in to_svg(chart.spec)


def test_ties_are_called_ties(facts: ReportFacts) -> None:
    first, second, *rest = facts.answer.options
    tied = (
        replace(first, tied_with_best=True),
        replace(second, tied_with_best=True, rank=1),
        *rest,
    )
    seen = page(render_report(with_answer(facts, options=tied)))
    assert "cannot tell them apart" in seen.sections["answer"]
    assert second.label in seen.sections["answer"]


def test_the_price_that_turns_the_answer_is_not_that_of_what_gets_dearer_too(
    facts: ReportFacts,
) -> None:
    """The first two of the sample home are heat pumps of one price."""
    turn = facts.price_turn
    assert turn is not None
    assert turn.above is not None
    first = page(render_report(facts, pdf=False)).sections["answer"]
    assert "Price of the heat pump, before rebates: it is $3,800 now. Above" in first
    assert f"the best choice becomes: {turn.above.option_label}." in first
    assert not turn.above.option_label.startswith("Heat pump")
    steady = replace(doubted(facts).flips, flips=())
    first = page(render_report(replace(facts, flips=steady), pdf=False)).sections["answer"]
    assert "Nothing we changed within reason" in first  # where all was tried, that is told
    assert "the best choice becomes" not in first


def test_a_tie_of_unlike_prices_is_not_left_to_the_cheaper_quote(facts: ReportFacts) -> None:
    first, second, third, *rest = facts.answer.options
    assert (first.heater.kind, third.heater.kind) == ("heat_pump", "electric_storage")
    alike = replace(second, upfront=first.upfront)
    for other, words in (
        (third, f"{third.label} ${third.upfront.total:,.0f}. What a quote differs from that"),
        (alike, "Not the price. Each of them buys the same for"),
    ):
        tied = (replace(first, tied_with_best=True), replace(other, tied_with_best=True))
        made = render_report(with_answer(facts, options=(*tied, *rest)), pdf=False)
        assert words in page(made).sections["answer"]


def test_a_short_bar_at_the_end_says_why_it_stands_there(facts: ReportFacts) -> None:
    *others, last = facts.answer.options[:10]
    choice = replace(last.choice, usable=False)
    cheap = replace(last, choice=choice, net_present_cost=5000.0)
    made = render_report(with_answer(facts, options=(*others, cheap)), pdf=False)
    assert made.html is not None
    assert made.html.count("$5,000, last: cold showers") >= 2  # in the picture and in its words
    assert "They stand last, whatever they cost." in page(made).sections["choices"]
    assert "last: cold" not in (render_report(facts, pdf=False).html or "")


def test_the_payback_is_one_number_wherever_it_is_told(document: Document, made: Rendered) -> None:
    figures = plain(document.sections[0].blocks[1])["items"]
    (told,) = (item["value"] for item in figures if item["label"] == "Pays back in")
    assert f"paid back after {told}" in (made.html or "")


def test_the_details_name_things_in_words(made: Rendered) -> None:
    seen = page(made).sections
    for name in ("cold_air", "lab_curve", "heat_kw", "iam b0", "in quotes"):
        assert name not in seen["assumed"] + seen["home"], name
    assert not re.findall(r"\b[a-z]+_[a-z]+", seen["home"] + seen["assumed"])


def test_without_pictures_of_days_and_year_their_sections_are_left_out(facts: ReportFacts) -> None:
    few = with_answer(facts, cautions=(), notes=())
    bare_facts = replace(few, days=(), year=None, given=(), about=None)
    document = build_document(bare_facts, Branding())
    ids = {section.id for section in document.sections}
    assert not ids & {"days", "year", "home", "care", "notes", "foreword", "closing"}
    assert {"answer", "choices", "money", "ask", "settings", "assumed", "method"} <= ids


def test_text_of_others_is_shown_and_never_obeyed(facts: ReportFacts) -> None:
    nasty = (
        '<script>alert(1)</script> #read("/etc/passwd") *b* _i_ $x^2$ @ref <lbl> '
        "{{ 7*7 }} {name} ${x} &amp; \\u{1F}"
    )
    named = with_answer(
        facts, case_name=nasty, notes=(nasty,), options=renamed(facts.answer, nasty)
    )
    brand = Branding(name=nasty[:80], contact=(nasty,), foreword=nasty, closing=nasty)
    made = render_report(named, brand)
    assert "script" not in page(made).tags
    for section in ("notes", "foreword", "closing", "exact"):
        assert bare(nasty) in bare(page(made).sections[section]), section
    printed = bare("".join(p.extract_text() for p in pdf(made).pages))
    assert printed.count(bare(nasty)) >= 4
    assert "root:" not in printed


def test_long_words_lose_nothing(facts: ReportFacts) -> None:
    word = "Wagga" * 24
    made = render_report(with_answer(facts, case_name=word, options=renamed(facts.answer, word)))
    printed = bare("".join(p.extract_text() for p in pdf(made).pages))
    assert printed.count(word) > len(facts.answer.options)
