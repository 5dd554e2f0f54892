"""Flips of inputs that are simulated, held against new answers on both sides of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tankful.advice.anew import NewAnswer
from tankful.clock import FloatArray
from tankful.model.whatif import Crossing

BESIDE = 3
"""A flip is looked at so many values before and behind where it is expected."""

CLOSE = 10
"""Values between the two new answers that a flip is told from, at most."""

TIED, TIED_VALUES = 0.5, 40
"""The same where both answers are closer than so many tie margins: they hardly tell its place."""

MOST_ANSWERS = 6
"""New answers to one flip, at most; what lies between the last two is then told from those."""

HALVINGS = 3
"""Of them, so many are kept for the last value and what lies before it, where none is near."""

Ask = Callable[[int], NewAnswer | None]
"""The new answer at the value of an index; ``None`` where nothing comes near today's best."""


def confirmed(values: FloatArray, expected: FloatArray, margin: float, ask: Ask) -> Crossing | None:
    """The flip that new answers tell; ``None`` where none is found up to the last value, or none
    is expected and today's best leads clearly there.

    ``values`` start at today's; ``expected`` [money], of the same shape, is by how much today's
    best option is thought to trail, ``margin`` [money] that of a tie.
    """
    last = values.size - 1
    if (expected <= 0.0).all() and expected[last] < -margin:
        return None
    low, high = _Told(0, float(expected[0])), None
    at = min(last, _first(expected, 0.0, low.at, last) + BESIDE)
    for left in reversed(range(MOST_ANSWERS)):
        answer = ask(at)
        if answer is not None and answer.behind > 0.0:
            high = _Told(at, answer.behind, answer)
        else:
            low = _Told(at, -np.inf if answer is None else answer.behind)
        if high is None and low.at == last:
            return None
        if high is not None and _is_between(low, high, margin):
            break
        at = last if high is None and left <= HALVINGS else _next(expected, low, high, last)
    return _crossing(values, expected, margin, low, high) if high is not None else None


@dataclass(frozen=True, eq=False)
class _Told:
    """By how much a new answer at an index says that today's best trails."""

    at: int
    behind: float
    answer: NewAnswer | None = None

    def shift(self, expected: FloatArray) -> float:
        """What the answer adds to what was expected [money]; 0 where it gives no sum."""
        shift = self.behind - float(expected[self.at])
        return shift if np.isfinite(shift) else 0.0


def _is_between(low: _Told, high: _Told, margin: float) -> bool:
    """The two answers hold the flip between them closely, in values or in money."""
    is_tie = max(high.behind, -low.behind) <= TIED * margin
    return high.at - low.at <= (TIED_VALUES if is_tie else CLOSE)


def _first(series: FloatArray, level: float, after: int, last: int) -> int:
    """The first index behind ``after`` at which the series is above the level, or the last."""
    above = np.flatnonzero(series[after + 1 : last + 1] > level)
    return after + 1 + int(above[0]) if above.size else last


def _next(expected: FloatArray, low: _Told, high: _Told | None, last: int) -> int:
    """Where to ask next: beside the flip as the latest answer moves it, inside what is open."""
    if high is None:
        return min(last, _first(expected, -low.shift(expected), low.at, last) + BESIDE)
    near = _first(expected, -high.shift(expected), low.at, high.at)
    at = near - BESIDE if near < high.at or high.at - low.at < 4 * BESIDE else -1
    middle = (low.at + high.at) // 2
    return at if low.at < at < high.at else middle


def _crossing(
    values: FloatArray, expected: FloatArray, margin: float, low: _Told, high: _Told
) -> Crossing:
    """Between the two answers where their straight line says; clear from where what was expected,
    moved by the outer one, passes the margin."""
    assert high.answer is not None
    assert high.answer.rival is not None
    rival = high.answer.rival
    ends = (float(values[low.at]), float(values[high.at]))
    is_line = np.isfinite(low.behind) and np.isfinite(high.behind)
    share = low.behind / (low.behind - high.behind) if is_line else 0.5
    value = ends[0] + share * (ends[1] - ends[0])
    if high.behind > margin:
        share = (margin - low.behind) / (high.behind - low.behind) if is_line else share
        return Crossing(
            value, rival.id, rival.label, ends[0] + max(share, 0.0) * (ends[1] - ends[0])
        )
    moved = expected + high.shift(expected)
    clear = np.flatnonzero(moved[high.at :] > margin)
    clear_value = float(values[high.at + clear[0]]) if clear.size else None
    return Crossing(value, rival.id, rival.label, clear_value)
