"""Which metered day stands for each day of the simulated year."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from tankful.clock import BoolArray, IntArray, YearClock, dates_of_year
from tankful.units import DAYS_PER_YEAR
from tankful.use.meter import MeterData

NEAR_DAYS = 3
"""A full year of readings has a like weekday so near to every day, but for a few days at the
ends of the file."""

FAR_DAYS = 28
"""Readings further off say little about the season (judgement)."""

DAYS_PER_YEAR_OF_AGE = 10
"""A reading a year older is taken only where it is so many days nearer (judgement)."""


@dataclass(frozen=True, eq=False)
class PlacedDays:
    """For each of the 365 days: ``index`` into the metered days, -1 where none will do, and
    ``near``, whether that day is within three days of the year's day. Shape ``(365,)``."""

    index: IntArray
    near: BoolArray

    @property
    def covered(self) -> BoolArray:
        """Days that some metered day stands for."""
        return self.index >= 0


def place_days(meter: MeterData, clock: YearClock) -> PlacedDays:
    """Take for each day the metered day of the same weekday that is nearest in the year.

    Readings of the last 365 days are preferred to older ones; none further than 28 days off
    is taken.
    """
    metered = np.array([_day_of_year(day) for day in meter.dates])
    metered_weekday = np.array([day.weekday() for day in meter.dates])
    age_days = np.array([(meter.dates[-1] - day).days for day in meter.dates])
    penalty = DAYS_PER_YEAR_OF_AGE * (age_days // DAYS_PER_YEAR)
    index = np.full(DAYS_PER_YEAR, -1)
    near = np.zeros(DAYS_PER_YEAR, dtype=bool)
    year_weekday = np.array([day.weekday() for day in dates_of_year(clock.year)])
    for weekday in range(7):
        days = np.flatnonzero(year_weekday == weekday)
        candidates = np.flatnonzero(metered_weekday == weekday)
        if not candidates.size:
            continue
        apart = np.abs(days[:, None] - metered[candidates])
        apart = np.minimum(apart, DAYS_PER_YEAR - apart)
        best = np.argmin(apart + penalty[candidates], axis=1)
        distance = apart[np.arange(days.size), best]
        index[days] = np.where(distance <= FAR_DAYS, candidates[best], -1)
        near[days] = distance <= NEAR_DAYS
    return PlacedDays(index, near)


def _day_of_year(day: date) -> int:
    """0..364 in a year without 29 February, which counts as the 28th."""
    if (day.month, day.day) == (2, 29):
        day = date(day.year, 2, 28)
    return (day.replace(year=2001) - date(2001, 1, 1)).days
