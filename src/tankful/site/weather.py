"""A year of weather by the hour, and the same year on the simulation's steps."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping
from dataclasses import dataclass, fields

import numpy as np

from tankful.clock import BoolArray, FloatArray, YearClock
from tankful.physics.humid_air import relative_humidity_pct, wet_bulb_c
from tankful.site.sky import Sun, sun_over_year
from tankful.site.smooth import hourly_to_steps
from tankful.units import DAYS_PER_YEAR

HOURS_PER_YEAR = DAYS_PER_YEAR * 24
HEADER = ("latitude", "longitude", "elevation_m", "utc_offset_h")
SERIES = ("ghi", "dni", "dhi", "temp_air_c", "dew_point_c", "wind_speed_m_s")
OFF_NOON_H = 0.6
"""Sun farther than this from solar noon: the time zone or the labels are wrong (judgement)."""


@dataclass(frozen=True, eq=False)
class Weather:
    """Hourly means of a year without 29 February, labelled at the hour's start.

    Hours are local standard time (``utc_offset_h``). Arrays have shape ``(8760,)``: global,
    direct normal and diffuse irradiance [W/m2], air and dew point [degC], wind at 10 m.
    ``source`` says in one line what it is, ``notes`` what to know about it.
    """

    latitude: float
    longitude: float
    elevation_m: float
    utc_offset_h: float
    ghi: FloatArray
    dni: FloatArray
    dhi: FloatArray
    temp_air_c: FloatArray
    dew_point_c: FloatArray
    wind_speed_m_s: FloatArray
    source: str
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for name in SERIES:
            shape = getattr(self, name).shape
            if shape != (HOURS_PER_YEAR,):
                raise ValueError(f"{name} has shape {shape}, not ({HOURS_PER_YEAR},)")

    def digest(self) -> str:
        """sha256 of position and series: equal weather, equal digest."""
        header = [float(getattr(self, name)) for name in HEADER]
        digest = hashlib.sha256(repr(header).encode())
        for name in SERIES:
            digest.update(np.ascontiguousarray(getattr(self, name), dtype="<f8").tobytes())
        return digest.hexdigest()


def build_weather(
    header: Mapping[str, float],
    series: Mapping[str, FloatArray],
    source: str,
    notes: tuple[str, ...],
) -> Weather:
    """Weather from its numbers by name (``HEADER``) and its series by name (``SERIES``)."""
    return Weather(
        latitude=header["latitude"],
        longitude=header["longitude"],
        elevation_m=header["elevation_m"],
        utc_offset_h=header["utc_offset_h"],
        ghi=series["ghi"],
        dni=series["dni"],
        dhi=series["dhi"],
        temp_air_c=series["temp_air_c"],
        dew_point_c=series["dew_point_c"],
        wind_speed_m_s=series["wind_speed_m_s"],
        source=source,
        notes=notes,
    )


@dataclass(frozen=True, eq=False)
class WeatherSteps:
    """Means over each step of a ``YearClock``; arrays of shape ``(n_steps,)``.

    As ``Weather``, with the wet bulb [degC], the sun's apparent zenith and azimuth [degrees,
    clockwise from north] at the middle of the step, and the radiation above the atmosphere
    ``dni_extra`` [W/m2].
    """

    ghi: FloatArray
    dni: FloatArray
    dhi: FloatArray
    temp_air_c: FloatArray
    dew_point_c: FloatArray
    wet_bulb_c: FloatArray
    wind_speed_m_s: FloatArray
    zenith_deg: FloatArray
    azimuth_deg: FloatArray
    dni_extra: FloatArray


STEP_SERIES = tuple(field.name for field in fields(WeatherSteps))


def weather_steps(weather: Weather, clock: YearClock) -> WeatherSteps:
    """Bring hourly weather onto the steps of ``clock``.

    Radiation: an hour's global and diffuse energy is spread over its steps in proportion to
    the cosine of the sun's zenith, so each hour keeps its energy; the beam is what is left
    of the global, at most what arrives above the atmosphere. Energy of an hour without sun
    goes to the nearest hour with sun. Temperatures: a continuous curve with the hourly means
    kept. Wind: constant through the hour. A weather year in another standard time than the
    clock's is shifted by the difference.
    """
    shift_min = round((clock.utc_offset_h - weather.utc_offset_h) * 60)
    inner_min = math.gcd(clock.step_min, shift_min)
    per_hour = 60 // inner_min
    where = (weather.latitude, weather.longitude)
    sun = sun_over_year(*where, weather.utc_offset_h, clock.year, inner_min)

    def on_clock(values: FloatArray) -> FloatArray:
        rolled = np.roll(values, shift_min // inner_min).reshape(clock.n_steps, -1)
        return np.asarray(rolled.mean(axis=1))

    ghi, dni, dhi = _spread_radiation(weather, sun, per_hour)
    air_c = hourly_to_steps(weather.temp_air_c, per_hour)
    dew_c = np.minimum(hourly_to_steps(weather.dew_point_c, per_hour), air_c)
    if shift_min or inner_min != clock.step_min:
        sun = sun_over_year(*where, clock.utc_offset_h, clock.year, clock.step_min)
    temp_air_c, dew_point_c = on_clock(air_c), on_clock(dew_c)
    return WeatherSteps(
        ghi=on_clock(ghi),
        dni=on_clock(dni),
        dhi=on_clock(dhi),
        temp_air_c=temp_air_c,
        dew_point_c=dew_point_c,
        wet_bulb_c=wet_bulb_c(temp_air_c, relative_humidity_pct(temp_air_c, dew_point_c)),
        wind_speed_m_s=on_clock(np.repeat(weather.wind_speed_m_s, per_hour)),
        zenith_deg=sun.zenith_deg,
        azimuth_deg=sun.azimuth_deg,
        dni_extra=sun.extra,
    )


def _spread_radiation(
    weather: Weather, sun: Sun, per_hour: int
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Global, beam and diffuse on ``per_hour`` steps an hour, all flat arrays."""
    cos_zenith = sun.cos_zenith.reshape(HOURS_PER_YEAR, per_hour)
    mean_cos = cos_zenith.mean(axis=1)
    lit = mean_cos > 0.0
    if not lit.any():
        raise ValueError("the sun never rises at this place")
    ghi_h = _into_daylight(weather.ghi, lit)
    dhi_h = np.minimum(_into_daylight(weather.dhi, lit), ghi_h)
    share = cos_zenith / np.where(lit, mean_cos, 1.0)[:, None]
    ghi = ghi_h[:, None] * share
    beam = np.where(lit, (ghi_h - dhi_h) / np.where(lit, mean_cos, 1.0), 0.0)[:, None]
    dni = np.where(cos_zenith > 0.0, beam, 0.0).ravel()
    dni = np.minimum(dni, sun.extra)
    dhi = ghi.ravel() - dni * cos_zenith.ravel()
    return ghi.ravel(), dni, np.maximum(dhi, 0.0)


