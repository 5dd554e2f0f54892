"""Why, and what to take care of, as people read it: short, in order, and adding up."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from pathlib import Path

import pytest

from tankful import service
from tankful.advice.why import (
    STEP_NAMES,
    behind_text,
    option_sentences,
    waterfall_rows,
)
from tankful.cli.show_answer import show_answer
from tankful.cli.tables import plain_console
from tankful.model.answer import Answer, OptionResult

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def answer() -> Answer:
    return service.advise(EXAMPLES / "01-sample-home.toml")


@pytest.fixture(scope="module")
def capital() -> Answer:
    return service.advise(EXAMPLES / "02-capital.toml")


def printed(answer: Answer, **wishes: bool) -> str:
    console = plain_console()
    console.file = io.StringIO()
    show_answer(answer, console=console, **wishes)
    return console.file.getvalue()


def chapter(text: str, name: str) -> str:
    """The part of the output under a heading, up to the next empty line before a heading."""
    body = text.split(f"\n{name}", 1)[1]
    return re.split(r"\n\n(?=(?:Ruled out|Please note|Take care|Assumed))", body, maxsplit=1)[0]


def option(answer: Answer, name: str) -> OptionResult:
    return next(item for item in answer.options if item.id == name)


def tied(answer: Answer, count: int = 2) -> Answer:
    options = tuple(
        replace(item, rank=1, tied_with_best=True) if place < count else item
        for place, item in enumerate(answer.options)
    )
    return replace(answer, options=options)


def test_the_column_of_steps_adds_up_in_the_whole_units_that_are_printed(answer: Answer) -> None:
    for item in answer.options:
        for told in (item.waterfall, item.waterfall_from_best):
            rows = waterfall_rows(item, told, answer.currency)
            assert round(told.start) + sum(amount for amount, _ in rows) == round(told.end)
            assert len(rows) <= 11
            assert all(text for _, text in rows)


def test_the_parts_of_one_line_add_up_to_the_gap_it_names(answer: Answer) -> None:
    for item in answer.options[1:]:
        text = behind_text(item, answer.currency)
        head, parts = text.split(" than the first (")
        amounts = re.findall(r"\$([\d,]+) (more|less) for", parts)
        total = sum(
            int(value.replace(",", "")) * (1 if way == "more" else -1) for value, way in amounts
        )
        gap = int(head.split()[0].lstrip("$").replace(",", ""))
        assert total == (gap if head.endswith("dearer") else -gap)


def test_the_best_and_todays_heater_are_told_in_full_and_the_others_in_one_line(
    answer: Answer,
) -> None:
    why = chapter(printed(answer), "Why")
    assert why.count("This option") == 1
    assert why.count("Where its money goes") == 1
    assert why.count("dearer than the first") == len(answer.options) - 2
    everything = chapter(printed(answer, reasons=True), "Why")
    assert everything.count("This option") == len(answer.options) - 1
    assert len(why) < len(everything) / 2


def test_where_todays_heater_is_best_the_next_one_is_told_in_full(answer: Answer) -> None:
    keep = option(answer, "keep")
    others = [item for item in answer.options if item is not keep]
    why = chapter(printed(replace(answer, options=(keep, *others))), "Why")
    assert why.count("This option") == 1
    assert why.index("Where its money goes") < why.index("This option")


def test_tied_options_are_told_apart_by_outlay_cold_showers_and_what_comes_with_them(
    answer: Answer,
) -> None:
    why = " ".join(chapter(printed(tied(answer)), "Why").split())
    start = why.index("What sets the tied ones apart")
    for item in answer.options[:2]:
        line = why[why.index(item.label, start) :]
        assert line.index(f"${item.upfront.total:,.0f} up front") < line.index(
            f"{item.sums.cold_draws} cold showers a year"
        )
    assert "a fan to be heard outside" in why
    assert "tied" not in chapter(printed(answer), "Why")


def test_an_option_dearer_over_the_years_is_given_no_payback(answer: Answer) -> None:
    """A new gas storage heater pays for itself in 13 years by the plain sum, but is $239 dearer
    in today's money."""
    row = next(line for line in printed(answer).split("\n") if "New gas storage heater" in line)
    assert row.split()[-2] == "never"
    base = option(answer, "keep").net_present_cost
    for item in answer.options:
        if item.net_present_cost > base:
            assert item.payback_years is None


def test_options_that_stand_last_for_cold_showers_are_set_apart_and_the_mark_is_explained(
    capital: Answer, answer: Answer
) -> None:
    text = printed(capital)
    assert [item.choice.usable for item in capital.options].count(False) >= 1
    assert text.count("Last, for too many") == 2
    lines = text.split("\n")
    row = next(i for i, line in enumerate(lines) if "Last, for too many cold showers" in line)
    first_cold = next(item for item in capital.options if not item.choice.usable)
    assert lines[row + 1].startswith(f"{first_cold.rank} ")
    flat = " ".join(text.split())
    assert "A ! warns that there are over 12 a year more" in flat
    assert "Last, for too many" not in printed(answer)
    unmarked = tuple(
        replace(item, choice=replace(item.choice, comfort_kept=True)) for item in answer.options
    )
    assert "A ! warns" not in printed(replace(answer, options=unmarked))


def test_sentences_and_steps_are_in_the_json(answer: Answer) -> None:
    record = service.answer_as_json(answer)
    for written, item in zip(record["options"], answer.options, strict=True):
        for name in ("waterfall", "waterfall_from_best"):
            told = written[name]
            moved = sum(step["amount_cents"] for step in told["steps"])
            assert told["start_cents"] + moved == told["end_cents"]
            assert {step["key"] for step in told["steps"]} <= set(STEP_NAMES)
        assert written["sentences"] == list(option_sentences(item, 15, "AUD"))
        assert written["sentences"]
    known = {item.id for item in answer.options}
    assert all(set(caution["options"]) <= known for caution in record["cautions"])


# Cautions


def test_the_bests_cautions_are_printed_in_full_and_the_others_named(answer: Answer) -> None:
    text = " ".join(chapter(printed(answer), "Take care").split())
    for caution in answer.cautions:
        concerns_best = answer.best.id in caution.options
        assert (" ".join(caution.text.split()) in text) == concerns_best
        assert caution.topic in text
    everything = " ".join(chapter(printed(answer, reasons=True), "Take care").split())
    assert all(caution.text in everything for caution in answer.cautions)


def test_among_ties_a_caution_says_which_of_them_it_concerns(answer: Answer) -> None:
    pump = next(o for o in answer.options if o.heater.kind == "heat_pump")
    tank = next(o for o in answer.options if o.heater.kind == "electric_storage")
    others = tuple(o for o in answer.options if o not in (pump, tank))
    both = tied(replace(answer, options=(pump, tank, *others)))
    text = " ".join(chapter(printed(both), "Take care").split())
    assert f"Noise ({pump.label}): " in text
    assert "- Scalding: " in text
