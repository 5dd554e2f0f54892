"""Everything a simulation needs from a place: one year of weather, sun power, cold water."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tankful.clock import FloatArray, YearClock
from tankful.errors import Fault, FileError
from tankful.site.cache import Arrays, cache_key, cached_arrays
from tankful.site.climate import typical_year
from tankful.site.collector_sun import CollectorSpec, absorbed_w_per_m2
from tankful.site.mains import cold_water_zone_c, daily_burch_christensen, daily_from_monthly
from tankful.site.place import Place
from tankful.site.points import distance_km
from tankful.site.sun_power import ArraySpec, pv_power_w
from tankful.site.weather import STEP_SERIES, Weather, WeatherSteps, weather_steps

FAR_FILE_KM = 50.0
"""A weather file from farther away deserves a warning (judgement)."""

TOO_FAR_FILE_KM = 300.0
"""One from farther away is a mistake (judgement)."""


@dataclass(frozen=True, eq=False)
class SiteYear:
    """A place's year on the steps of a clock.

    ``weather`` holds the weather and the sun, ``pv_w`` the power after the inverter [W],
    ``cold_water_c`` the cold water [degC], ``absorbed_w_per_m2`` what each collector absorbs
    before losses [W/m2], all of shape ``(n_steps,)``; the texts say where
    weather and cold water come from and what to know about them.
    """

    weather: WeatherSteps
    pv_w: FloatArray
    cold_water_c: FloatArray
    absorbed_w_per_m2: tuple[FloatArray, ...]
    weather_text: str
    cold_water_text: str
    notes: tuple[str, ...]

    @property
    def temp_air_c(self) -> FloatArray:
        """Air temperature [degC]."""
        return self.weather.temp_air_c

    @property
    def wet_bulb_c(self) -> FloatArray:
        """Wet-bulb temperature [degC]."""
        return self.weather.wet_bulb_c


def site_year(
    place: Place,
    clock: YearClock,
    arrays: Sequence[ArraySpec] = (),
    inverter_w: float | None = None,
    *,
    weather: Weather | None = None,
    cold_water_c: Sequence[float] | None = None,
    collectors: Sequence[CollectorSpec] = (),
) -> SiteYear:
    """The year of a place: from ``weather`` if given, otherwise the built-in typical year.

    Panels as in ``pv_power_w``. ``cold_water_c`` are twelve monthly values of the home's
    own; otherwise the table of the place's zone, or without a zone the correlation with the
    air. Weather on steps and panel power are kept in the cache, so that a place and roof met
    before need no sun library. PlaceError where there is no built-in year.
    """
    key = _weather_key(place, clock, weather)
    steps, texts = _weather_on_steps(key, place, clock, weather)
    power = cached_arrays(
        cache_key("panels", key, tuple(arrays), inverter_w),
        lambda: {"pv_w": pv_power_w(steps, arrays, inverter_w)},
    )
    cold_daily_c, cold_text = _cold_water(place, clock, steps, cold_water_c)
    far_notes = () if weather is None else _distance_notes(place, weather)
    return SiteYear(
        weather=steps,
        pv_w=np.asarray(power["pv_w"], dtype=np.float64),
        absorbed_w_per_m2=tuple(_absorbed(key, steps, spec) for spec in collectors),
        cold_water_c=np.repeat(cold_daily_c, clock.steps_per_day),
        weather_text=texts[0],
        cold_water_text=cold_text,
        notes=(*place.notes, *far_notes, *texts[1:]),
    )


def _weather_key(place: Place, clock: YearClock, weather: Weather | None) -> str:
    origin = place if weather is None else (weather.digest(), weather.source, weather.notes)
    return cache_key("weather steps", origin, clock.year, clock.step_min, clock.utc_offset_h)


def _weather_on_steps(
    key: str, place: Place, clock: YearClock, weather: Weather | None
) -> tuple[WeatherSteps, tuple[str, ...]]:
    """Weather on the clock's steps, and its source and notes."""

    def make() -> Arrays:
        hourly = typical_year(place, clock.year) if weather is None else weather
        steps = weather_steps(hourly, clock)
        arrays: Arrays = {name: getattr(steps, name) for name in STEP_SERIES}
        arrays["texts"] = np.array([hourly.source, *hourly.notes])
        return arrays

    stored = cached_arrays(key, make)
    series = {name: np.asarray(stored[name], dtype=np.float64) for name in STEP_SERIES}
    return WeatherSteps(**series), tuple(str(text) for text in stored["texts"])


def _absorbed(key: str, steps: WeatherSteps, spec: CollectorSpec) -> FloatArray:
    """What a collector absorbs on the steps, kept in the cache."""
    stored = cached_arrays(
        cache_key("collectors", key, spec),
        lambda: {"absorbed": absorbed_w_per_m2(steps, spec)},
    )
    return np.asarray(stored["absorbed"], dtype=np.float64)


def _cold_water(
    place: Place, clock: YearClock, steps: WeatherSteps, own_c: Sequence[float] | None
) -> tuple[FloatArray, str]:
    """Cold water of each day [degC], shape ``(365,)``, and in words where it comes from."""
    if own_c is not None:
        return daily_from_monthly(own_c, clock.year), "twelve values given for the home"
    if place.cold_water_zone is not None:
        monthly_c = cold_water_zone_c(place.cold_water_zone)
        text = f"published monthly table of cold water zone {place.cold_water_zone}"
        return daily_from_monthly(monthly_c, clock.year), text
    daily_c = daily_burch_christensen(steps.temp_air_c, clock.year, place.southern)
    return daily_c, "correlation of mains water with air temperature (Burch and Christensen)"


def _distance_notes(place: Place, weather: Weather) -> tuple[str, ...]:
    where = (np.array([weather.latitude]), np.array([weather.longitude]))
    far_km = float(distance_km(place.latitude, place.longitude, *where)[0])
    if far_km <= FAR_FILE_KM:
        return ()
    if far_km > TOO_FAR_FILE_KM:
        fault = Fault(
            "place.weather_file",
            "the weather file is for another part of the world",
            f"{far_km:,.0f} km from the home",
            f"within {TOO_FAR_FILE_KM:.0f} km",
            "give a file for the home's place, or correct `latitude` and `longitude`",
        )
        raise FileError("The weather file does not fit the home.", [fault])
    return (f"The weather file is for a place {far_km:.0f} km from the home.",)
