"""The hardest week of the home's year for any water heater: people, draws and cold water."""

from __future__ import annotations

from datetime import timedelta
from functools import lru_cache

import numpy as np

from tankful.clock import FloatArray, dates_of_year
from tankful.model.home import Home
from tankful.model.sizing import WorstWeek
from tankful.units import (
    DAYS_PER_YEAR,
    J_PER_KWH,
    SECONDS_PER_DAY,
    WATER_CP_J_PER_KG_K,
    WATER_KG_PER_L,
)

WEEK_DAYS = 7
PEAK_S = 2 * 3600.0
"""The largest draw is looked for in any two hours: a family's showers in a row (judgement)."""


@lru_cache(maxsize=2)
def worst_week(home: Home) -> WorstWeek:
    """The seven days in a row in which the draws ask for most heat, and its largest two hours.

    A week may run over the year's end into its beginning.
    """
    heat_kwh = draw_heat_kwh(home)
    day = (home.draws.start_s // SECONDS_PER_DAY).astype(np.int64)
    by_day = np.bincount(day, heat_kwh, minlength=DAYS_PER_YEAR)
    weeks = np.convolve(np.concatenate([by_day, by_day[: WEEK_DAYS - 1]]), np.ones(WEEK_DAYS))
    first = int(np.argmax(weeks[WEEK_DAYS - 1 : WEEK_DAYS - 1 + DAYS_PER_YEAR]))
    inside = (day - first) % DAYS_PER_YEAR < WEEK_DAYS
    start_s = home.draws.start_s[inside]
    peak_from, peak_to, peak_kwh = _largest(start_s, heat_kwh[inside])
    dates = dates_of_year(home.clock.year)
    peak = slice(peak_from, peak_to)
    return WorstWeek(
        first=dates[first],
        last=dates[first] + timedelta(days=WEEK_DAYS - 1),
        heat_kwh=float(by_day.take(range(first, first + WEEK_DAYS), mode="wrap").sum()),
        day_kwh=float(heat_kwh[inside].sum()) / WEEK_DAYS,
        cold_c=float(np.average(_cold_c(home)[inside], weights=heat_kwh[inside] + 1e-9)),
        peak_kwh=peak_kwh,
        peak_l=float(home.draws.mixed_l[inside][peak].sum()),
        peak_showers=int((home.draws.mixed_l[inside][peak] >= 10.0).sum()),
        peak_start_s=float(start_s[peak_from]),
        first_day=first,
    )


def _largest(start_s: FloatArray, heat_kwh: FloatArray) -> tuple[int, int, float]:
    """The draws that begin within two hours and ask for most heat: first, end, heat."""
    before = np.concatenate([[0.0], np.cumsum(heat_kwh)])
    end = np.searchsorted(start_s, start_s + PEAK_S)
    sums = before[end] - before[:-1]
    first = int(np.argmax(sums))
    return first, int(end[first]), float(sums[first])


def draw_heat_kwh(home: Home) -> FloatArray:
    """Heat that each draw asks for above the cold water of its day [kWh]."""
    lift_k = np.maximum(0.0, home.draws.wanted_c - _cold_c(home))
    kg = home.draws.mixed_l * WATER_KG_PER_L
    return np.asarray(kg * lift_k * WATER_CP_J_PER_KG_K / J_PER_KWH)


def _cold_c(home: Home) -> FloatArray:
    step = (home.draws.start_s // home.clock.step_s).astype(np.int64)
    return home.cold_water_c[np.minimum(step, home.clock.n_steps - 1)]


def litres_for(heat_kwh: float, home: Home, hot_c: float) -> float:
    """Litres of a tank that hold so much heat above the hardest week's cold water."""
    per_l = WATER_CP_J_PER_KG_K * WATER_KG_PER_L / J_PER_KWH
    return heat_kwh / (per_l * max(hot_c - worst_week(home).cold_c, 1.0))
