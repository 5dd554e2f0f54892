"""The built-in year and its steps keep what they are made from."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from tankful.clock import month_of_day, year_clock
from tankful.errors import PlaceError
from tankful.site.clearness import clearest, clearness_quantile
from tankful.site.climate import typical_year
from tankful.site.clouds import with_clouds
from tankful.site.mains import daily_from_monthly
from tankful.site.place import find_place, place_abroad
from tankful.site.points import climate_point, sun_scale
from tankful.site.sky import sun_over_year
from tankful.site.smooth import daily_means_by_month, hourly_to_steps, monthly_to_daily
from tankful.site.sun_power import ArraySpec, pv_power_w
from tankful.site.weather import Weather, WeatherSteps, time_warnings, weather_steps

YEAR = 2027


@lru_cache(maxsize=8)
def built_in(postcode: str) -> Weather:
    return typical_year(find_place(postcode), YEAR)


@lru_cache(maxsize=8)
def on_steps(postcode: str, step_min: int = 10) -> WeatherSteps:
    place = find_place(postcode)
    clock = year_clock(YEAR, place.tz, step_min, "AU", place.state)
    return weather_steps(built_in(postcode), clock)


def by_day(hourly: np.ndarray) -> np.ndarray:
    return hourly.reshape(365, 24)


twelve_values = arrays(np.float64, 12, elements=st.floats(-20.0, 40.0))


@given(twelve_values, st.integers(2024, 2031))
def test_daily_values_keep_any_monthly_means(monthly: np.ndarray, year: int) -> None:
    daily = monthly_to_daily(monthly, year)
    assert daily_means_by_month(daily, year) == pytest.approx(monthly, abs=1e-9)


@given(arrays(np.float64, 48, elements=st.floats(-20.0, 40.0)), st.sampled_from([1, 2, 6, 12]))
def test_steps_keep_any_hourly_means_and_do_not_jump(hourly: np.ndarray, per_hour: int) -> None:
    steps = hourly_to_steps(hourly, per_hour)
    assert steps.reshape(48, per_hour).mean(axis=1) == pytest.approx(hourly, abs=1e-9)
    jump = np.abs(np.diff(steps, append=steps[:1])).max()
    assert jump <= 6.0 / per_hour * np.ptp(hourly) + 1e-9


@pytest.mark.parametrize("postcode", ["2000", "0800", "7000", "4825"])
def test_monthly_sun_is_kept_to_half_a_percent(postcode: str) -> None:
    place = find_place(postcode)
    published = climate_point(place.climate_point).ghi_raw_mj_m2_day
    scaled = published * sun_scale(place.latitude, place.longitude)[0]
    daily_mj = by_day(built_in(postcode).ghi).mean(axis=1) * 0.0864
    assert daily_means_by_month(daily_mj, YEAR) == pytest.approx(scaled, rel=0.005)


@pytest.mark.parametrize("postcode", ["2000", "0800", "7000", "4825"])
def test_monthly_highest_and_lowest_temperatures_are_kept(postcode: str) -> None:
    """To 0.3 K: hourly means cut the tips of the daily curve."""
    point = climate_point(find_place(postcode).climate_point)
    air_c = by_day(built_in(postcode).temp_air_c)
    assert daily_means_by_month(air_c.max(axis=1), YEAR) == pytest.approx(point.tmax_c, abs=0.3)
    assert daily_means_by_month(air_c.min(axis=1), YEAR) == pytest.approx(point.tmin_c, abs=0.3)


def test_diffuse_never_exceeds_global_and_dew_point_never_the_air() -> None:
    for postcode in ("2000", "0800", "7000"):
        for weather in (built_in(postcode), on_steps(postcode)):
            assert np.all(weather.dhi <= weather.ghi + 1e-9)
            assert np.all(weather.dni >= 0.0)
            assert np.all(weather.dew_point_c <= weather.temp_air_c + 1e-9)
        steps = on_steps(postcode)
        assert np.all(steps.wet_bulb_c <= steps.temp_air_c + 1e-9)
        assert steps.ghi.max() < 1250.0


def test_the_hour_closes_global_is_beam_plus_diffuse() -> None:
    steps = on_steps("2000")
    beam = steps.dni * np.maximum(np.cos(np.radians(steps.zenith_deg)), 0.0)
    assert steps.ghi == pytest.approx(beam + steps.dhi, abs=1e-6)


@pytest.mark.parametrize("step_min", [5, 15, 60])
def test_every_hour_keeps_its_sun_and_none_shines_at_night(step_min: int) -> None:
    steps = on_steps("2000", step_min)
    hourly = built_in("2000")
    per_hour = 60 // step_min
    hours_ghi = steps.ghi.reshape(8760, per_hour).mean(axis=1)
    hours_dhi = steps.dhi.reshape(8760, per_hour).mean(axis=1)
    moved = np.abs(hours_ghi - hourly.ghi) > 1e-6
    assert steps.ghi.sum() / per_hour == pytest.approx(hourly.ghi.sum(), rel=1e-12)
    assert np.count_nonzero(moved) <= (0 if step_min <= 10 else 2 * 365)
    assert np.abs(hours_dhi - hourly.dhi)[~moved].max() < 2.0
    assert np.all(steps.ghi[steps.zenith_deg >= 90.0] == 0.0)


def test_sun_recorded_in_dark_hours_moves_to_the_nearest_daylight_and_is_not_lost() -> None:
    hourly = built_in("2000")
    ghi = hourly.ghi.copy()
    ghi[2::24] += 10.0
    place = find_place("2000")
    steps = weather_steps(
        replace(hourly, ghi=ghi), year_clock(YEAR, place.tz, 30, "AU", place.state)
    )
    assert steps.ghi.sum() / 2 == pytest.approx(ghi.sum(), rel=1e-12)
    assert np.all(steps.ghi[steps.zenith_deg >= 90.0] == 0.0)


def test_another_standard_time_shifts_the_year_and_keeps_its_energy() -> None:
    """The same weather told in a standard time an hour and a half off lands on the same steps."""
    hourly = built_in("5000")
    place = find_place("5000")
    clock = year_clock(YEAR, place.tz, 60, "AU", place.state)
    straight = weather_steps(hourly, clock)
    whole = {
        name: np.roll(getattr(hourly, name), -1) for name in ("ghi", "dni", "dhi", "temp_air_c")
    }
    earlier = weather_steps(replace(hourly, utc_offset_h=8.5, **whole), clock)
    assert earlier.ghi == pytest.approx(straight.ghi, abs=1e-6)
    half = weather_steps(replace(hourly, utc_offset_h=10.0, longitude=146.1), clock)
    assert half.ghi.sum() == pytest.approx(hourly.ghi.sum(), rel=1e-9)
    assert half.temp_air_c.mean() == pytest.approx(hourly.temp_air_c.mean(), rel=1e-9)
    centre = np.average(np.arange(24) + 0.5, weights=by_day(half.ghi).sum(axis=0))
    usual = np.average(np.arange(24) + 0.5, weights=by_day(straight.ghi).sum(axis=0))
    assert centre - usual == pytest.approx(-0.5, abs=0.05)


def test_the_year_is_the_same_at_every_call_and_another_with_another_seed() -> None:
    place = find_place("3000")
    again = typical_year(place, YEAR)
    assert again.digest() == typical_year(place, YEAR).digest()
    other = typical_year(place, YEAR, seed=7)
    assert other.digest() != again.digest()
    assert other.ghi.sum() == pytest.approx(again.ghi.sum(), rel=1e-9)


def test_clear_and_dull_days_follow_each_other_as_published() -> None:
    """Lag-one correlation 0.29 (Graham, Hollands and Huget 1988), over twelve seeds.

    Every month is held at its mean, which lowers the correlation seen within 30 days by
    (1 + 4 x 0.29) / 30 = 0.07 (Marriott and Pope 1954, from memory).
    """
    place = find_place("3000")
    sun = sun_over_year(place.latitude, place.longitude, 10.0, YEAR, 10)
    above = (sun.extra * sun.cos_zenith).reshape(365, -1).mean(axis=1)
    month = month_of_day(YEAR)
    correlations = []
    for seed in range(12):
        clearness = by_day(typical_year(place, YEAR, seed).ghi).mean(axis=1) / above
        means = daily_means_by_month(clearness, YEAR)[month - 1]
        residual = clearness - means
        correlations.append(np.corrcoef(residual[:-1], residual[1:])[0, 1])
    assert np.mean(correlations) == pytest.approx(0.29 - 0.07, abs=0.06)


@pytest.mark.parametrize("mean", [0.15, 0.25, 0.35, 0.45, 0.55, 0.65, 0.7])
def test_daily_clearness_has_its_mean_and_a_realistic_spread(mean: float) -> None:
    """Mean as asked; spread between half and all of 0.2, Liu and Jordan's curves (from memory),
    less in the dullest and the sunniest months."""
    values = clearness_quantile((np.arange(1000) + 0.5) / 1000, mean)
    assert values.mean() == pytest.approx(mean, rel=0.005)
    assert (0.1 if 0.3 < mean < 0.6 else 0.04) <= values.std() <= 0.2
    assert values.max() <= clearest(mean)
    assert values.min() >= 0.0


@given(st.integers(0, 2**31), st.floats(0.1, 0.74), st.floats(-60.0, 60.0))
@settings(max_examples=15)
def test_clouds_keep_every_day_and_stay_between_night_and_a_clear_sky(
    seed: int, clearness: float, latitude: float
) -> None:
    sun = sun_over_year(latitude, 0.0, 0.0, YEAR, 60)
    above = sun.extra * sun.cos_zenith
    course = (above.reshape(365, 24).mean(axis=1, keepdims=True) * clearness / 0.8).ravel()
    smooth = np.minimum(np.repeat(course, 24), clearness * above)
    cloudy = with_clouds(smooth, above, sun.cos_zenith, seed)
    assert by_day(cloudy).sum(axis=1) == pytest.approx(by_day(smooth).sum(axis=1), rel=1e-9)
    assert np.all(cloudy >= 0.0)
    assert np.all(cloudy <= 0.9 * above + 1e-9)
    assert np.all(cloudy[above == 0.0] == 0.0)


def test_clouds_last_from_hour_to_hour_as_published() -> None:
    """Correlation 0.38 + 0.06 cos(7.4 K - 2.5), 0.40 at half clearness (Aguiar and
    Collares-Pereira 1992, from memory). Holding the sum of about 11 hours takes off their mean,
    of variance (1 + 0.4) / (1 - 0.4) / 11 = 0.21: what is left is (0.40 - 0.21) / (1 - 0.21)."""
    sun = sun_over_year(-20.0, 0.0, 0.0, YEAR, 60)
    above = sun.extra * sun.cos_zenith
    deviation = with_clouds(0.5 * above, above, sun.cos_zenith, 5) - 0.5 * above
    noon = by_day(deviation / np.maximum(above, 1.0))[:, 8:16]
    found = np.corrcoef(noon[:, :-1].ravel(), noon[:, 1:].ravel())[0, 1]
    assert found == pytest.approx(0.24, abs=0.06)


def test_cloudy_days_are_cooler_by_day_and_warmer_by_night() -> None:
    weather = built_in("2000")
    january = by_day(weather.temp_air_c)[:31]
    sunny = np.argsort(by_day(weather.ghi)[:31].sum(axis=1))
    dull, clear = sunny[:8], sunny[-8:]
    assert january[dull].max(axis=1).mean() < january[clear].max(axis=1).mean() - 2.0
    assert january[dull].min(axis=1).mean() > january[clear].min(axis=1).mean() + 1.0


def test_a_higher_home_is_colder_by_the_standard_lapse() -> None:
    """ICAO standard atmosphere: 6.5 K per km."""
    point_m = find_place("2627").elevation_m
    low = typical_year(find_place("2627", elevation_m=point_m), YEAR)
    high = typical_year(find_place("2627", elevation_m=point_m + 400.0), YEAR)
    assert low.temp_air_c.mean() - high.temp_air_c.mean() == pytest.approx(2.6, abs=1e-9)
    assert np.array_equal(low.ghi, high.ghi)


@pytest.mark.parametrize("postcode", ["6798", "2899", "0880"])
def test_a_place_without_a_near_climate_point_asks_for_a_weather_file(postcode: str) -> None:
    with pytest.raises(PlaceError, match="weather file"):
        typical_year(find_place(postcode), YEAR)


def test_a_place_abroad_has_no_built_in_year() -> None:
    with pytest.raises(PlaceError, match="weather file"):
        typical_year(place_abroad(38.7, -9.1, "Europe/Lisbon", country="PT"), YEAR)


def test_the_built_in_sun_stands_at_noon_and_a_shifted_or_turned_year_is_noticed() -> None:
    weather = built_in("7000")
    assert time_warnings(weather) == ()
    late = replace(weather, ghi=np.roll(weather.ghi, 2))
    assert any("2.0 h after" in warning for warning in time_warnings(late))
    turned = replace(weather, ghi=np.roll(weather.ghi, 182 * 24))
    assert any("hemisphere" in warning for warning in time_warnings(turned))


def test_cold_water_by_day_keeps_the_months_and_never_freezes() -> None:
    values = [23.0, 23, 21, 18, 15, 12, 11, 12, 15, 19, 21, 22]
    assert daily_means_by_month(daily_from_monthly(values, YEAR), YEAR) == pytest.approx(values)
    assert daily_from_monthly([0.0] * 12, YEAR).min() == 1.0
    with pytest.raises(ValueError, match="twelve"):
        daily_from_monthly([10.0] * 11, YEAR)


def test_panels_make_nothing_at_night_and_never_more_than_the_inverter() -> None:
    steps = on_steps("2000")
    watts = pv_power_w(steps, [ArraySpec(6.6, 22.0, 0.0)], 5000.0)
    assert watts.max() == pytest.approx(5000.0)
    assert np.all(watts[steps.ghi == 0.0] == 0.0)
    assert np.all(watts >= 0.0)


def test_arrays_on_one_inverter_add_up_below_its_limit() -> None:
    steps = on_steps("2000")
    east, west = ArraySpec(2.0, 20.0, 90.0), ArraySpec(3.0, 20.0, 270.0)
    both = pv_power_w(steps, [east, west], 50_000.0)
    apart = sum(pv_power_w(steps, [array], 50_000.0) for array in (east, west))
    busy = both > 2000.0  # near idling the share of the inverter's own use differs
    assert both[busy] == pytest.approx(apart[busy], rel=0.2)
    morning = steps.azimuth_deg < 180.0
    one = pv_power_w(steps, [east], None)
    assert one[morning].sum() > one[~morning].sum()


def test_no_panels_no_power_and_losses_are_proportional() -> None:
    steps = on_steps("2000")
    assert not pv_power_w(steps, [], None).any()
    clean = pv_power_w(steps, [ArraySpec(5.0, 20.0, 0.0, 0.0)], 10_000.0)
    dirty = pv_power_w(steps, [ArraySpec(5.0, 20.0, 0.0, 0.5)], 10_000.0)
    assert 0.45 < dirty.sum() / clean.sum() < 0.5  # the idle inverter takes a little more
