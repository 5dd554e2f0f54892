"""The published weather file formats, parsed by pvlib into one table of hours."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from tankful.clock import FloatArray, IntArray
from tankful.errors import Fault, FileError
from tankful.physics.humid_air import dew_point_c
from tankful.site.weather import SERIES
from tankful.site.weather_table import MAX_FAULTS, MEND_FILE, HourlyTable

if TYPE_CHECKING:
    from pandas import DataFrame, Series

EPW_HEADER_LINES = 8
EPW_FIELDS = range(22, 36)
"""Wind speed is the 22nd field of 35; a 36th would shift every column without a word."""
TMY2_CHARACTERS = 142


def read_epw(text: str, name: str, path: Path) -> HourlyTable:
    """EPW: hour 1 is 00:00 to 01:00, temperatures are those at its end."""
    from pvlib import iotools

    rows = _rows(text, EPW_HEADER_LINES)
    _check_fields(rows, name, EPW_FIELDS)
    frame, meta = iotools.read_epw(io.StringIO(text))
    return HourlyTable(
        file=name,
        kind="EPW",
        header=_header(meta, "altitude", "TZ"),
        columns=_columns(frame, "ghi", "dni", "dhi", "temp_air", "temp_dew", "wind_speed"),
        calendar=(_whole(frame["month"]), _whole(frame["day"]), _whole(frame["hour"]) - 1),
        first_line=EPW_HEADER_LINES + 1,
        instant_temperatures=True,
    )


def read_tmy3(text: str, name: str, path: Path) -> HourlyTable:
    """TMY3: time stamps at the hour's end."""
    from pvlib import iotools

    lines = text.splitlines()
    width = lines[1].count(",") + 1
    _check_fields(_rows(text, 2), name, range(width, width + 1))
    frame, meta = iotools.read_tmy3(io.StringIO(text))
    date = frame["Date (MM/DD/YYYY)"].str.split("/", expand=True)
    hour = frame["Time (HH:MM)"].str.split(":", expand=True)[0]
    return HourlyTable(
        file=name,
        kind="TMY3",
        header=_header(meta, "altitude", "TZ"),
        columns=_columns(frame, "ghi", "dni", "dhi", "temp_air", "temp_dew", "wind_speed"),
        calendar=(_whole(date[0]), _whole(date[1]), _whole(hour) - 1),
        first_line=3,
        instant_temperatures=True,
    )


def read_tmy2(text: str, name: str, path: Path) -> HourlyTable:
    """TMY2: fixed columns, hours 1 to 24, tenths of degrees and of metres per second."""
    from pvlib import iotools

    faults = [
        Fault(
            "row", "too short", f"{len(row)} characters", f"{TMY2_CHARACTERS}", MEND_FILE, n, name
        )
        for n, row in _rows(text, 1)
        if len(row) < TMY2_CHARACTERS
    ]
    _raise_any(faults)
    frame, meta = iotools.read_tmy2(path)
    columns = _columns(frame, "GHI", "DNI", "DHI", "DryBulb", "DewPoint", "Wspd")
    for tenths in ("temp_air_c", "dew_point_c", "wind_speed_m_s"):
        columns[tenths] = columns[tenths] / 10.0
    return HourlyTable(
        file=name,
        kind="TMY2",
        header=_header(meta, "altitude", "TZ"),
        columns=columns,
        calendar=(_whole(frame["month"]), _whole(frame["day"]), _whole(frame["hour"]) - 1),
        first_line=2,
        instant_temperatures=True,
    )


def read_pvgis_csv(text: str, name: str, path: Path) -> HourlyTable:
    """PVGIS typical year as csv; its rows end at the first line that is not an hour."""
    from pvlib import iotools

    lines = text.splitlines()
    titles = [i for i, line in enumerate(lines) if line.startswith("time(UTC)")]
    if not titles:
        fault = Fault("time(UTC)", "title line of the table missing", mend=MEND_FILE, file=name)
        raise FileError("The weather file cannot be used.", [fault])
    first = titles[0] + 1
    width = lines[first - 1].count(",") + 1
    rows = [(n, row) for n, row in _rows(text, first) if re.match(r"\d{8}:\d{4},", row)]
    _check_fields(rows, name, range(width, width + 1))
    _check_count(rows, name)
    frame, meta = iotools.read_pvgis_tmy(io.BytesIO(text.encode()), pvgis_format="csv")
    return pvgis_table(frame, meta, name, first + 1)


