"""Tell apart what a meter adds up: the house, its panels' self-used yield, its water heater.

Arrays have shape ``(365, intervals)`` [kW] unless said; ``covered`` marks the days that a
metered day stands for, ``month`` is 1..12 of each day. Days not covered hold no meaning.
"""

from __future__ import annotations

from math import lcm

import numpy as np

from tankful.clock import BoolArray, FloatArray, IntArray
from tankful.errors import CaseError, Fault

SELF_USE_SHARE = (0.03, 0.95)
"""Share of the panels' yield that a home may use itself; outside it the meter and the panels
of the case do not belong together (judgement)."""

BASE_PERCENTILE = 10.0
"""A month's base load: a tenth of its readings are lower (judgement)."""

_HALF_HOURS_PER_DAY = 48


def resampled(series: FloatArray, per_day: int) -> FloatArray:
    """Mean power on ``per_day`` intervals from any other number of intervals a day."""
    days, had = series.shape
    fine = lcm(had, per_day)
    mean: FloatArray = (
        series.repeat(fine // had, axis=1).reshape(days, per_day, fine // per_day).mean(axis=2)
    )
    return mean


def monthly_profile(series: FloatArray, month: IntArray, covered: BoolArray) -> FloatArray:
    """Each day's power replaced by its month's mean over covered days, by half hour."""
    per_day = series.shape[1]
    slots = _HALF_HOURS_PER_DAY if per_day % _HALF_HOURS_PER_DAY == 0 else 24
    by_slot = resampled(series, slots)
    profile = np.zeros_like(by_slot)
    for m in np.unique(month[covered]):
        profile[month == m] = by_slot[covered & (month == m)].mean(axis=0)
    return profile.repeat(per_day // slots, axis=1)


def self_use_share(yield_kw: FloatArray, export_kw: FloatArray, covered: BoolArray) -> float:
    """Share of the yield that was not exported; minus infinity when nothing was made."""
    made = yield_kw[covered].sum()
    return 1.0 - float(export_kw[covered].sum() / made) if made > 0 else -np.inf


def check_self_use(share: float, export_kwh: float, pv_kw: float | None, file: str) -> None:
    """Raise CaseError when the export does not fit the panels of the case."""
    low, high = SELF_USE_SHARE
    if low <= share <= high:
        return
    panels = "the panels of the case" if pv_kw is None else f"panels of {pv_kw:g} kW in the case"
    if share == -np.inf:
        problem = f"{file} exported {export_kwh:,.0f} kWh, but the case has no panels"
    elif share < 0:
        problem = f"{file} exported {export_kwh:,.0f} kWh, more than {panels} can make"
    else:
        problem = f"by {file} and {panels} the home would use {share:.0%} of what they make itself"
    fault = Fault(
        "electricity.arrays",
        problem,
        allowed=f"{low:.0%} to {high:.0%} used in the home",
        mend="correct the panels' kW, tilt and direction, or give the meter file of this home; "
        "without either, leave `meter_file` out and give `annual_use_kwh`",
    )
    raise CaseError("The meter file and the solar panels do not fit together.", [fault])


def without_heater(
    load_kw: FloatArray, heater_kw: FloatArray, month: IntArray, covered: BoolArray
) -> tuple[FloatArray, float]:
    """The load less the heater's mean profile, and the share of the heater left in it.

    The load is not lowered below the month's base load. What a day could not give up in one
    hour is taken from its other hours in which the heater runs.
    """
    base_kw = np.zeros((load_kw.shape[0], 1))
    for m in np.unique(month[covered]):
        base_kw[month == m] = np.percentile(load_kw[covered & (month == m)], BASE_PERCENTILE)
    floor_kw = np.minimum(load_kw, base_kw)
    house_kw = np.maximum(load_kw - heater_kw, floor_kw)
    left = (heater_kw - (load_kw - house_kw)).sum(axis=1, keepdims=True)
    room_kw = np.where(heater_kw > 0, house_kw - floor_kw, 0.0)
    room = room_kw.sum(axis=1, keepdims=True)
    taken = np.divide(left, room, out=np.zeros_like(left), where=room > 0)
    house_kw = house_kw - room_kw * np.minimum(1.0, taken)
    asked = heater_kw[covered].sum()
    removed = (load_kw - house_kw)[covered].sum()
    return house_kw, max(0.0, float(1.0 - removed / asked)) if asked > 0 else 0.0
