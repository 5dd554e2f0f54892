"""The eight capitals on the built-in typical year, made once and shared by the checks."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tankful.clock import FloatArray, YearClock, year_clock
from tankful.model.capitals import POSTCODES as POSTCODES
from tankful.site.climate import typical_year
from tankful.site.mains import cold_water_zone_c, daily_from_monthly
from tankful.site.place import Place, find_place
from tankful.site.weather import Weather, WeatherSteps, weather_steps

YEAR = 2027


@dataclass(frozen=True, eq=False)
class Capital:
    """One city's year; ``cold_c`` has the shape of the clock."""

    place: Place
    clock: YearClock
    weather: Weather
    steps: WeatherSteps
    cold_c: FloatArray


@lru_cache(maxsize=16)
def capital_of(postcode: str) -> Capital:
    """The built-in year of an Australian postcode at steps of a quarter hour."""
    place = find_place(postcode)
    clock = year_clock(YEAR, place.tz, 15, place.country, place.state)
    weather = typical_year(place, YEAR)
    assert place.cold_water_zone is not None
    daily_c = daily_from_monthly(cold_water_zone_c(place.cold_water_zone), YEAR)
    return Capital(
        place=place,
        clock=clock,
        weather=weather,
        steps=weather_steps(weather, clock),
        cold_c=np.repeat(daily_c, clock.steps_per_day),
    )
