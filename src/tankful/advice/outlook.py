"""Every option's cost under other circumstances than today's.

An ``Outlook`` holds each option under the few controls that are best at some price, with what the
meters count under each. Other prices settle those meters again, and each option takes the control
that is then cheapest; other physics (use, sun, heater) simulates the same controls again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain

import numpy as np

from tankful.advice.circumstances import TODAY, Circumstances, heater_in, home_in, spares_home
from tankful.advice.compare import Comparison
from tankful.advice.life import bought_present_cost, energy_present_weights, mean_feed_in_lost
from tankful.advice.option import Option
from tankful.advice.search import Judge, Trial, always_on, is_usable
from tankful.advice.settle import Bills, HomeMoney, Meters, bills, leaves_gas, year_one
from tankful.clock import BoolArray, FloatArray, IntArray
from tankful.model.home import Home
from tankful.model.system import WaterHeater
from tankful.money.finance import annuity_pv
from tankful.simulate.coarse import coarser
from tankful.simulate.drive import home_year


@dataclass(frozen=True, eq=False)
class Choices:
    """One option under the controls worth having at some price, and its heater always on."""

    option: Option
    always: Trial
    trials: tuple[Trial, ...]

    @property
    def all(self) -> tuple[Trial, ...]:
        """Its trials, always on first."""
        return (self.always, *self.trials)

    @property
    def usable(self) -> bool:
        """Showers stay warm enough for it to stand among the others."""
        return is_usable(self.trials[0], self.always)


@dataclass(frozen=True, eq=False)
class Outlook:
    """What every option costs over the horizon under the prices of ``home``.

    ``correction`` [money], shape ``(n_options,)``, is added to the costs: what a longer step
    misses at today's values.
    """

    home: Home
    choices: tuple[Choices, ...]
    meters_without: Meters
    correction: FloatArray

    @property
    def options(self) -> tuple[Option, ...]:
        return tuple(choice.option for choice in self.choices)

    @cached_property
    def usable(self) -> BoolArray:
        """Options that stand among the others, shape ``(n_options,)``."""
        return np.array([choice.usable for choice in self.choices])

    def under(self, home: Home) -> Outlook:
        """The same meters under the prices of ``home``: the same home, the same plan hours."""
        return replace(self, home=home)

    def trial_costs(self) -> FloatArray:
        """Net present cost of each trial of each option in turn [money]; linear in every
        price."""
        without = bills(self.home, self.meters_without, burns_gas=False)
        weights = energy_present_weights(self.home)
        costs = []
        for choice in self.choices:
            bought = self._bought(choice.option)
            for trial in choice.trials:
                costs.append(bought + self._energy(choice.option, trial, without, weights))
        return np.array(costs)

    def _bought(self, option: Option) -> float:
        leaving = self.home.gas_leaving_cost if leaves_gas(self.home, option.burns_gas) else 0.0
        return bought_present_cost(self.home, option, leaving)

    def _energy(
        self, option: Option, trial: Trial, without: Bills, weights: tuple[float, float, float]
    ) -> float:
        year = year_one(bills(self.home, trial.meters, option.burns_gas), without)
        electricity, feed_in, gas = weights
        return (
            year.electricity * electricity
            + mean_feed_in_lost(self.home, year) * feed_in
            + (year.gas_use + year.gas_supply) * gas
        )

    def cheapest(self, trial_costs: FloatArray) -> FloatArray:
        """Each option's cost under the control that costs least with its discomfort, which is
        not in the cost: ``(..., n_trials)`` to ``(..., n_options)`` [money]."""
        best = self._best_trial(trial_costs)
        return np.take_along_axis(trial_costs, best, axis=-1) + self.correction

    def settled(self) -> Outlook:
        """Each option with nothing but the control that is best at these prices."""
        best = self._best_trial(self.trial_costs())
        trials = [trial for choice in self.choices for trial in choice.trials]
        choices = tuple(
            replace(choice, trials=(trials[i],))
            for choice, i in zip(self.choices, best, strict=True)
        )
        return replace(self, choices=choices)

    def few(self) -> Outlook:
        """Each option with the control that is best at these prices and the one with the fewest
        cold draws: for circumstances, which take a year of each to work out."""
        settled = self.settled()
        choices = []
        for choice, best in zip(self.choices, settled.choices, strict=True):
            warmest = min(choice.trials, key=lambda trial: (trial.cold_draws, trial.cost))
            kept = dict.fromkeys([best.trials[0].heater, warmest.heater])
            trials = tuple(trial for trial in choice.trials if trial.heater in kept)
            choices.append(replace(choice, trials=trials))
        return replace(self, choices=tuple(choices))

    def _best_trial(self, trial_costs: FloatArray) -> IntArray:
        """Index among all trials of each option's best, ``(..., n_options)``."""
        merit = trial_costs + self._discomfort
        ends = np.cumsum([len(choice.trials) for choice in self.choices])
        best = [part.argmin(axis=-1) for part in np.split(merit, ends[:-1], axis=-1)]
        first: IntArray = np.stack(best, axis=-1) + np.concatenate([[0], ends[:-1]])
        return first

    @cached_property
    def _discomfort(self) -> FloatArray:
        """What the cold draws of each trial are worth avoiding over the years [money]."""
        wishes = self.home.case.wishes
        years = annuity_pv(1.0, wishes.discount_rate_real, wishes.horizon_years)
        return years * np.array(
            [
                trial.discomfort(choice.always, self.home)
                for choice in self.choices
                for trial in choice.trials
            ]
        )

    def simulated(self, how: Circumstances, step_min: int) -> Outlook:
        """The same controls of the same options, today's, simulated in other circumstances."""
        today = coarser(self.home, step_min)
        home = home_in(today, how)
        money = HomeMoney.of(home, home_year(home))
        judge = Judge(money)
        if today is self.home and spares_home(how):
            judge.done.update(
                (trial.heater, trial) for choice in self.choices for trial in choice.all
            )
        runs = [[heater_in(heater, how) for heater in _heaters(c)] for c in self.choices]
        judge.trials(list(dict.fromkeys(chain.from_iterable(runs))))
        choices = tuple(
            _choices(choice.option, judge.trial(always), [judge.trial(heater) for heater in some])
            for choice, (always, *some) in zip(self.choices, runs, strict=True)
        )
        return replace(self, home=home, choices=choices, meters_without=money.meters_without)

    def on_step(self, step_min: int) -> Outlook:
        """The same on another step, corrected so that today's costs are the same."""
        rough = self.simulated(TODAY, step_min)
        missed = self.cheapest(self.trial_costs()) - rough.cheapest(rough.trial_costs())
        return replace(rough, correction=self.correction + missed)


def outlook_of(comparison: Comparison, options: Sequence[Option], homes: Sequence[Home]) -> Outlook:
    """Every option under the controls that are best today or at the prices of ``homes``."""
    heaters = [comparison.worthwhile(option, homes) for option in options]
    always = [always_on(option) for option in options]
    comparison.trials(list(dict.fromkeys(chain(always, *heaters))))
    choices = tuple(
        _choices(option, comparison.trials([base])[0], comparison.trials(some))
        for option, base, some in zip(options, always, heaters, strict=True)
    )
    without = comparison.money.meters_without
    return Outlook(comparison.home, choices, without, np.zeros(len(choices)))


def _heaters(choice: Choices) -> list[WaterHeater]:
    return [always_on(choice.option), *(trial.heater for trial in choice.trials)]


def _choices(option: Option, always: Trial, trials: Sequence[Trial]) -> Choices:
    """Keep the trials that stand best, as the search does."""
    least = min(trial.standing(always) for trial in trials)
    kept = tuple(trial for trial in trials if trial.standing(always) == least)
    return Choices(option, always, kept)
