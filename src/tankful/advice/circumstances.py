"""Another year or another home than the case's: more people, more sun, a better heat pump.

Everything here changes physics, so that options must be simulated again. More hot water is what the
case would make of more litres: a household draws more often, a standard day draws for longer.
Arrays grow with their inverter; air and cold water warm alike. Another year's weather has the same
days of each month in another order.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from tankful.casefile.household import draws_of_litres
from tankful.clock import FloatArray, IntArray, YearClock, month_of_day
from tankful.model.home import Home
from tankful.model.system import WaterHeater
from tankful.use.draws import YEAR_S, Draws

RUN_DAYS = 5
"""Days that keep together when the weather of a month comes in another order (judgement)."""


@dataclass(frozen=True)
class Circumstances:
    """Factors on what the case has, and degrees added to it."""

    hot_water: float = 1.0
    """On the litres of hot water."""
    house_use: float = 1.0
    """On what the house uses besides hot water."""
    panels: float = 1.0
    """On the size of the arrays with their inverter."""
    sun: float = 1.0
    """On what panels and collectors catch."""
    air_k: float = 0.0
    """Warmer air and cold water [K]."""
    heat_pump: float = 1.0
    """On the heat a heat pump gives for its electricity."""
    weather: int = 0
    """Which order the days of each month come in; 0 is the case's own."""

    def with_(self, name: str, value: float) -> Circumstances:
        """The same with one of the fields changed."""
        changed: dict[str, Any] = {name: value}
        return replace(self, **changed)


TODAY = Circumstances()


def spares_home(how: Circumstances) -> bool:
    """Whether nothing but heaters differs from today."""
    return how.with_("heat_pump", TODAY.heat_pump) == TODAY


def home_in(home: Home, how: Circumstances) -> Home:
    """The home in other circumstances, its prices the same."""
    order = day_order(home.clock, how.weather)

    def sky(series: FloatArray) -> FloatArray:
        if how.weather == 0:
            return series
        reordered: FloatArray = series.reshape(order.size, -1)[order].reshape(-1)
        return reordered

    return replace(
        home,
        temp_air_c=sky(home.temp_air_c) + how.air_k,
        wet_bulb_c=sky(home.wet_bulb_c) + how.air_k,
        cold_water_c=np.maximum(1.0, home.cold_water_c + how.air_k),
        house_w=home.house_w * how.house_use,
        pv_w=sky(home.pv_w) * (how.panels * how.sun),
        direct_pv_w=sky(home.direct_pv_w) * how.sun,
        absorbed_w_per_m2={
            collector: sky(series) * how.sun for collector, series in home.absorbed_w_per_m2.items()
        },
        draws=_draws(home, how.hot_water),
    )


def day_order(clock: YearClock, weather: int) -> IntArray:
    """Days of the year [0 to 364] in the order of another year's weather, shape ``(365,)``.

    Runs of ``RUN_DAYS`` change places within their month, so that dull spells stay together.
    """
    month = month_of_day(clock.year)
    days = np.arange(month.size)
    if weather == 0:
        return days
    rng = np.random.default_rng(weather)
    order = []
    for number in range(1, 13):
        of_month = days[month == number]
        runs = np.split(of_month, range(RUN_DAYS, of_month.size, RUN_DAYS))
        order += [runs[i] for i in rng.permutation(len(runs))]
    return np.concatenate(order)


def heater_in(heater: WaterHeater, how: Circumstances) -> WaterHeater:
    """The heater in other circumstances."""
    pump = heater.heat_pump
    if pump is None or how.heat_pump == 1.0:
        return heater
    return replace(heater, heat_pump=replace(pump, cop=pump.cop * how.heat_pump))


def _draws(home: Home, factor: float) -> Draws:
    """The draws of so many times the hot water, as the case would have them."""
    people = home.case.people
    if factor == 1.0 or people.pattern != "household":
        return _longer(home.draws, factor)
    litres = people.hot_litres_per_person_per_day * factor
    return draws_of_litres(home.clock, home.place, people, litres)


def _longer(draws: Draws, factor: float) -> Draws:
    duration_s = draws.duration_s * factor
    return replace(
        draws,
        mixed_l=draws.mixed_l * factor,
        duration_s=duration_s,
        start_s=np.minimum(draws.start_s, YEAR_S - duration_s),
    )
