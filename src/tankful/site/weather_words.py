"""What a year of weather holds, in words."""

from __future__ import annotations

from tankful.site.weather import Weather


def weather_lines(weather: Weather) -> list[str]:
    """Source, place, sun and air of a year in a few lines."""
    air_c = weather.temp_air_c
    return [
        f"{weather.source}",
        f"latitude {weather.latitude:.2f}, longitude {weather.longitude:.2f}, "
        f"{weather.elevation_m:.0f} m above sea, UTC{weather.utc_offset_h:+g} h",
        f"sun on level ground {float(weather.ghi.sum()) / 1000:,.0f} kWh/m2 a year",
        f"air {air_c.min():.1f} to {air_c.max():.1f} degC, mean {air_c.mean():.1f}",
        *weather.notes,
    ]
