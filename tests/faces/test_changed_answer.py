"""A later answer tells what it says otherwise than an earlier one."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tankful.advice.changed import changed_best, search_corrects
from tankful.casefile.load import check_text
from tankful.model.answer import Answer
from tankful.service import study_case

HOURLY = '[place]\npostcode = "2600"\n[simulation]\nstep_min = 60\n'


@pytest.fixture(scope="module")
def answer() -> Answer:
    found = study_case(check_text(HOURLY, Path("case.toml")), known={}).answer
    return _led(found, margin=500.0)


def _led(answer: Answer, *, margin: float, swapped: bool = False) -> Answer:
    """The answer without ties, its best ``margin`` dollars ahead of the next; the first two the
    other way round if ``swapped``."""
    first, second, *rest = (replace(option, tied_with_best=False) for option in answer.options)
    if swapped:
        first, second = second, first
    ahead = replace(first, net_present_cost=second.net_present_cost - margin)
    return replace(answer, options=(ahead, second, *rest), margin=margin)


def test_an_answer_that_stays_says_nothing(answer: Answer) -> None:
    assert changed_best(answer, answer) == ""
    assert search_corrects(answer, answer) == ""


def test_another_best_is_told_with_who_led_before(answer: Answer) -> None:
    said = changed_best(answer, _led(answer, margin=90.0, swapped=True))
    assert said == (
        f"This changes the answer. Before, the best was {answer.best.label}, $500 ahead of the "
        "next."
    )


def test_another_lead_of_the_same_best_is_told(answer: Answer) -> None:
    said = changed_best(answer, _led(answer, margin=120.0))
    assert said == f"Before, the best was {answer.best.label}, $500 ahead of the next."


def test_a_tie_that_ends_is_a_change(answer: Answer) -> None:
    first, second, *rest = answer.options
    both = (replace(first, tied_with_best=True), replace(second, tied_with_best=True))
    tied = replace(answer, options=(*both, *rest), margin=500.0)
    names = f"{first.label}; {second.label}"
    assert f"Before, these tied within $300: {names}." in changed_best(tied, answer)
    nearer = replace(both[1], net_present_cost=second.net_present_cost - 100.0)
    assert changed_best(tied, replace(tied, options=(both[0], nearer, *rest))) == ""


def test_the_whole_search_says_why_it_puts_another_first(answer: Answer) -> None:
    """The option behind is found $1,000 cheaper under another setting, of 64 tried."""
    whole = _led(answer, margin=90.0, swapped=True)
    best = whole.best
    control = replace(best.choice.control, kind="timer")
    choice = replace(best.choice, control=control, tried=64)
    found = answer.options[1].net_present_cost - 1000.0
    better = replace(best, choice=choice, net_present_cost=found)
    whole = replace(whole, options=(better, *whole.options[1:]))
    said = search_corrects(answer, whole)
    assert said.startswith(
        f"The quick estimate said otherwise: there, the best was {answer.best.label}, $500 ahead"
    )
    assert f"tried 64 settings of {best.label} and found one that is $1,000 cheaper" in said
    other = _led(answer, margin=90.0, swapped=True)
    assert "under its own best setting" in search_corrects(answer, other)
