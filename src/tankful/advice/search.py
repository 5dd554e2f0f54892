"""The best control of an option: every candidate simulated, settled and compared.

All candidates are tried on a long step; the few best are then judged on the answer's own.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace

from tankful.advice.option import Option
from tankful.advice.settle import HomeMoney, Meters, bills, search_cost
from tankful.model.case import BURNS_GAS
from tankful.model.system import Control, WaterHeater
from tankful.simulate.comfort import cold_events, longest_gap_h
from tankful.simulate.run import simulate

SEARCH_STEP_MIN = 15
"""Longest step of the search; shorter where the answer's own step does not fit into it."""

SHORTLIST = 6
"""Candidates judged again on the answer's step."""

COLD_DRAWS_MORE = 12
"""Cold draws a control may add to those of the same heater always on: one a month (judgement)."""

COLD_DRAWS_TOO_MANY = 52
"""More of them than this, one a week, and the option stands behind all others (judgement)."""

LONGEST_BELOW_60_H = 8 * 24.0
"""Longest a store may go without a heat-through: the weekly rule and a day (judgement)."""

DAILY_BELOW_60_H = 48.0
"""The same for a tank that the sun preheats, whose boosted part alone is looked at: once every
day, early on one and late on the next."""


def longest_allowed_h(heater: WaterHeater) -> float:
    """Longest that the heater's store may go without a heat-through [h]."""
    return DAILY_BELOW_60_H if heater.heater_height > 0.0 else LONGEST_BELOW_60_H


@dataclass(frozen=True)
class Judge:
    """A year to simulate in, what its energy costs, and the trials so far.

    Several options share a heater.
    """

    money: HomeMoney
    done: dict[WaterHeater, Trial] = field(default_factory=dict)

    def trial(self, heater: WaterHeater) -> Trial:
        """One heater under its control for the year."""
        if heater not in self.done:
            flows = simulate(heater, self.money.year)
            meters = self.money.meters(flows)
            paid = bills(self.money.home, meters, heater.kind in BURNS_GAS)
            self.done[heater] = Trial(
                heater,
                meters,
                search_cost(self.money.home, paid),
                cold_events(flows.outlet_c, self.money.year.draws),
                longest_gap_h(flows.since_hot_h),
            )
        return self.done[heater]

    def trials(self, heaters: Sequence[WaterHeater]) -> list[Trial]:
        """The same for several, two at a time: the compiled year lets other threads run."""
        with ThreadPoolExecutor(max_workers=2) as pool:
            return list(pool.map(self.trial, heaters))


@dataclass(frozen=True)
class Trial:
    """One heater under one control for one year."""

    heater: WaterHeater
    meters: Meters
    cost: float
    cold_draws: int
    longest_below_60_h: float

    @property
    def control(self) -> Control:
        return self.heater.control

    def misses(self, cold_limit: int) -> tuple[int, bool]:
        """Cold draws beyond the limit, and whether the heat-through comes too seldom."""
        too_seldom = self.longest_below_60_h > longest_allowed_h(self.heater)
        return max(0, self.cold_draws - cold_limit), too_seldom


@dataclass(frozen=True)
class Found:
    """The chosen trial, the same heater always on, and whether showers stay as warm as asked."""

    best: Trial
    always: Trial
    tried: int
    comfort_kept: bool
    usable: bool
    """False with more than one cold shower a week beyond those of always on."""


def search_step_min(step_min: int) -> int:
    """The search's step for an answer on ``step_min``: a multiple of it that fits the hour."""
    fitting = (n for n in range(step_min, SEARCH_STEP_MIN + 1, step_min) if 60 % n == 0)
    return max(fitting, default=step_min)


def best_control(option: Option, coarse: Judge, fine: Judge) -> Found:
    """The cheapest control that keeps comfort and hygiene.

    When no candidate keeps both, the one with the fewest cold draws is chosen. Always on
    means on the general circuit: no network keeps a controlled one on.
    """
    general = replace(option.heater, circuit="general")
    always_heater = general.under(replace(option.heater.control, kind="always"))
    always = fine.trial(always_heater)
    cold_limit = always.cold_draws + COLD_DRAWS_MORE
    heaters = [option.heater.under(control) for control in option.controls]
    if len(heaters) > SHORTLIST:
        heaters = _shortlist(heaters, coarse, always_heater)
    finals = fine.trials(heaters)
    best = min(finals, key=lambda trial: (trial.misses(cold_limit), trial.cost))
    more = best.cold_draws - always.cold_draws
    return Found(
        best,
        always,
        len(option.controls),
        comfort_kept=more <= COLD_DRAWS_MORE,
        usable=more <= COLD_DRAWS_TOO_MANY,
    )


def _shortlist(
    heaters: list[WaterHeater], judge: Judge, always_heater: WaterHeater
) -> list[WaterHeater]:
    """The best on the long step: half within the limits there, half up to twice as many cold
    draws, as the long step shifts a few."""
    limit = judge.trial(always_heater).cold_draws + COLD_DRAWS_MORE
    trials = judge.trials(heaters)
    sound = sorted(trials, key=lambda trial: (trial.misses(limit), trial.cost))
    bold = sorted(trials, key=lambda trial: (trial.misses(2 * limit), trial.cost))
    ordered = [t for pair in zip(sound, bold, strict=True) for t in pair]
    return list(dict.fromkeys(t.heater for t in ordered))[:SHORTLIST]
