"""The best control of an option: every candidate simulated, settled and compared.

All candidates are tried on a long step; the few best are then judged on the answer's own.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace

from tankful.advice.option import Option
from tankful.advice.settle import HomeMoney, Meters, bills, search_cost
from tankful.model.case import BURNS_GAS, INLINE_BOOSTED
from tankful.model.home import Home
from tankful.model.system import Control, WaterHeater
from tankful.simulate.comfort import cold_events, longest_gap_h
from tankful.simulate.run import simulate

SEARCH_STEP_MIN = 15
"""Longest step of the search; shorter where the answer's own step does not fit into it."""

SHORTLIST = 6
"""Candidates judged again on the answer's step."""

COLD_DRAWS_MORE = 12
"""More cold draws than this beyond those of always on, one a month, and the option is marked
(judgement)."""

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


Standing = tuple[bool, int]
"""Heat-throughs too seldom; cold draws too many. The lower, the better."""


def standing(heater: WaterHeater, longest_below_60_h: float, colder: int) -> Standing:
    """What no price outweighs: heat-throughs too seldom, and ``colder`` draws beyond those of the
    same heater always on, as far as they are more than one a week."""
    too_seldom = longest_below_60_h > longest_allowed_h(heater)
    return too_seldom, max(0, colder - COLD_DRAWS_TOO_MANY)


def discomfort(colder: int, home: Home) -> float:
    """What so many colder draws are worth avoiding [money/year]."""
    return home.case.wishes.cold_shower_cost * max(0, colder)


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

    def colder(self, always: Trial) -> int:
        """Cold draws beyond those of the same heater always on; all of them where water is heated
        as it flows, as the power itself fails."""
        usual = 0 if self.heater.kind in INLINE_BOOSTED else always.cold_draws
        return self.cold_draws - usual

    def standing(self, always: Trial) -> Standing:
        """What no price outweighs."""
        return standing(self.heater, self.longest_below_60_h, self.colder(always))

    def discomfort(self, always: Trial, home: Home) -> float:
        """What its cold draws beyond those of always on are worth avoiding [money/year]."""
        return discomfort(self.colder(always), home)


@dataclass(frozen=True)
class Found:
    """The chosen trial, the same heater always on, and whether showers stay as warm as asked."""

    best: Trial
    always: Trial
    tried: int
    comfort_kept: bool
    usable: bool
    """False with more than one cold shower a week beyond those of always on."""


def search_step_min(step_min: int, longest_min: int = SEARCH_STEP_MIN) -> int:
    """The search's step for an answer on ``step_min``: a multiple of it that fits the hour."""
    fitting = (n for n in range(step_min, longest_min + 1, step_min) if 60 % n == 0)
    return max(fitting, default=step_min)


def always_on(option: Option) -> WaterHeater:
    """The option's heater always on, on the general circuit: no network keeps a controlled one
    on."""
    general = replace(option.heater, circuit="general")
    return general.under(replace(option.heater.control, kind="always", sanitise_early_h=None))


def is_usable(trial: Trial, always: Trial) -> bool:
    """Whether an option run so stands among the others: at most one more cold draw a week."""
    return trial.colder(always) <= COLD_DRAWS_TOO_MANY


def best_control(option: Option, coarse: Judge, fine: Judge) -> Found:
    """The control with the least bills and discomfort among those that stand best."""
    always = fine.trial(always_on(option))
    heaters = [option.heater.under(control) for control in option.controls]
    if len(heaters) > SHORTLIST:
        heaters = _shortlist(option, heaters, coarse)
    best = _ranked(option, [fine.trial(heater) for heater in heaters], fine, fine.money.home)[0]
    return Found(
        best,
        always,
        len(option.controls),
        comfort_kept=best.colder(always) <= COLD_DRAWS_MORE,
        usable=is_usable(best, always),
    )


def _shortlist(option: Option, heaters: list[WaterHeater], coarse: Judge) -> list[WaterHeater]:
    """The best on the long step."""
    trials = [coarse.trial(heater) for heater in heaters]
    ranked = _ranked(option, trials, coarse, coarse.money.home)
    return [trial.heater for trial in ranked[:SHORTLIST]]


def _ranked(option: Option, trials: Sequence[Trial], judge: Judge, home: Home) -> list[Trial]:
    """Trials at the prices of ``home``, best first."""
    always = judge.trial(always_on(option))

    def merit(trial: Trial) -> tuple[Standing, float]:
        cost = search_cost(home, bills(home, trial.meters, option.burns_gas))
        return trial.standing(always), cost + trial.discomfort(always, home)

    return sorted(trials, key=merit)


def worthwhile(
    option: Option, coarse: Judge, fine: Judge, homes: Sequence[Home]
) -> list[WaterHeater]:
    """The option's heater under the controls that are best today or at the prices of one of
    ``homes``, and under the one with the fewest cold draws; all of them where they are few."""
    heaters = [option.heater.under(control) for control in option.controls]
    if len(heaters) <= SHORTLIST:
        return heaters
    trials = coarse.trials(heaters)
    best = [_ranked(option, trials, coarse, home)[0].heater for home in homes]
    warmest = min(trials, key=lambda trial: (trial.cold_draws, trial.cost)).heater
    today = best_control(option, coarse, fine).best.heater
    return list(dict.fromkeys([today, warmest, *best]))
