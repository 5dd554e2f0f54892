"""The built-in typical year: hourly weather from the monthly means of a climate point."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from tankful.clock import FloatArray, month_of_day, standard_offset_h
from tankful.errors import Fault, PlaceError
from tankful.site.clearness import daily_clearness
from tankful.site.clouds import with_clouds
from tankful.site.place import TOO_FAR_KM, Place
from tankful.site.points import ClimatePoint, climate_point, sun_scale
from tankful.site.sky import Sun, sun_over_year
from tankful.site.smooth import daily_means_by_month, monthly_to_daily
from tankful.site.weather import HOURS_PER_YEAR, Weather, build_weather
from tankful.units import DAYS_PER_YEAR, J_PER_MJ, SECONDS_PER_DAY

WIND_M_S = 3.0
"""At 10 m (source id ``built-in-wind``)."""
LAPSE_K_PER_M = 0.0065
"""Cooler with height (source id ``icao-lapse``)."""
SKY_STEP_MIN = 10
CLEAR_TRANSMITTANCE = 0.80
"""Clearness that the daily range of temperature would never meet (``bristow-campbell-1984``)."""


class Normals(NamedTuple):
    """Monthly means of a place, January first: sun on level ground [W/m2], daily lowest and
    highest temperature and dew point [degC]; arrays of shape ``(12,)``."""

    sun_w_m2: FloatArray
    tmin_c: FloatArray
    tmax_c: FloatArray
    dew_point_c: FloatArray


def typical_year(place: Place, year: int, seed: int | None = None) -> Weather:
    """A typical year of hourly weather for an Australian place, the same at every call.

    ``seed`` orders the clear and dull days; by default it comes from the climate point.
    PlaceError where no climate point is near enough.
    """
    point = _point_of(place)
    if seed is None:
        seed = int.from_bytes(hashlib.sha256(point.id.encode()).digest()[:4], "big")
    scale, scale_text = sun_scale(place.latitude, place.longitude)
    warmer_k = -LAPSE_K_PER_M * (place.climate_height_difference_m or 0.0)
    normals = Normals(
        sun_w_m2=point.ghi_raw_mj_m2_day * scale * J_PER_MJ / SECONDS_PER_DAY,
        tmin_c=point.tmin_c + warmer_k,
        tmax_c=point.tmax_c + warmer_k,
        dew_point_c=point.dew_point_c + warmer_k,
    )
    where = {
        "latitude": place.latitude,
        "longitude": place.longitude,
        "elevation_m": place.elevation_m,
        "utc_offset_h": standard_offset_h(year, place.tz),
    }
    source = (
        f"typical year built from monthly means at {point.name} "
        f"({place.climate_distance_km:.0f} km away)"
    )
    series = series_of_normals(normals, where, year, seed)
    return build_weather(where, series, source, _notes(scale, scale_text))


def series_of_normals(
    normals: Normals, where: Mapping[str, float], year: int, seed: int
) -> dict[str, FloatArray]:
    """The hourly series of a typical year (``weather.SERIES``) at a position (``weather.HEADER``).

    Monthly sums of sun are kept exactly; daily highest and lowest temperatures have the
    monthly means. ``seed`` orders the clear and dull days and makes the clouds of the hours.
    """
    utc_offset_h = where["utc_offset_h"]
    sun = sun_over_year(where["latitude"], where["longitude"], utc_offset_h, year, SKY_STEP_MIN)
    above = _daily_mean(sun.extra * sun.cos_zenith)
    monthly_clearness = normals.sun_w_m2 / daily_means_by_month(above, year)
    clearness = daily_clearness(monthly_clearness, month_of_day(year), seed)
    daily_sun = _keep_monthly(clearness * above, normals.sun_w_m2, year)
    ghi, dni, dhi = hourly_sun(daily_sun, sun, seed)
    temp_air_c = hourly_temperature(
        *daily_extremes(normals.tmin_c, normals.tmax_c, daily_sun / above, year),
        solar_shift_h=where["longitude"] / 15.0 - utc_offset_h,
    )
    dew_point_c = np.repeat(monthly_to_daily(normals.dew_point_c, year), 24)
    return {
        "ghi": ghi,
        "dni": dni,
        "dhi": dhi,
        "temp_air_c": temp_air_c,
        "dew_point_c": np.minimum(dew_point_c, temp_air_c),
        "wind_speed_m_s": np.full(HOURS_PER_YEAR, WIND_M_S),
    }


def _point_of(place: Place) -> ClimatePoint:
    if place.climate_point and place.climate_distance_km <= TOO_FAR_KM:
        return climate_point(place.climate_point)
    mend = "give a weather file (EPW, TMY2, TMY3 or PVGIS) of a place near the home"
    problem = "no climate point is near enough for a built-in typical year"
    raise PlaceError("The place has no weather.", [Fault("place", problem, place.name, mend=mend)])


def _notes(scale: float, scale_text: str) -> tuple[str, ...]:
    return (
        "Built from published monthly means, not measured hour by hour: sun of a land model "
        f"1990-2019 times {scale:.2f} ({scale_text}), good to about 4 % in a year and 8 % in "
        "a month; temperatures of a reanalysis, on the coast up to 4 degrees low by day.",
        "Clear and dull days and clouds from hour to hour follow published statistics; within "
        "an hour clouds do not come and go, and there are no heat waves or cold snaps.",
        f"Wind is taken as {WIND_M_S:.0f} m/s all year; it only cools the panels.",
    )


def _daily_mean(steps: FloatArray) -> FloatArray:
    return np.asarray(steps.reshape(DAYS_PER_YEAR, -1).mean(axis=1))


def _keep_monthly(daily: FloatArray, monthly: FloatArray, year: int) -> FloatArray:
    """Daily values scaled month by month to the monthly means."""
    factor = monthly / daily_means_by_month(daily, year)
    return daily * factor[month_of_day(year) - 1]


def hourly_sun(
    daily_sun: FloatArray, sun: Sun, seed: int
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Hourly global, direct normal and diffuse [W/m2] from daily means, shape ``(365,)``.

    Course of the day by Collares-Pereira and Rabl (source id ``collares-pereira-rabl-1979``),
    scaled to the day's sum; clouds about it from ``seed``; diffuse by Erbs (source id
    ``erbs-1982``, through pvlib).
    """
    from pvlib import irradiance

    course = day_course(sun)
    per_day = course.reshape(DAYS_PER_YEAR, -1)
    mean = per_day.mean(axis=1, keepdims=True)
    smooth = _hourly(per_day / mean * daily_sun[:, None])
    cos_zenith = _hourly(sun.cos_zenith)
    ghi = with_clouds(smooth, _hourly(sun.extra * sun.cos_zenith), cos_zenith, seed)
    zenith_deg = np.degrees(np.arccos(np.clip(cos_zenith, 0.0, 1.0)))
    day_of_year = np.repeat(np.arange(1, DAYS_PER_YEAR + 1), 24)
    dhi = np.asarray(irradiance.erbs(ghi, zenith_deg, day_of_year)["dhi"])
    beam = ghi - dhi
    dni = np.where(beam > 0.0, beam / np.where(cos_zenith > 0.0, cos_zenith, 1.0), 0.0)
    return ghi, dni, dhi


