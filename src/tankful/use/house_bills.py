"""A home's electricity use without water heating, from what its bills say was bought."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from tankful.clock import FloatArray, YearClock
from tankful.units import DAYS_PER_YEAR
from tankful.use.bill_fit import year_days
from tankful.use.load_shape import relative_load

Period = tuple[date, date, float]
"""First and last day, and what was bought [kWh]."""


@dataclass(frozen=True, eq=False)
class BilledLoad:
    """House load [W], shape ``(n_steps,)``; days of the year that bills stand for; and the share
    of what was billed by which water heating alone exceeds it."""

    house_w: FloatArray
    covered_days: int
    excess_share: float


def load_from_bills(
    clock: YearClock,
    bills: Sequence[Period],
    *,
    pv_w: FloatArray | None = None,
    heater_w: FloatArray | None = None,
    southern: bool = True,
) -> BilledLoad:
    """The published daily shape at the level at which the home buys what each bill says.

    Bills hold what the house and an electric water heater ``heater_w`` on the same circuit take
    beyond the panels' yield ``pv_w``, both modelled, shape ``(n_steps,)`` [W]; what the home
    used of its own sun is so in the load. Days of several bills take the mean of their levels,
    days of none the mean of all.
    """
    by_day = (DAYS_PER_YEAR, clock.steps_per_day)
    relative = relative_load(clock, southern=southern).reshape(by_day)
    beside_kw = np.zeros(by_day)
    if pv_w is not None:
        beside_kw -= pv_w.reshape(by_day) / 1000.0
    if heater_w is not None:
        beside_kw += heater_w.reshape(by_day) / 1000.0
    step_h = clock.step_min / 60.0
    level_sums_kw, counts = np.zeros(DAYS_PER_YEAR), np.zeros(DAYS_PER_YEAR)
    excess_kwh = 0.0
    for first, last, kwh in bills:
        days = year_days(first, last)
        level_kw, beyond_kwh = _level(relative[days], beside_kw[days], kwh, step_h)
        np.add.at(level_sums_kw, days, level_kw)
        np.add.at(counts, days, 1.0)
        excess_kwh += beyond_kwh
    usual_kw = level_sums_kw.sum() / counts.sum()
    covered = counts > 0.0
    levels_kw = np.where(covered, level_sums_kw / np.maximum(counts, 1.0), usual_kw)
    return BilledLoad(
        house_w=(relative * levels_kw[:, None]).ravel() * 1000.0,
        covered_days=int(covered.sum()),
        excess_share=excess_kwh / sum(kwh for _, _, kwh in bills),
    )


def bought_kwh(load_kw: FloatArray, step_h: float) -> float:
    """Energy from the grid where ``load_kw``, less own sun, is above nought."""
    return float(np.maximum(0.0, load_kw).sum()) * step_h


def _level(
    relative: FloatArray, beside_kw: FloatArray, kwh: float, step_h: float
) -> tuple[float, float]:
    """Mean power of the house [kW] at which ``kwh`` is bought; and by how much what is beside it
    alone exceeds that [kWh], in which case the house uses nothing."""
    from scipy.optimize import brentq

    without_kwh = bought_kwh(beside_kw, step_h)
    if without_kwh >= kwh:
        return 0.0, without_kwh - kwh
    own_sun_kw = float(np.maximum(0.0, -beside_kw).sum())
    most_kw = (kwh / step_h + own_sun_kw) / float(relative.sum())  # as if no load met the sun
    found = brentq(
        lambda level_kw: bought_kwh(level_kw * relative + beside_kw, step_h) - kwh,
        0.0,
        1.01 * most_kw,  # above any rounding
    )
    return float(found), 0.0
