"""Where the sun stands: the only door to pvlib's sun position."""

from __future__ import annotations

import warnings
from typing import NamedTuple

import numpy as np

from tankful.clock import FloatArray, dates_of_year
from tankful.units import MINUTES_PER_DAY


class Sun(NamedTuple):
    """Sun at the middle of each step of a year of local standard time; shape ``(n_steps,)``.

    ``zenith_deg`` is apparent (with refraction), ``azimuth_deg`` clockwise from north,
    ``solar_time_h`` 0 to 24 with 12 at the sun's highest, ``sunset_rad`` the hour angle of
    sunset (without refraction), ``extra`` the radiation above the
    atmosphere at right angles to the rays [W/m2].
    """

    zenith_deg: FloatArray
    azimuth_deg: FloatArray
    solar_time_h: FloatArray
    sunset_rad: FloatArray
    extra: FloatArray

    @property
    def cos_zenith(self) -> FloatArray:
        """Cosine of the zenith, 0 with the sun below the horizon."""
        return np.maximum(np.cos(np.radians(self.zenith_deg)), 0.0)


def sun_over_year(
    latitude: float, longitude: float, utc_offset_h: float, year: int, step_min: int
) -> Sun:
    """Sun of every step of ``year`` (365 days, 29 February left out).

    pvlib's ephemeris method; it agrees with the far slower algorithm of NREL to about 0.01
    degrees with the sun up. Sea-level refraction.
    """
    import pandas as pd
    from pvlib import irradiance, solarposition

    days = np.array(dates_of_year(year), dtype="datetime64[s]")
    middle_s = np.arange(0, MINUTES_PER_DAY, step_min) * 60 + step_min * 30
    local = days[:, None] + middle_s.astype("timedelta64[s]")
    utc = local.ravel() - np.timedelta64(round(utc_offset_h * 3600), "s")
    with warnings.catch_warnings():
        # pvlib 0.16 still asks pandas 3.1 by an old name
        warnings.filterwarnings("ignore", "DatetimeIndex.dayofyear", DeprecationWarning)
        table = solarposition.ephemeris(pd.DatetimeIndex(utc, tz="UTC"), latitude, longitude)
    day_of_year = (days - np.datetime64(f"{year}-01-01", "s")) // np.timedelta64(1, "D") + 1.0
    declination = solarposition.declination_spencer71(day_of_year)
    cos_sunset = -np.tan(np.radians(latitude)) * np.tan(declination)
    extra = irradiance.get_extra_radiation(day_of_year, method="spencer")
    steps_per_day = MINUTES_PER_DAY // step_min
    return Sun(
        zenith_deg=90.0 - table["apparent_elevation"].to_numpy(),
        azimuth_deg=table["azimuth"].to_numpy(),
        solar_time_h=table["solar_time"].to_numpy() % 24.0,
        sunset_rad=np.repeat(np.arccos(np.clip(cos_sunset, -1.0, 1.0)), steps_per_day),
        extra=np.repeat(extra, steps_per_day),
    )