def day_course(sun: Sun) -> FloatArray:
    """Relative global irradiance through each day, 0 with the sun down (not normalised).

    (a + b cos w)(cos w - cos ws), w the hour angle and ws that of sunset; the second factor
    is proportional to the cosine of the zenith.
    """
    hour_angle = np.radians(15.0 * (sun.solar_time_h - 12.0))
    a = 0.409 + 0.5016 * np.sin(sun.sunset_rad - np.pi / 3.0)
    b = 0.6609 - 0.4767 * np.sin(sun.sunset_rad - np.pi / 3.0)
    return np.maximum(a + b * np.cos(hour_angle), 0.0) * sun.cos_zenith


def daily_extremes(
    monthly_tmin_c: FloatArray, monthly_tmax_c: FloatArray, clearness: FloatArray, year: int
) -> tuple[FloatArray, FloatArray]:
    """Lowest and highest temperature of each day [degC], both of shape ``(365,)``.

    The range grows with the day's clearness (source id ``bristow-campbell-1984``): clear
    days are warmer by day and cooler by night. Monthly means of both are kept.
    """
    middle_c = monthly_to_daily((monthly_tmin_c + monthly_tmax_c) / 2.0, year)
    passed = np.minimum(clearness / CLEAR_TRANSMITTANCE, 0.97)
    swing = (-np.log(1.0 - passed)) ** (1.0 / 2.4)
    usual_k = monthly_to_daily(monthly_tmax_c - monthly_tmin_c, year)
    range_k = _keep_monthly(usual_k * swing, monthly_tmax_c - monthly_tmin_c, year)
    return middle_c - range_k / 2.0, middle_c + range_k / 2.0


def hourly_temperature(
    tmin_c: FloatArray, tmax_c: FloatArray, *, solar_shift_h: float
) -> FloatArray:
    """Hourly air temperature [degC], shape ``(8760,)``, from each day's extremes.

    ``solar_shift_h`` is how far solar time is ahead of standard time. The course is that of
    Erbs (``temperature_course``); between one extreme and the next its limits move evenly,
    so that nothing jumps at midnight.
    """
    grid_h = np.arange(0.0, 24.0, 0.05)
    course = temperature_course(grid_h)
    lowest, highest = int(np.argmin(course)), int(np.argmax(course))
    hour = np.arange(0.5, HOURS_PER_YEAR)
    day_start = np.arange(DAYS_PER_YEAR) * 24.0 - solar_shift_h
    low_c = np.interp(hour, day_start + grid_h[lowest], tmin_c, period=HOURS_PER_YEAR)
    high_c = np.interp(hour, day_start + grid_h[highest], tmax_c, period=HOURS_PER_YEAR)
    part = temperature_course(hour + solar_shift_h) - course[lowest]
    share = part / (course[highest] - course[lowest])
    return np.asarray(low_c + (high_c - low_c) * share)


def temperature_course(solar_h: FloatArray) -> FloatArray:
    """Mean course of the air temperature in a day: deviation from the mean over the range.

    ``solar_h`` is solar time [h]. Source id ``erbs-1983``.
    """
    t = 2.0 * np.pi * (solar_h - 1.0) / 24.0
    return (
        0.4632 * np.cos(t - 3.805)
        + 0.0984 * np.cos(2.0 * t - 0.360)
        + 0.0168 * np.cos(3.0 * t - 0.822)
        + 0.0138 * np.cos(4.0 * t - 3.513)
    )


def _hourly(steps: FloatArray) -> FloatArray:
    return np.asarray(steps.reshape(HOURS_PER_YEAR, -1).mean(axis=1))
