"""The year of each option beside each size of new panels, under a control that suits it."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

from tankful.advice.compare import Comparison, Progress
from tankful.advice.controls import RESERVES_C, clock_window
from tankful.advice.option import Option
from tankful.advice.panel_homes import HotWaterYear, PaneledHome, hot_water_year
from tankful.advice.search import COLD_DRAWS_TOO_MANY, Standing, discomfort, standing
from tankful.model.answer import OptionResult
from tankful.model.home import Home
from tankful.model.system import Control

Trials = dict[tuple[float, str], HotWaterYear]
"""By size of the new panels [kW] and id of the option."""

SUNNY = ((), (clock_window(10, 6),))
"""Windows of the timers that are tried: the sunny hours; no window where spare sun rules."""

TOP_UPS = ((), (clock_window(12, 4),), (clock_window(14, 4),))
"""When the grid may top up: at any time, or while the sun may still do it."""


def quick_trials(
    homes: Sequence[PaneledHome], lines: Sequence[Sequence[Option]], results: Sequence[OptionResult]
) -> Trials:
    """One option of each line, and few controls, tried beside the size in the middle: the best
    then serves every size. The option and its control that are best without new panels are
    among them."""
    middle = homes[len(homes) // 2]
    options = [_likeliest(line, results) for line in lines]

    def pick(option: Option) -> HotWaterYear:
        found = _control_without(option, results)
        heaters = [option.heater.under(control) for control in few_controls(option, found)]
        tried = [hot_water_year(middle, option, heater) for heater in heaters]
        return min(tried, key=lambda trial: _merit(trial, results, middle.home))

    def beside(job: tuple[PaneledHome, Option, HotWaterYear]) -> HotWaterYear:
        home, option, picked = job
        return picked if home is middle else hot_water_year(home, option, picked.heater)

    with ThreadPoolExecutor(max_workers=2) as pool:
        picked = list(pool.map(pick, options))
        jobs = [(home, *pair) for pair in zip(options, picked, strict=True) for home in homes]
        trials = list(pool.map(beside, jobs))
    return {
        (home.alone.kw, option.id): _judged(trial, results)
        for (home, option, _), trial in zip(jobs, trials, strict=True)
    }


def _likeliest(line: Sequence[Option], results: Sequence[OptionResult]) -> Option:
    """The option of a line that is best without new panels, or else its first."""
    options = {option.id: option for option in line}
    return next((options[item.id] for item in results if item.id in options), line[0])


def few_controls(option: Option, found: Control | None) -> tuple[Control, ...]:
    """The control found without new panels, and those of the option that lean on the sun most,
    all with the least reserve."""
    sunny = [
        control
        for control in option.controls
        if control.windows in SUNNY
        and control.catch_up_windows in TOP_UPS
        and control.catch_up_c == RESERVES_C[0]
    ]
    known = [] if found is None else [found]
    return tuple(dict.fromkeys([*known, *sunny])) or option.controls[:1]


def _control_without(option: Option, results: Sequence[OptionResult]) -> Control | None:
    return next((item.choice.control for item in results if item.id == option.id), None)


def _more_cold(trial: HotWaterYear, results: Sequence[OptionResult]) -> int:
    """Cold draws beyond those of such a heater always on, which new panels do not change;
    failing that, beyond the fewest of its kind."""
    alike = [item for item in results if item.heater.kind == trial.heater.kind]
    always = [item for item in alike if item.choice.control.kind == "always"]
    usual = min((item.sums.cold_draws for item in always or alike), default=0)
    return max(0, trial.sums.cold_draws - usual)


def _merit(
    trial: HotWaterYear, results: Sequence[OptionResult], home: Home
) -> tuple[Standing, float]:
    """The lowest is best, as in the search."""
    more = _more_cold(trial, results)
    stands = standing(trial.heater, trial.sums.longest_below_60_h, more)
    return stands, trial.year_one.total + discomfort(more, home)


def _judged(trial: HotWaterYear, results: Sequence[OptionResult]) -> HotWaterYear:
    return replace(trial, usable=_more_cold(trial, results) <= COLD_DRAWS_TOO_MANY)


def thorough_trials(
    homes: Sequence[PaneledHome], lines: Sequence[Sequence[Option]], progress: Progress
) -> Trials:
    """Every option of each line beside every size, with its controls searched."""
    trials: Trials = {}
    for i, home in enumerate(homes):
        kw = home.alone.kw
        progress(i, len(homes), f"{kw:g} kW of new panels")
        comparison = Comparison(home.home)
        for option in (option for line in lines for option in line):
            found = comparison.search(option)
            trial = hot_water_year(home, option, found.best.heater)
            trials[kw, option.id] = replace(trial, usable=found.usable)
    progress(len(homes), len(homes), "done")
    return trials
