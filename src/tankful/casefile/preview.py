"""What a file that somebody brings along holds: meter readings or a year of weather, in words."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from tankful.casefile.household import meter_words
from tankful.clock import standard_offset_h, year_clock
from tankful.errors import Fault, FileError
from tankful.site.place import find_place

READINGS = (".csv", ".txt", ".dat")
"""Endings under which meter readings come; weather may come under them too."""


@dataclass(frozen=True)
class Preview:
    """``field`` is the field of the case that could name the file; ``unfit`` says why no answer
    could use it all the same."""

    field: str
    lines: tuple[str, ...]
    unfit: tuple[Fault, ...] = ()


def preview(path: Path, *, postcode: str, time_zone: str) -> Preview:
    """Read a file as what it is; the home's postcode or IANA zone tells what its times mean.

    FileError when it holds neither, with what is wrong with it as the kind it looks like;
    PlaceError when the home's clock is not known.
    """
    tz = time_zone or find_place(postcode).tz
    if path.suffix.lower() not in READINGS:
        return _weather(path)
    try:
        return _meter(path, tz)
    except FileError as no_meter:
        try:
            return _weather(path)
        except FileError:
            raise no_meter from None


def _meter(path: Path, tz: str) -> Preview:
    from tankful.use.house_load import too_short
    from tankful.use.meter_days import place_days
    from tankful.use.read_meter import read_meter

    meter = read_meter(path, tz=tz, utc_offset_h=standard_offset_h(date.today().year, tz))
    placed = place_days(meter, year_clock(date.today().year + 1, tz, 60))
    short = too_short(placed, meter)
    unfit = (replace(short, field="electricity.meter_file"),) if short else ()
    return Preview("electricity.meter_file", (meter_words(meter), *meter.notes), unfit)


def _weather(path: Path) -> Preview:
    from tankful.site.weather_file import read_weather_file
    from tankful.site.weather_words import weather_lines

    return Preview("place.weather_file", tuple(weather_lines(read_weather_file(path))))
