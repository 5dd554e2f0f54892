"""Read a year of hourly weather from a file; the kind is told by the content."""

from __future__ import annotations

import hashlib
import re
import warnings
from collections.abc import Callable
from pathlib import Path

import numpy as np

from tankful.errors import Fault, FileError
from tankful.site import weather_formats as formats
from tankful.site.cache import Arrays, cache_key, cached_arrays, write_bytes
from tankful.site.weather import HEADER, SERIES, Weather, build_weather
from tankful.site.weather_table import MEND_FILE, HourlyTable, to_weather

MAX_BYTES = 64 * 2**20
KINDS = "EPW, TMY2, TMY3, PVGIS typical year (csv, json) or a plain hourly table"
PLAIN_TITLE = "# hourly weather, means from the start of each hour, local standard time"
PLAIN_COLUMNS = "ghi_w_m2,dni_w_m2,dhi_w_m2,temp_air_c,dew_point_c,wind_speed_m_s"

Reader = Callable[[str, str, Path], HourlyTable]


def read_weather_file(path: Path) -> Weather:
    """The year's weather of a file; FileError says what is wrong, where, and how to mend it.

    EPW, TMY2, TMY3 and PVGIS through pvlib, and the plain table of ``write_weather_table``.
    PVGIS years are in universal time and are rolled by the whole hours nearest to their
    longitude. A file once read is kept in the cache.
    """
    content = _content(path)
    key = cache_key("weather file", hashlib.sha256(content).hexdigest(), path.name)
    return _unpack(cached_arrays(key, lambda: _pack(_parse(content, path))))


def write_weather_table(weather: Weather, path: Path) -> None:
    """Write ``weather`` as a plain table that ``read_weather_file`` reads back.

    The file appears whole or not at all. OSError where it cannot be written.
    """
    lines = [PLAIN_TITLE]
    lines += [f"# {name}: {getattr(weather, name):.9g}" for name in HEADER]
    lines += [f"# note: {' '.join(note.split())}" for note in (weather.source, *weather.notes)]
    lines.append(PLAIN_COLUMNS)
    series = [getattr(weather, name) for name in SERIES]
    lines += [",".join(f"{value:.6g}" for value in row) for row in zip(*series, strict=True)]
    write_bytes(path, ("\n".join(lines) + "\n").encode())


def _content(path: Path) -> bytes:
    try:
        if path.exists() and not path.is_file():
            raise _refusal(path, "not a file", "name a weather file")
        size = path.stat().st_size
        if size > MAX_BYTES:
            raise _refusal(path, f"far too large ({size // 2**20} MB)", MEND_FILE)
        return path.read_bytes()
    except OSError as error:
        problem = (error.strerror or "cannot be opened").lower()
        raise _refusal(path, problem, "check the name and the folder") from error


def _refusal(path: Path, problem: str, mend: str, line: int | None = None) -> FileError:
    fault = Fault("weather_file", problem, "", KINDS, mend, line, path.name)
    return FileError("The weather file cannot be used.", [fault])


def _parse(content: bytes, path: Path) -> Weather:
    if b"\x00" in content:
        raise _refusal(path, "not a text file", f"unpack it if it is an archive, or {MEND_FILE}")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("latin-1")
    reader = _reader(text, path)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # pandas on words among numbers: checked after
            table = reader(text, path.name, path)
    except FileError:
        raise
    except Exception as error:  # pvlib fails in many ways on a file that is not what it seems
        detail = " ".join(str(error).split())[:120]
        detail = f"no column {detail}" if isinstance(error, KeyError) else detail
        problem = f"begins like a weather file but cannot be read on: {detail}"
        raise _refusal(path, problem, MEND_FILE) from error
    if table.kind != "PVGIS":
        return to_weather(table)
    return to_weather(table, roll_h=round(table.header["longitude"] / 15.0))


def _reader(text: str, path: Path) -> Reader:
    head = text[:4000].lstrip()
    lines = [*head.splitlines(), "", ""]
    if re.match(r"(?i)<!doctype|<html|<\?xml", head):
        mend = "this is a web page: download the file itself, not the page about it"
        raise _refusal(path, "not a weather file", mend, 1)
    if lines[0].upper().startswith("LOCATION,"):
        return formats.read_epw
    if head.startswith("{"):
        return formats.read_pvgis_json
    if lines[0].startswith("Latitude (decimal degrees)"):
        return formats.read_pvgis_csv
    if lines[1].startswith("Date (MM/DD/YYYY)"):
        return formats.read_tmy3
    if lines[0] == PLAIN_TITLE:
        return _read_plain
    if re.match(r"\d{5}\s+\S.*\s[NS]\s+\d+\s+\d+\s+[EW]\s", lines[0]):
        return formats.read_tmy2
    raise _refusal(path, "not a weather file of a known kind", MEND_FILE, 1)


def _read_plain(text: str, name: str, path: Path) -> HourlyTable:
    lines = text.splitlines()
    first = lines.index(PLAIN_COLUMNS) + 1
    about = [line[2:].split(": ", 1) for line in lines[1 : first - 1]]
    rows = [(number, row.split(",")) for number, row in enumerate(lines[first:], start=first + 1)]
    faults = [
        Fault("row", "a row with the wrong number of fields", f"{len(row)}", "6", "", number, name)
        for number, row in rows
        if len(row) != len(SERIES)
    ]
    if faults:
        raise FileError("The weather file cannot be used.", faults[:10])
    cells = np.array([[_number(cell) for cell in row] for _, row in rows]).reshape(-1, len(SERIES))
    return HourlyTable(
        file=name,
        kind="plain",
        header={key: _number(value) for key, value in about if key in HEADER},
        columns=dict(zip(SERIES, cells.T, strict=True)),
        calendar=None,
        first_line=first + 1,
        notes=tuple(_printed(value) for key, value in about if key == "note"),
    )


def _printed(text: str) -> str:
    """The text without what could steer a terminal."""
    return "".join(character for character in text if character.isprintable())


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return float("nan")


def _pack(weather: Weather) -> Arrays:
    arrays: Arrays = {name: getattr(weather, name) for name in SERIES}
    arrays["header"] = np.array([getattr(weather, name) for name in HEADER])
    arrays["texts"] = np.array([weather.source, *weather.notes])
    return arrays


def _unpack(arrays: Arrays) -> Weather:
    source, *notes = (str(text) for text in arrays["texts"])
    header = dict(zip(HEADER, map(float, arrays["header"]), strict=True))
    series = {name: np.asarray(arrays[name], dtype=np.float64) for name in SERIES}
    return build_weather(header, series, source, tuple(notes))
