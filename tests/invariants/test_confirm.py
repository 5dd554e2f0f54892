"""What must hold of flips that are told from new answers."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankful.advice.anew import NewAnswer
from tankful.advice.confirm import MOST_ANSWERS, TIED, confirmed

VALUES = np.linspace(50.0, 110.0, 241)
SPAN = VALUES[-1] - VALUES[0]
RIVAL = SimpleNamespace(id="rival", label="Rival")
MARGIN = 300.0


def trails(flip: float, slope: float, *, shift: float = 0.0) -> np.ndarray:
    """By how much the best trails along ``VALUES`` where it falls behind at ``flip``."""
    return slope * (VALUES - flip) + shift


@given(st.floats(52.0, 108.0), st.floats(15.0, 500.0), st.floats(-800.0, 800.0))
def test_a_flip_lies_where_new_answers_meet_however_far_off_it_was_expected(
    flip: float, slope: float, shift: float
) -> None:
    true, asked = trails(flip, slope), []

    def ask(at: int) -> NewAnswer:
        asked.append(at)
        return NewAnswer(float(true[at]), RIVAL)

    told = confirmed(VALUES, trails(flip, slope, shift=shift), MARGIN, ask)
    assert len(asked) <= MOST_ANSWERS
    if told is not None:
        off = abs(told.value - flip)
        assert off <= 0.02 * SPAN or slope * off <= TIED * MARGIN or len(asked) == MOST_ANSWERS
        assert told.option_id == "rival"
        outside = [at for at in asked if true[at] > 0.0]
        assert VALUES[min(outside)] >= told.value
    else:  # only where what was expected gave no reason to ask, or the last answer found none
        assert shift < 0.0
        assert true[-1] <= 0.0 or not asked


def test_a_flip_far_behind_where_it_was_expected_is_found_all_the_same() -> None:
    """Expected after 10 of 240 values, and slowly; it lies behind 100 of them."""
    index = np.arange(VALUES.size)
    true = 0.3 * (index - 100.0)
    told = confirmed(VALUES, index - 10.0, MARGIN, lambda at: NewAnswer(float(true[at]), RIVAL))
    assert told is not None
    assert told.value == pytest.approx(VALUES[100], abs=0.02 * SPAN)


def test_a_flip_that_no_new_answer_bears_out_is_not_told() -> None:
    expected = trails(70.0, 20.0)
    assert confirmed(VALUES, expected, MARGIN, lambda at: NewAnswer(-50.0, RIVAL)) is None


def test_a_flip_is_clear_from_where_the_best_trails_by_more_than_a_tie() -> None:
    true = trails(70.0, 50.0)
    told = confirmed(VALUES, true, MARGIN, lambda at: NewAnswer(float(true[at]), RIVAL))
    assert told is not None
    assert told.clear_value == pytest.approx(76.0, abs=0.3)


def test_a_best_that_may_no_longer_be_recommended_flips_between_the_answers() -> None:
    def ask(at: int) -> NewAnswer:
        return NewAnswer(np.inf if VALUES[at] > 80.0 else -500.0, RIVAL)

    told = confirmed(VALUES, trails(85.0, 100.0), MARGIN, ask)
    assert told is not None
    assert told.value == pytest.approx(80.0, abs=0.03 * SPAN)
    assert told.clear_value == pytest.approx(told.value)