def read_pvgis_json(text: str, name: str, path: Path) -> HourlyTable:
    """PVGIS typical year as json."""
    from pvlib import iotools

    try:
        json.loads(text)
    except (json.JSONDecodeError, RecursionError) as error:
        line = getattr(error, "lineno", None)
        fault = Fault("json", "broken off or not JSON", mend=MEND_FILE, line=line, file=name)
        raise FileError("The weather file cannot be used.", [fault]) from error
    frame, meta = iotools.read_pvgis_tmy(io.StringIO(text), pvgis_format="json")
    return pvgis_table(frame, meta, name, None)


def pvgis_table(
    frame: DataFrame, meta: dict[str, Any], name: str, first_line: int | None
) -> HourlyTable:
    """A PVGIS typical year as pvlib gives it, in universal time."""
    import pandas as pd

    inputs = meta["inputs"]
    place = inputs.get("location", inputs)
    air_c = _numbers(frame["temp_air"])
    humidity_pct = np.clip(_numbers(frame["relative_humidity"]), 1.0, 100.0)
    with_dew = frame.assign(dew_point=dew_point_c(air_c, humidity_pct))
    taken_h = place.get("irradiance_time_offset", place.get("irradiance time offset"))
    when = "" if taken_h is None else f" taken {float(taken_h):.2f} h after the full hour"
    index = pd.DatetimeIndex(frame.index)
    month, day, hour = (np.asarray(part, np.int64) for part in (index.month, index.day, index.hour))
    return HourlyTable(
        file=name,
        kind="PVGIS",
        header={**_header(place, "elevation"), "utc_offset_h": 0.0},
        columns=_columns(with_dew, "ghi", "dni", "dhi", "temp_air", "dew_point", "wind_speed"),
        calendar=(month, day, hour),
        first_line=first_line,
        notes=(f"Sun from satellite pictures{when}, counted as the mean of the hour.",),
    )


def _rows(text: str, skip: int) -> list[tuple[int, str]]:
    """Lines after the first ``skip`` with their numbers; empty lines are left out."""
    lines = text.splitlines()
    return [(n, line) for n, line in enumerate(lines[skip:], start=skip + 1) if line.strip()]


def _check_fields(rows: list[tuple[int, str]], name: str, wanted: range) -> None:
    """Every row must have a possible number of fields: pvlib fills or shifts in silence."""
    allowed = f"{wanted[0]}" if len(wanted) == 1 else f"{wanted[0]} to {wanted[-1]}"
    faults = []
    for number, row in rows:
        fields = row.count(",") + 1
        if fields not in wanted:
            problem = "a row with the wrong number of fields"
            faults.append(Fault("row", problem, f"{fields}", allowed, MEND_FILE, number, name))
    _raise_any(faults)


def _check_count(rows: list[tuple[int, str]], name: str) -> None:
    if len(rows) != 8760:
        last = rows[-1][0] if rows else None
        fault = Fault("rows", "not a whole year", f"{len(rows)}", "8760", MEND_FILE, last, name)
        _raise_any([fault])


def _raise_any(faults: list[Fault]) -> None:
    if faults:
        raise FileError("The weather file cannot be used.", faults[:MAX_FAULTS])


def _header(
    meta: dict[str, Any], elevation: str, utc_offset: str | None = None
) -> dict[str, float]:
    names = {"latitude": "latitude", "longitude": "longitude", "elevation_m": elevation}
    if utc_offset is not None:
        names["utc_offset_h"] = utc_offset
    return {ours: float(meta[theirs]) for ours, theirs in names.items()}


def _columns(frame: DataFrame, *names: str) -> dict[str, FloatArray]:
    """Columns ``names`` of the frame as numbers, by our names."""
    return {ours: _numbers(frame[name]) for ours, name in zip(SERIES, names, strict=True)}


def _numbers(column: Series[Any]) -> FloatArray:
    """A column as numbers; what is not a number becomes nan."""
    import pandas as pd

    return np.asarray(pd.to_numeric(column, errors="coerce"), dtype=np.float64)


def _whole(column: Series[Any]) -> IntArray:
    """A column as whole numbers; what is not a number becomes -1."""
    return np.nan_to_num(_numbers(column), nan=-1.0).astype(np.int64)
