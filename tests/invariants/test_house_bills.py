"""The house's use behind electricity bills: what is bought at it is what was billed."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankful.clock import FloatArray, year_clock
from tankful.units import DAYS_PER_YEAR
from tankful.use.bill_fit import year_days
from tankful.use.house_bills import Period, bought_kwh, load_from_bills
from tankful.use.house_load import load_from_annual

CLOCK = year_clock(2027, "Australia/Sydney", 60, "AU", "NSW")
QUARTERS = (
    (date(2025, 7, 1), date(2025, 9, 30)),
    (date(2025, 10, 1), date(2025, 12, 31)),
    (date(2026, 1, 1), date(2026, 3, 31)),
    (date(2026, 4, 1), date(2026, 6, 30)),
)
NOON = np.maximum(0.0, np.cos((CLOCK.clock_minute / 60.0 - 12.5) / 12.0 * np.pi)) ** 2
NIGHT = (CLOCK.clock_minute < 300).astype(float)


def bought(load_w: FloatArray, first: date, last: date) -> float:
    days = load_w.reshape(DAYS_PER_YEAR, -1)[year_days(first, last)]
    return bought_kwh(days / 1000.0, CLOCK.step_min / 60.0)


def test_a_bill_of_the_whole_year_is_the_yearly_figure() -> None:
    """Without panels and water heater both ways of telling a year's use say the same."""
    year = [(date(2025, 1, 1), date(2025, 12, 31), 4321.0)]
    found = load_from_bills(CLOCK, year)
    assert found.covered_days == DAYS_PER_YEAR
    np.testing.assert_allclose(found.house_w, load_from_annual(CLOCK, 4321.0), rtol=1e-9)


@given(
    kwh=st.lists(st.floats(50.0, 5000.0), min_size=4, max_size=4),
    panels_kw=st.floats(0.0, 12.0),
    heater_kw=st.floats(0.0, 0.5),
)
def test_what_is_bought_at_the_load_is_what_was_billed(
    kwh: list[float], panels_kw: float, heater_kw: float
) -> None:
    pv_w, heater_w = 1000.0 * panels_kw * NOON, 1000.0 * heater_kw * NIGHT
    bills: list[Period] = [(*span, used) for span, used in zip(QUARTERS, kwh, strict=True)]
    found = load_from_bills(CLOCK, bills, pv_w=pv_w, heater_w=heater_w)
    assert (found.house_w >= 0.0).all()
    excess = 0.0
    for first, last, used in bills:
        at_load = bought(found.house_w + heater_w - pv_w, first, last)
        at_least = bought(heater_w - pv_w, first, last)
        assert at_load == pytest.approx(max(used, at_least), rel=1e-6)
        excess += max(0.0, at_least - used)
    assert found.excess_share == pytest.approx(excess / sum(kwh), abs=1e-9)


@given(use_kwh=st.floats(500.0, 20_000.0), panels_kw=st.floats(0.0, 12.0))
def test_bills_of_a_known_house_give_that_house(use_kwh: float, panels_kw: float) -> None:
    known_w, pv_w = load_from_annual(CLOCK, use_kwh), 1000.0 * panels_kw * NOON
    bills = [(*span, bought(known_w - pv_w, *span)) for span in QUARTERS[:3]]
    found = load_from_bills(CLOCK, bills, pv_w=pv_w)
    np.testing.assert_allclose(found.house_w, known_w, rtol=1e-6)
    assert found.covered_days == DAYS_PER_YEAR - 91


def test_bills_of_two_years_take_the_mean_of_both() -> None:
    once = [(date(2024, 7, 1), date(2025, 6, 30), 4000.0)]
    twice = [*once, (date(2025, 7, 1), date(2026, 6, 30), 5000.0)]
    np.testing.assert_allclose(
        load_from_bills(CLOCK, twice).house_w, load_from_annual(CLOCK, 4500.0), rtol=1e-9
    )
