"""The house's own load comes back out of a meter that was made from it."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankful.clock import dates_of_year, month_of_day, year_clock
from tankful.errors import CaseError, FileError
from tankful.use.house_load import load_from_annual, load_from_meter
from tankful.use.meter import MeterData
from tankful.use.meter_days import place_days
from tankful.use.meter_parts import monthly_profile, resampled
from tankful.use.nem12 import read_nem12

SAMPLE = Path(__file__).parents[2] / "examples" / "sample-home-meter.csv"
CLOCK = year_clock(2027, "Australia/Sydney", 30, "AU", "NSW")
RNG = np.random.default_rng(5)
DATES = tuple(date(2025, 7, 1) + timedelta(days=i) for i in range(365))
MONTH = np.array([day.month for day in DATES])


def _meter(import_kwh, export_kwh=None, dates=DATES, **more) -> MeterData:
    interval_min = 1440 // import_kwh.shape[1]
    return MeterData(tuple(dates), interval_min, import_kwh, export_kwh, file="m.csv", **more)


def _sun_kw(kw: float = 5.0) -> np.ndarray:
    """The same clear day all year, shape (48,) [kW]."""
    return kw * np.maximum(0.0, np.sin((np.arange(48) + 0.5 - 12) / 24 * np.pi))


def _kwh(house_w, clock=CLOCK) -> float:
    return house_w.sum() * clock.step_s / 3.6e6


def test_a_whole_year_keeps_its_energy_and_its_weekdays():
    weekend = np.array([day.weekday() >= 5 for day in DATES])
    kwh = np.where(weekend[:, None], 0.4, 0.2) * np.ones(48)
    load = load_from_meter(_meter(kwh), CLOCK)
    assert load.filled_share == 0.0
    power = load.house_w.reshape(365, 48)
    free = np.array([day.weekday() >= 5 for day in dates_of_year(2027)])
    np.testing.assert_allclose(power[free], 800.0)
    np.testing.assert_allclose(power[~free], 400.0)


@settings(max_examples=200)
@given(
    year=st.integers(2020, 2035),
    first=st.dates(date(2015, 1, 1), date(2030, 1, 1)),
    days=st.integers(365, 1100),
)
def test_a_year_or_more_places_a_like_day_nearby_on_every_day(year, first, days):
    dates = tuple(first + timedelta(days=i) for i in range(days))
    clock = year_clock(year, "UTC", 60, "none")
    placed = place_days(_meter(np.ones((days, 24)), dates=dates), clock)
    assert placed.near.sum() >= 358  # the file's ends and 29 February break the week
    for day, index in zip(dates_of_year(year), placed.index, strict=True):
        assert dates[index].weekday() == day.weekday()
        apart = abs(dates[index].replace(year=2000) - day.replace(year=2000)).days
        assert min(apart, 366 - apart) <= 8


def test_of_several_years_the_latest_is_taken():
    dates = tuple(date(2023, 1, 1) + timedelta(days=i) for i in range(3 * 365))
    placed = place_days(_meter(np.ones((len(dates), 24)), dates=dates), CLOCK)
    assert min(dates[i] for i in placed.index) >= date(2024, 12, 31)


@given(
    step_min=st.sampled_from([1, 5, 10, 15, 20, 30, 60]),
    per_day=st.sampled_from([24, 48, 72, 96, 288]),
)
@settings(max_examples=20)
def test_energy_survives_any_step_and_interval(step_min, per_day):
    clock = year_clock(2027, "Australia/Sydney", step_min, "AU", "NSW")
    meter = _meter(RNG.exponential(0.3, (365, per_day)))
    load = load_from_meter(meter, clock)
    placed = place_days(meter, clock).index
    assert load.house_w.shape == (clock.n_steps,)
    assert _kwh(load.house_w, clock) == pytest.approx(meter.import_kwh[placed].sum(), rel=1e-9)


def test_a_hole_is_filled_from_like_days_then_by_the_published_shape():
    kwh = np.full((365, 48), 0.25)
    order = np.array([d.timetuple().tm_yday for d in DATES])
    hole = (order > 60) & (order <= 60 + 100)
    load = load_from_meter(
        _meter(kwh[~hole], dates=[d for d, h in zip(DATES, hole, strict=True) if not h]), CLOCK
    )
    power = load.house_w.reshape(365, 48)
    flat = (power == 500.0).all(axis=1)
    # 28 days from either side are flat, the middle of the hole is not.
    assert flat[:61].all()
    assert flat[160:].all()
    assert not flat[90:130].any()
    assert load.filled_share == pytest.approx(94 / 365, abs=0.02)
    assert _kwh(load.house_w) == pytest.approx(0.5 * 8760, rel=0.05)
    assert "published shape" in load.notes[0]


def test_less_than_half_a_year_is_refused():
    few = 170
    with pytest.raises(FileError, match="days of the year") as caught:
        load_from_meter(_meter(np.ones((few, 48)), dates=DATES[:few]), CLOCK)
    assert caught.value.faults[0].file == "m.csv"
    assert caught.value.faults[0].mend
    load_from_meter(_meter(np.ones((190, 48)), dates=DATES[:190]), CLOCK)


def test_the_load_behind_panels_comes_back_when_every_day_is_alike():
    house_kw = 0.3 + 0.5 * (np.arange(48) >= 34)
    net = np.tile(house_kw - _sun_kw(), (365, 1)) / 2
    pv_w = np.tile(_sun_kw() * 1000, 365)
    load = load_from_meter(_meter(np.maximum(net, 0), np.maximum(-net, 0)), CLOCK, pv_w=pv_w)
    np.testing.assert_allclose(load.house_w.reshape(365, 48)[100], house_kw * 1000, atol=1e-6)


@given(level=st.floats(0.2, 0.9), seed=st.integers(0, 1000))
@settings(max_examples=25)
def test_the_years_energy_behind_panels_comes_back_on_changing_days(level, seed):
    rng = np.random.default_rng(seed)
    house = rng.exponential(level, (365, 48))
    pv = _sun_kw() * rng.uniform(0.2, 1.0, (365, 1))
    dates = dates_of_year(2027)
    net = (house - pv) / 2
    meter = _meter(np.maximum(net, 0), np.maximum(-net, 0), dates=dates)
    load = load_from_meter(meter, CLOCK, pv_w=pv.ravel() * 1000, pv_kw=5.0)
    assert _kwh(load.house_w) == pytest.approx(house.sum() / 2, rel=1e-6)
    assert (load.house_w >= 0).all()


def test_panels_that_cannot_have_made_the_export_are_refused_by_name():
    meter = read_nem12(SAMPLE, utc_offset_h=10.0)
    pv_w = np.tile(_sun_kw(5.5), 365) * 600
    assert load_from_meter(meter, CLOCK, pv_w=pv_w).house_w.min() >= 0
    with pytest.raises(CaseError, match=r"more than panels of 1\.5 kW") as caught:
        load_from_meter(meter, CLOCK, pv_w=pv_w * 0.2, pv_kw=1.5)
    assert "8,175 kWh" in str(caught.value)
    assert "sample-home-meter.csv" in str(caught.value)
    assert caught.value.faults[0].mend
    with pytest.raises(CaseError, match="99%"):
        load_from_meter(meter, CLOCK, pv_w=pv_w * 100, pv_kw=660)
    with pytest.raises(CaseError, match="no panels"):
        load_from_meter(meter, CLOCK)


def test_a_meter_without_export_is_taken_to_be_from_before_the_panels():
    meter = _meter(np.full((365, 48), 0.25), np.zeros((365, 48)))
    load = load_from_meter(meter, CLOCK, pv_w=np.tile(_sun_kw(), 365) * 1000)
    np.testing.assert_allclose(load.house_w, 500.0)
    assert any("before the panels" in note for note in load.notes)


def test_a_heater_in_the_general_register_is_taken_out():
    house = np.tile(0.3 + 0.4 * (np.arange(48) >= 36), (365, 1))
    heater = np.tile(1.2 * ((np.arange(48) >= 2) & (np.arange(48) < 12)), (365, 1))
    meter = _meter((house + heater) / 2)
    load = load_from_meter(meter, CLOCK, heater_w=heater.ravel() * 1000)
    assert load.heater_left_share == pytest.approx(0.0, abs=1e-9)
    np.testing.assert_allclose(load.house_w, np.tile(house[0], 365) * 1000, atol=1e-6)


def test_a_heater_that_runs_at_chance_keeps_the_years_energy_out():
    rng = np.random.default_rng(3)
    house = 0.25 + rng.exponential(0.3, (365, 48))
    heater = np.zeros((365, 48))
    for row in heater:
        begin = rng.integers(2, 20)
        row[begin : begin + 6] = 2.4
    load = load_from_meter(_meter((house + heater) / 2), CLOCK, heater_w=heater.ravel() * 1000)
    assert load.heater_left_share < 0.05
    assert _kwh(load.house_w) == pytest.approx(house.sum() / 2, rel=0.12)
    assert load.house_w.min() > 200.0


def test_a_heater_that_the_meter_never_saw_is_left_and_warned_about():
    meter = _meter(np.full((365, 48), 0.1))
    load = load_from_meter(meter, CLOCK, heater_w=np.full(CLOCK.n_steps, 1500.0))
    assert load.heater_left_share == pytest.approx(1.0)
    np.testing.assert_allclose(load.house_w, 200.0)
    assert any("Warning" in note and "100%" in note for note in load.notes)


def test_the_controlled_circuit_stays_outside_and_its_year_is_told():
    meter = _meter(np.full((365, 48), 0.25), controlled_kwh=np.full((365, 48), 0.2))
    load = load_from_meter(meter, CLOCK)
    assert load.controlled_kwh == pytest.approx(0.2 * 48 * 365)
    assert _kwh(load.house_w) == pytest.approx(0.25 * 48 * 365)
    assert load_from_meter(_meter(np.ones((365, 48))), CLOCK).controlled_kwh is None


@given(
    had=st.sampled_from([24, 48, 72, 96, 144, 288, 1440]),
    wanted=st.sampled_from([24, 48, 72, 96, 144, 288, 1440]),
)
def test_resampling_keeps_each_days_mean(had, wanted):
    series = RNG.random((4, had))
    np.testing.assert_allclose(resampled(series, wanted).mean(axis=1), series.mean(axis=1))
    np.testing.assert_allclose(resampled(resampled(series, 1440), had), series)


def test_a_monthly_profile_keeps_each_months_energy():
    series = RNG.random((365, 96))
    month = month_of_day(2027)
    covered = np.ones(365, dtype=bool)
    profile = monthly_profile(series, month, covered)
    for m in range(1, 13):
        assert profile[month == m].sum() == pytest.approx(series[month == m].sum())
        assert (profile[month == m] == profile[month == m][0]).all()


def test_the_sample_home_is_what_it_says_it_is():
    # Invented: 365 days to 30 June 2026 in market time, 14 kWh a day of own use.
    meter = read_nem12(SAMPLE, utc_offset_h=10.0)
    assert (meter.dates[0], meter.dates[-1]) == (date(2025, 7, 1), date(2026, 6, 30))
    assert meter.import_kwh.shape == meter.export_kwh.shape == (365, 48)
    assert meter.controlled_kwh is None
    assert 2500 < meter.import_kwh.sum() < 3500
    # 6.6 kW near Brisbane makes about 4.2 kWh/kW a day (industry guide), less own use.
    assert 7500 < meter.export_kwh.sum() < 6.6 * 4.4 * 365
    night = meter.import_kwh[:, 4:8].mean() * 2
    evening = meter.import_kwh[:, 36:40].mean() * 2
    assert evening > 3 * night


def test_the_published_shape_is_a_fallback_of_like_size():
    load = load_from_annual(CLOCK, 5000.0)
    assert load.min() > 0
    assert load.max() / load.mean() < 3
