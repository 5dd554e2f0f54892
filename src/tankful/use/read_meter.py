"""Read a meter file of any kind we know."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from tankful.use.meter import MeterData
from tankful.use.meter_csv import parse_meter_csv
from tankful.use.meter_text import read_lines
from tankful.use.nem12 import parse_nem12


def read_meter(path: Path, *, tz: str, utc_offset_h: float) -> MeterData:
    """Read NEM12 or our plain CSV, told apart by the first line.

    ``tz`` is the home's IANA zone, ``utc_offset_h`` its standard offset from UTC. Raises
    FileError naming file, line and mend.
    """
    try:
        found = path.stat()
    except OSError:
        return _read(path, tz, utc_offset_h)  # which says what is wrong
    return _kept(path, found.st_mtime_ns, found.st_size, tz, utc_offset_h)


@lru_cache(maxsize=4)
def _kept(path: Path, _changed_ns: int, _size: int, tz: str, utc_offset_h: float) -> MeterData:
    """A file of a case that is answered again and again is read once."""
    return _read(path, tz, utc_offset_h)


def _read(path: Path, tz: str, utc_offset_h: float) -> MeterData:
    lines = read_lines(path)
    first = next(line for line in lines if line.strip()).strip().lstrip('"').lower()
    if first.startswith(("#", "start")):
        return parse_meter_csv(lines, path.name, tz=tz, utc_offset_h=utc_offset_h)
    return parse_nem12(lines, path.name, utc_offset_h=utc_offset_h)
