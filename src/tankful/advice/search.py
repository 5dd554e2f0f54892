"""The best control of an option: every candidate simulated, settled and compared.

The search runs on a coarser step than the answer, which is simulated anew.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

from tankful.advice.options import Option
from tankful.model.result import Flows
from tankful.model.system import Control, WaterHeater
from tankful.simulate.drive import HomeYear
from tankful.simulate.run import simulate, year_sums

SEARCH_STEP_MIN = 15
"""Longest step of the search; shorter where the answer's own step does not fit into it."""

COLD_DRAWS_MORE = 12
"""Cold draws a control may add to those of the same heater always on: one a month (judgement)."""

LONGEST_BELOW_60_H = 8 * 24.0
"""Longest a store may go without a heat-through: the weekly rule and a day (judgement)."""


@dataclass(frozen=True)
class Trial:
    """One control on one heater for one year."""

    control: Control
    cost: float
    cold_draws: int
    longest_below_60_h: float


@dataclass(frozen=True)
class Found:
    """The chosen trial, the same heater always on, and whether showers stay as warm as asked."""

    best: Trial
    always: Trial
    tried: int
    comfort_kept: bool


def search_step_min(step_min: int) -> int:
    """The search's step for an answer on ``step_min``: a multiple of it that fits the hour."""
    fitting = (n for n in range(step_min, SEARCH_STEP_MIN + 1, step_min) if 60 % n == 0)
    return max(fitting, default=step_min)


def best_control(option: Option, year: HomeYear, cost: Callable[[Flows], float]) -> Found:
    """The cheapest control that keeps comfort and hygiene.

    ``cost`` prices one year of flows. When no candidate keeps both, the one with the
    fewest cold draws is chosen. Always on means on the general circuit: no network keeps a
    controlled one on.
    """

    def trial(control: Control, heater: WaterHeater = option.heater) -> Trial:
        flows = simulate(heater.under(control), year)
        sums = year_sums(flows, year)
        return Trial(control, cost(flows), sums.cold_draws, sums.longest_below_60_h)

    always = trial(
        replace(option.heater.control, kind="always"), replace(option.heater, circuit="general")
    )
    with ThreadPoolExecutor(max_workers=2) as pool:
        trials = list(pool.map(trial, option.controls))
    limit = always.cold_draws + COLD_DRAWS_MORE
    kept = [
        t for t in trials if t.cold_draws <= limit and t.longest_below_60_h <= LONGEST_BELOW_60_H
    ]
    best = (
        min(kept, key=lambda t: t.cost)
        if kept
        else min(trials, key=lambda t: (t.cold_draws, t.cost))
    )
    return Found(best, always, len(trials), best.cold_draws <= limit)
