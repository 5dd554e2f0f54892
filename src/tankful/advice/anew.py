"""New answers at other values of an input that is simulated, as ``advise`` would give them.

Every option that comes near the cheapest is searched anew, on the answer's own step; those far
behind are left out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from tankful.advice.along import Landscape
from tankful.advice.circumstances import TODAY, Circumstances, heater_in, home_in, spares_home
from tankful.advice.compare import Comparison, Evaluated
from tankful.advice.fit import rule_out_simulated
from tankful.advice.levers import Lever
from tankful.advice.option import Option
from tankful.advice.options import build_options
from tankful.clock import FloatArray

SEARCH_MIN = 60
"""Longest step of the search; the figures are made on the answer's own step."""

NEAR_SHARE = 0.10
"""An option that would cost so much more than the cheapest, under few settings, is not looked at
again: none of the examples gains more by a setting of its own (judgement)."""

NEAR_MARGINS = 2.0
"""The same in tie margins, whichever is more."""


@dataclass(frozen=True, eq=False)
class NewAnswer:
    """What a new answer says of today's best option.

    ``behind`` [money] is what it costs more than the cheapest other, below zero where it leads
    and infinite where only one of them may be recommended; ``rival`` is that other.
    """

    behind: float
    rival: Option | None


def near(land: Landscape, costs: FloatArray, usable: FloatArray) -> set[str]:
    """Options near the cheapest one, by id, with those that may be spared their cold showers.

    ``costs`` and ``usable`` have shape ``(n_options,)``.
    """
    stand = costs[usable] if usable.any() else costs
    margin = NEAR_MARGINS * land.fine.home.case.wishes.tie_margin
    limit = stand.min() + max(margin, NEAR_SHARE * abs(float(stand.min())))
    found = {land.fine.options[i].id for i in np.flatnonzero(costs <= limit)}
    return found | {land.fine.options[land.best].id}


def new_answer(land: Landscape, lever: Lever, value: float, ids: set[str]) -> NewAnswer:
    """The answer with the input at ``value``, of the options ``ids`` and of those that only the
    other value brings."""
    _, how = lever.turn(land.fine.home, TODAY, value)
    comparison = _comparison(land, how)
    home = comparison.home
    known = {option.id for option in land.fine.options}
    options = [
        replace(option, heater=heater_in(option.heater, how))
        for option in build_options(home)[0]
        if option.id in ids or option.id not in known
    ]
    found = [comparison.evaluate(option) for option in options]
    return _judged(land, rule_out_simulated(home, found)[0])


def _comparison(land: Landscape, how: Circumstances) -> Comparison:
    """The home in other circumstances; today's with all its trials where only heaters differ."""
    if spares_home(how):
        return land.comparison
    home = home_in(land.fine.home, how)
    return Comparison(home, other_sizes=False, search_min=SEARCH_MIN)


def _judged(land: Landscape, found: Sequence[Evaluated]) -> NewAnswer:
    best_id = land.fine.options[land.best].id
    best = next((item for item in found if item.option.id == best_id), None)
    others = [item for item in found if item.option.id != best_id]
    rival = min(others, key=_place, default=None)
    if rival is None:
        return NewAnswer(-math.inf, None)
    if best is None:
        return NewAnswer(math.inf, rival.option)
    if best.choice.usable != rival.choice.usable:
        return NewAnswer(-math.inf if best.choice.usable else math.inf, rival.option)
    behind = best.life.net_present_cost - rival.life.net_present_cost
    return NewAnswer(behind, rival.option)


def _place(item: Evaluated) -> tuple[bool, float]:
    return not item.choice.usable, item.life.net_present_cost