def _into_daylight(hourly: FloatArray, lit: BoolArray) -> FloatArray:
    """Move the energy of dark hours to the nearest lit hour."""
    dark = np.flatnonzero(~lit & (hourly > 0.0))
    moved = np.where(lit, hourly, 0.0)
    lit_hours = np.flatnonzero(lit)
    after = np.searchsorted(lit_hours, dark)
    right = lit_hours[np.minimum(after, lit_hours.size - 1)]
    left = lit_hours[np.maximum(after - 1, 0)]
    nearest = np.where(np.abs(right - dark) <= np.abs(dark - left), right, left)
    np.add.at(moved, nearest, hourly[dark])
    return moved


def time_warnings(weather: Weather) -> tuple[str, ...]:
    """Warnings where the year's sun does not fit the place: wrong zone, labels or hemisphere."""
    warnings = []
    by_hour = weather.ghi.reshape(DAYS_PER_YEAR, 24).sum(axis=0)
    angle = (np.arange(24) + 0.5) * (2.0 * math.pi / 24.0)
    centre_h = math.atan2(by_hour @ np.sin(angle), by_hour @ np.cos(angle)) * 24 / (2 * math.pi)
    noon_h = 12.0 - (weather.longitude / 15.0 - weather.utc_offset_h)
    late_h = (centre_h - noon_h + 12.0) % 24.0 - 12.0
    if abs(late_h) > OFF_NOON_H:
        warnings.append(
            f"The sun of this weather is centred {abs(late_h):.1f} h "
            f"{'after' if late_h > 0 else 'before'} solar noon of the place: check its time "
            "zone, its longitude and whether hours are labelled at their start or end."
        )
    by_day = weather.ghi.reshape(DAYS_PER_YEAR, 24).sum(axis=1)
    southern_summer = by_day[:59].sum() + by_day[334:].sum()
    northern_summer = by_day[151:243].sum() * 90.0 / 92.0
    summer_in_january = southern_summer > northern_summer
    if abs(weather.latitude) > 23.5 and summer_in_january != (weather.latitude < 0):
        warnings.append(
            "The sunnier season of this weather belongs to the other hemisphere: check the "
            "sign of its latitude."
        )
    return tuple(warnings)
