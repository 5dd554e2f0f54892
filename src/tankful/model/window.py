"""Clock windows: months, kinds of day, hours of the day."""

from __future__ import annotations

import re
from calendar import month_name
from typing import Annotated, Literal

import numpy as np
from pydantic import AfterValidator, Field

from tankful.clock import BoolArray, YearClock, in_clock_window
from tankful.model.fields import Table, UnfitError, field

DayKind = Literal["all", "weekday", "weekend"]
_HHMM = re.compile(r"([01]?\d|2[0-4]):([0-5]\d)", re.ASCII)


def minute_of_day(text: str) -> int:
    """``"HH:MM"`` to minutes after midnight; ``"24:00"`` is midnight at the day's end."""
    match = _HHMM.fullmatch(text)
    if not match or (match[1] == "24" and match[2] != "00"):
        raise UnfitError("not a time of day", 'write hours and minutes such as `"07:00"|07:00`')
    return int(match[1]) * 60 + int(match[2])


def hhmm(minute: int) -> str:
    """Minutes after midnight to ``"HH:MM"``."""
    return f"{minute // 60 % 24:02d}:{minute % 60:02d}"


def _check_time(text: str) -> str:
    minute_of_day(text)
    return text


TimeOfDay = Annotated[str, AfterValidator(_check_time)]
CLOCK = 'from `"00:00" to "24:00"|00:00 to 24:00`'
Month = Annotated[int, Field(ge=1, le=12)]


class Window(Table):
    """When something applies, by the clock on the wall. Everything left out means always."""

    start: TimeOfDay = field(
        "00:00", about="when it begins, by the clock on the wall", allowed=CLOCK
    )
    end: TimeOfDay = field(
        "24:00",
        about="when it ends, by the clock on the wall; may lie past midnight (22:00 to 07:00)",
        allowed=CLOCK,
    )
    days: DayKind = field(
        "all",
        about="days of the week: `weekday is Monday to Friday, |`public holidays count as weekend",
    )
    months: Annotated[tuple[Month, ...], Field(strict=False)] = field(
        (), about="months 1 to 12", when_absent="all year", allowed="numbers from 1 to 12"
    )

    def covers(self, month: np.ndarray, weekend: BoolArray, minute: np.ndarray) -> BoolArray:
        """Mask of the steps inside; arguments are same-shaped arrays of clock values.

        A window past midnight belongs, hour by hour, to the day the hour is in.
        """
        start, end = minute_of_day(self.start), minute_of_day(self.end)
        inside = in_clock_window(minute, start % 1440, end % 1440)
        if self.days != "all":
            inside &= weekend if self.days == "weekend" else ~weekend
        if self.months:
            inside &= np.isin(month, self.months)
        return inside

    def mask(self, clock: YearClock) -> BoolArray:
        """True on the steps of the year inside the window, shape ``(n_steps,)``."""
        weekend = (clock.clock_weekday >= 5) | clock.holiday
        return self.covers(clock.clock_month, weekend, clock.clock_minute)

    def hours_text(self) -> str:
        """The hours in words."""
        start, end = minute_of_day(self.start), minute_of_day(self.end)
        return "all day" if (end - start) % 1440 == 0 else f"{self.start} to {self.end}"

    def season_text(self) -> str:
        """Months and days in words; empty when always."""
        days = {"all": "", "weekday": "weekdays", "weekend": "weekends and holidays"}[self.days]
        return " ".join(part for part in (_months_text(self.months), days) if part)

    def text(self) -> str:
        """The window in words."""
        return windows_text((self,))


MAX_WINDOWS = 1000
"""More windows in one list are a mistake or an attack."""
Windows = Annotated[tuple[Window, ...], Field(strict=False, max_length=MAX_WINDOWS)]


def mean_hours_a_day(windows: tuple[Window, ...]) -> float:
    """Hours inside any of the windows on the average day of a year (equal months)."""
    month, weekend, minute = (
        grid.ravel()
        for grid in np.meshgrid(
            np.arange(1, 13), np.array([False, True]), np.arange(1440), indexing="ij"
        )
    )
    inside = np.zeros(month.shape, dtype=bool)
    for window in windows:
        inside |= window.covers(month, weekend, minute)
    share = np.where(weekend, 2.0, 5.0) / 7.0 / 12.0
    return float(share[inside].sum()) / 60.0


def windows_text(windows: tuple[Window, ...]) -> str:
    """Several windows in words, those of the same season together."""
    seasons: dict[str, list[str]] = {}
    for window in windows:
        seasons.setdefault(window.season_text(), []).append(window.hours_text())
    parts = []
    for season, hours in seasons.items():
        joined = " and ".join(hours)
        parts.append(f"{season} {joined}" if season else joined)
    return "; ".join(parts)


def _months_text(months: tuple[int, ...]) -> str:
    """Runs of months by name: ``April to September``, ``November to March``."""
    inside = set(months)
    if not inside or len(inside) == 12:
        return ""
    names = []
    for first in sorted(m for m in inside if (m - 2) % 12 + 1 not in inside):
        last = first
        while last % 12 + 1 in inside:
            last = last % 12 + 1
        run = month_name[first] if first == last else f"{month_name[first]} to {month_name[last]}"
        names.append(run)
    return ", ".join(names)
