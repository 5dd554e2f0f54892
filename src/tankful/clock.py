"""The simulated year: fixed steps of local standard time, and the clock people live by.

Physics runs on standard time; people, timers and tariffs on clock time (daylight saving,
weekdays, public holidays). The year has 365 days: 29 February is dropped. Every series
is labelled at the start of its step.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from tankful.units import DAYS_PER_YEAR, MINUTES_PER_DAY

IntArray = NDArray[np.int64]
FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class YearClock:
    """One calendar year at a fixed step. All arrays have shape ``(n_steps,)``.

    ``day`` is the standard-time day 0..364 and ``minute`` the standard-time minute of day
    0..1439; ``clock_day`` (0..364, clipped at the year's ends), ``clock_minute``,
    ``clock_month`` (1..12), ``clock_weekday`` (Monday 0) and ``holiday`` follow the clock
    on the wall. ``utc_offset_h`` is the standard offset from UTC.
    """

    year: int
    tz: str
    step_min: int
    utc_offset_h: float
    day: IntArray
    minute: IntArray
    clock_day: IntArray
    clock_minute: IntArray
    clock_month: IntArray
    clock_weekday: IntArray
    holiday: BoolArray

    @property
    def n_steps(self) -> int:
        return int(self.day.size)

    @property
    def step_s(self) -> float:
        return self.step_min * 60.0

    @property
    def steps_per_day(self) -> int:
        return MINUTES_PER_DAY // self.step_min

    def month(self) -> IntArray:
        """Standard-time month 1..12 of each step, shape ``(n_steps,)``."""
        return np.repeat(month_of_day(self.year), self.steps_per_day)


def month_of_day(year: int) -> IntArray:
    """Month 1..12 of each of the 365 days (29 February dropped), shape ``(365,)``."""
    return np.array([d.month for d in dates_of_year(year)], dtype=np.int64)


ANY_COMMON_YEAR = 2027
"""Stands for all years where only the lengths of months matter."""


@lru_cache(maxsize=8)
def dates_of_year(year: int) -> tuple[date, ...]:
    """The 365 dates of ``year``, 29 February left out."""
    first = date(year, 1, 1)
    span = (date(year + 1, 1, 1) - first).days
    days = (first + timedelta(days=i) for i in range(span))
    return tuple(d for d in days if (d.month, d.day) != (2, 29))


def standard_offset_h(year: int, tz: str) -> float:
    """Standard-time offset from UTC [h] in ``year``: the smaller of January's and July's."""
    zone = ZoneInfo(tz)
    seconds = []
    for month in (1, 7):
        offset = datetime(year, month, 15, 12, tzinfo=zone).utcoffset()
        assert offset is not None
        seconds.append(offset.total_seconds())
    return min(seconds) / 3600.0


def public_holidays(year: int, country: str, state: str | None) -> frozenset[date]:
    """Public holidays of a country (ISO 3166 alpha-2) and state from the ``holidays`` library.

    Dates that are not gazetted yet are that library's estimate. An unknown country or
    state gives no holidays, so that places abroad still run.
    """
    import holidays

    supported = holidays.list_supported_countries()
    if country not in supported:
        return frozenset()
    subdivision = state if state in supported[country] else None
    return frozenset(holidays.country_holidays(country, subdiv=subdivision, years=year))


@lru_cache(maxsize=16)
def year_clock(
    year: int, tz: str, step_min: int = 5, country: str = "AU", state: str | None = None
) -> YearClock:
    """Build the year's clock.

    ``step_min`` must divide 60; ``tz`` is an IANA zone name.
    """
    if step_min < 1 or 60 % step_min:
        raise ValueError(f"step_min must divide 60, got {step_min}")
    offset_h = standard_offset_h(year, tz)
    steps_per_day = MINUTES_PER_DAY // step_min
    day = np.repeat(np.arange(DAYS_PER_YEAR), steps_per_day)
    minute = np.tile(np.arange(steps_per_day) * step_min, DAYS_PER_YEAR)
    shift = np.repeat(_clock_shift_min(year, tz, offset_h), 60 // step_min)
    clock_total = day * MINUTES_PER_DAY + minute + shift
    clock_day = np.clip(clock_total // MINUTES_PER_DAY, 0, DAYS_PER_YEAR - 1)
    dates = dates_of_year(year)
    free = public_holidays(year, country, state)
    return YearClock(
        year=year,
        tz=tz,
        step_min=step_min,
        utc_offset_h=offset_h,
        day=day,
        minute=minute,
        clock_day=clock_day,
        clock_minute=clock_total % MINUTES_PER_DAY,
        clock_month=month_of_day(year)[clock_day],
        clock_weekday=np.array([d.weekday() for d in dates])[clock_day],
        holiday=np.array([d in free for d in dates])[clock_day],
    )


def _clock_shift_min(year: int, tz: str, offset_h: float) -> IntArray:
    """Minutes the wall clock is ahead of standard time, for each of the 8,760 hours."""
    zone = ZoneInfo(tz)
    shifts = np.zeros(DAYS_PER_YEAR * 24, dtype=np.int64)
    for i, d in enumerate(dates_of_year(year)):
        start = datetime(d.year, d.month, d.day, tzinfo=UTC) - timedelta(hours=offset_h)
        for hour in range(24):
            offset = (start + timedelta(hours=hour)).astimezone(zone).utcoffset()
            assert offset is not None
            shifts[i * 24 + hour] = round(offset.total_seconds() / 60 - offset_h * 60)
    return shifts


def in_clock_window(minute: IntArray, start_min: int, end_min: int) -> BoolArray:
    """True where ``minute`` (of day) lies in ``[start, end)``; a window may cross midnight.

    Equal start and end mean the whole day.
    """
    if start_min == end_min:
        return np.ones(minute.shape, dtype=bool)
    if start_min < end_min:
        return (minute >= start_min) & (minute < end_min)
    return (minute >= start_min) | (minute < end_min)
