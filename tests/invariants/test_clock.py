"""The year's clock: standard time for physics, wall clock for people and tariffs."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankful.clock import (
    dates_of_year,
    in_clock_window,
    month_of_day,
    standard_offset_h,
    year_clock,
)

ZONES = [
    "Australia/Sydney",
    "Australia/Brisbane",
    "Australia/Adelaide",
    "Europe/Lisbon",
    "America/New_York",
    "Australia/Lord_Howe",
    "Asia/Kolkata",
]


@pytest.mark.parametrize("tz", ZONES)
def test_clock_time_equals_the_zone_database(tz: str) -> None:
    """Wall clock of every 7th hour against Python's zoneinfo (IANA time zone database)."""
    clock = year_clock(2027, tz, 60)
    zone = ZoneInfo(tz)
    for i in range(24, clock.n_steps - 24, 7):
        standard = datetime(2027, 1, 1) + timedelta(hours=i)
        utc = standard.replace(tzinfo=ZoneInfo("UTC")) - timedelta(hours=clock.utc_offset_h)
        wall = utc.astimezone(zone)
        assert clock.clock_minute[i] == wall.hour * 60 + wall.minute
        assert clock.clock_weekday[i] == wall.weekday()
        assert clock.clock_month[i] == wall.month


def test_a_leap_year_has_365_days_without_29_february() -> None:
    days = dates_of_year(2028)
    assert len(days) == 365
    assert date(2028, 2, 29) not in days
    assert np.bincount(month_of_day(2028))[1:].tolist() == [
        31,
        28,
        31,
        30,
        31,
        30,
        31,
        31,
        30,
        31,
        30,
        31,
    ]


@pytest.mark.parametrize("step_min", [1, 2, 5, 10, 15, 30, 60])
def test_every_step_divides_the_year(step_min: int) -> None:
    clock = year_clock(2027, "Australia/Hobart", step_min, "AU", "TAS")
    assert clock.n_steps * step_min == 365 * 1440
    assert clock.steps_per_day * step_min == 1440


def test_a_step_that_does_not_divide_the_hour_is_refused() -> None:
    with pytest.raises(ValueError, match="divide 60"):
        year_clock(2027, "Australia/Sydney", 7)


def test_daylight_saving_shifts_half_the_year_in_sydney_and_none_in_brisbane() -> None:
    sydney = year_clock(2027, "Australia/Sydney", 60, "AU", "NSW")
    ahead = (sydney.clock_minute - sydney.minute) % 1440
    assert set(np.unique(ahead)) == {0, 60}
    brisbane = year_clock(2027, "Australia/Brisbane", 60, "AU", "QLD")
    assert np.array_equal(brisbane.clock_minute, brisbane.minute)


def test_standard_offset_is_the_smaller_one_in_both_hemispheres() -> None:
    assert standard_offset_h(2027, "Australia/Adelaide") == 9.5
    assert standard_offset_h(2027, "Europe/Lisbon") == 0.0


def test_christmas_is_a_holiday_everywhere_and_an_unknown_country_has_none() -> None:
    clock = year_clock(2027, "Australia/Perth", 60, "AU", "WA")
    assert clock.holiday[358 * 24 + 12]
    nowhere = year_clock(2027, "Australia/Perth", 60, "ZZ", None)
    assert not nowhere.holiday.any()


@given(st.integers(0, 1439), st.integers(0, 1439))
def test_a_window_and_its_complement_cover_the_day_once(start: int, end: int) -> None:
    minute = np.arange(1440)
    inside = in_clock_window(minute, start, end)
    if start == end:
        assert inside.all()
    else:
        assert np.array_equal(inside, ~in_clock_window(minute, end, start))
        assert inside.sum() == (end - start) % 1440
