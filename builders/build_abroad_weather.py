"""Make examples/abroad-weather.csv: a synthetic year of hourly weather for the example abroad.

The monthly means below are invented round numbers in the manner of the Portuguese coast, not
a record of any station; the hours are made by the program's own typical-year relations. Run:
``python builders/build_abroad_weather.py``.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from tankful.clock import month_of_day
from tankful.site.clearness import daily_clearness
from tankful.site.climate import daily_extremes, hourly_sun, hourly_temperature
from tankful.site.sky import sun_over_year
from tankful.site.smooth import daily_means_by_month, monthly_to_daily
from tankful.site.weather import Weather
from tankful.site.weather_file import write_weather_table

OUT = Path(__file__).parents[1] / "examples" / "abroad-weather.csv"
LATITUDE, LONGITUDE, ELEVATION_M, UTC_OFFSET_H = 38.5, -9.0, 60.0, 0.0
YEAR, SEED = 2027, 11
SUN_KWH_M2_DAY = np.array([2.1, 3.0, 4.4, 5.6, 6.7, 7.3, 7.5, 6.7, 5.2, 3.6, 2.4, 1.9])
TMAX_C = np.array([15.0, 16.0, 18.5, 20.0, 22.5, 26.0, 28.5, 28.5, 26.5, 22.5, 18.0, 15.5])
TMIN_C = np.array([8.0, 8.5, 10.0, 11.5, 13.5, 16.5, 18.0, 18.5, 17.0, 14.5, 11.0, 9.0])
DEW_C = np.array([8.0, 8.0, 9.0, 10.0, 11.5, 14.0, 15.0, 15.5, 15.0, 13.0, 10.5, 8.5])
WIND_M_S = 4.0


def main() -> None:
    """Write the file."""
    sun = sun_over_year(LATITUDE, LONGITUDE, UTC_OFFSET_H, YEAR, 10)
    above = (sun.extra * sun.cos_zenith).reshape(365, -1).mean(axis=1)
    monthly_sun = SUN_KWH_M2_DAY * 1000.0 / 24.0
    month = month_of_day(YEAR)
    clearness = daily_clearness(monthly_sun / daily_means_by_month(above, YEAR), month, SEED)
    daily_sun = clearness * above
    daily_sun *= (monthly_sun / daily_means_by_month(daily_sun, YEAR))[month - 1]
    ghi, dni, dhi = hourly_sun(daily_sun, sun, SEED)
    extremes_c = daily_extremes(TMIN_C, TMAX_C, daily_sun / above, YEAR)
    shift_h = LONGITUDE / 15.0 - UTC_OFFSET_H
    air_c = hourly_temperature(*extremes_c, solar_shift_h=shift_h)
    dew_c = np.minimum(np.repeat(monthly_to_daily(DEW_C, YEAR), 24), air_c)
    weather = Weather(
        latitude=LATITUDE,
        longitude=LONGITUDE,
        elevation_m=ELEVATION_M,
        utc_offset_h=UTC_OFFSET_H,
        ghi=ghi.round(),
        dni=dni.round(),
        dhi=dhi.round(),
        temp_air_c=air_c.round(1),
        dew_point_c=dew_c.round(1),
        wind_speed_m_s=np.full(8760, WIND_M_S),
        source="synthetic year from invented monthly means, for the example abroad",
        notes=("Synthetic: not measured anywhere, and not for advice.",),
    )
    write_weather_table(weather, OUT)


if __name__ == "__main__":
    main()
