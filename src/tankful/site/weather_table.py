"""What every hourly weather file must pass: rows, order, numbers, ranges.

pvlib's readers check nothing, so a missing code or a word would go on as weather.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tankful.clock import BoolArray, FloatArray, IntArray, dates_of_year
from tankful.errors import Fault, FileError
from tankful.site.weather import HOURS_PER_YEAR, SERIES, Weather, build_weather, time_warnings

COMMON_YEAR = 2027
LEAP_HOURS = HOURS_PER_YEAR + 24
MAX_FAULTS = 10
LIMITS = {
    "ghi": (-5.0, 1500.0, "W/m2"),
    "dni": (-5.0, 1500.0, "W/m2"),
    "dhi": (-5.0, 1200.0, "W/m2"),
    "temp_air_c": (-70.0, 60.0, "degC"),
    "dew_point_c": (-90.0, 40.0, "degC"),
    "wind_speed_m_s": (0.0, 60.0, "m/s"),
}
"""What a good file can hold (records and margins from memory); night offsets below 0 pass."""
HEADER_LIMITS = {
    "latitude": (-90.0, 90.0, "degrees"),
    "longitude": (-180.0, 180.0, "degrees"),
    "elevation_m": (-450.0, 6000.0, "m"),
    "utc_offset_h": (-12.0, 14.0, "h"),
}
YEARLY_SUN_KWH_M2 = (400.0, 3000.0)
"""From polar coast to high desert (from memory, with margins)."""
MEND_FILE = "get the file again from its source, or use another file"


@dataclass(frozen=True, eq=False)
class HourlyTable:
    """An hourly file as read: header values, one row an hour, nothing checked yet.

    ``columns`` holds the series of ``Weather`` as numbers (nan where unreadable), ``calendar``
    the file's own month, day and hour (0 to 23, at the hour's start) of each row, if it has
    them, ``first_line`` the file's line of the first row, if it has lines.
    """

    file: str
    kind: str
    header: dict[str, float]
    columns: dict[str, FloatArray]
    calendar: tuple[IntArray, IntArray, IntArray] | None
    first_line: int | None
    instant_temperatures: bool = False
    notes: tuple[str, ...] = ()


def to_weather(table: HourlyTable, *, roll_h: int = 0) -> Weather:
    """Check a table and make the year's weather of it; FileError names every fault's line.

    29 February is dropped. ``roll_h`` hours of local time ahead of the file's are rolled
    round the year. Temperatures given for the end of each hour become means over the hour.
    """
    faults = [*_header_faults(table), *_row_faults(table)]
    if faults:
        raise FileError(f"The {table.kind} weather file cannot be used.", _shortened(faults))
    keep = _without_leap_day(table)
    series = {name: table.columns[name][keep].astype(np.float64) for name in SERIES}
    if table.instant_temperatures:
        for name in ("temp_air_c", "dew_point_c"):
            series[name] = (series[name] + np.roll(series[name], 1)) / 2.0
    notes = list(table.notes)
    for name in ("ghi", "dni", "dhi"):
        series[name] = np.maximum(series[name], 0.0)
    over = series["dhi"] > series["ghi"]
    if excess := float((series["dhi"] - series["ghi"])[over].sum() / series["ghi"].sum()):
        series["dhi"] = np.minimum(series["dhi"], series["ghi"])
        if excess > 0.001:
            notes.append("Diffuse sun above global sun in the file was cut to the global.")
    series["dew_point_c"] = np.minimum(series["dew_point_c"], series["temp_air_c"])
    header = dict(table.header)
    header["utc_offset_h"] += roll_h
    rolled = {name: np.roll(values, roll_h) for name, values in series.items()}
    source = f"{table.kind} weather file {table.file}"
    weather = build_weather(header, rolled, source, tuple(notes))
    return replace(weather, notes=weather.notes + time_warnings(weather))


def _header_faults(table: HourlyTable) -> list[Fault]:
    faults = []
    for name, (low, high, unit) in HEADER_LIMITS.items():
        value = table.header.get(name, np.nan)
        if not low <= value <= high:
            faults.append(
                Fault(
                    name,
                    "missing or impossible in the file's header",
                    f"{value:g}",
                    f"{low:g} to {high:g} {unit}",
                    MEND_FILE,
                    1 if table.first_line else None,
                    table.file,
                )
            )
    return faults


def _row_faults(table: HourlyTable) -> list[Fault]:
    rows = table.columns["ghi"].size
    if rows not in (HOURS_PER_YEAR, LEAP_HOURS):
        problem = "the file is cut short" if rows < HOURS_PER_YEAR else "too many rows"
        allowed = f"{HOURS_PER_YEAR} rows, or {LEAP_HOURS} with 29 February"
        last = None if table.first_line is None else table.first_line + max(rows - 1, 0)
        return [Fault("rows", problem, str(rows), allowed, MEND_FILE, last, table.file)]
    faults = _calendar_faults(table)
    for name, (low, high, unit) in LIMITS.items():
        values = table.columns[name]
        with np.errstate(invalid="ignore"):
            bad = np.flatnonzero(~((values >= low) & (values <= high)))
        if bad.size:
            faults.append(_value_fault(table, name, bad, f"{low:g} to {high:g} {unit}"))
    if not faults:
        faults += _sun_faults(table)
    return faults


def _value_fault(table: HourlyTable, name: str, bad: IntArray, allowed: str) -> Fault:
    row = int(bad[0])
    value = table.columns[name][row]
    if np.isnan(value):
        problem, found = "not a number or missing", ""
    elif abs(value) >= 99.0 and set(f"{abs(value):g}".replace(".", "")) <= {"9", "0"}:
        problem, found = "missing in the file (its code for a missing value)", f"{value:g}"
    else:
        problem, found = "outside what weather can be", f"{value:g}"
    if bad.size > 1:
        problem += f", here and in {bad.size - 1} more rows"
    line = None if table.first_line is None else table.first_line + row
    field = name if line is not None else f"{name}, hour {row + 1} of the year"
    mend = "fill it in from the hours around it, or use another file"
    return Fault(field, problem, found, allowed, mend, line, table.file)


def _calendar_faults(table: HourlyTable) -> list[Fault]:
    """A year must run from 1 January to 31 December, hour by hour."""
    keep = _without_leap_day(table)
    if np.count_nonzero(keep) != HOURS_PER_YEAR:
        problem = "a leap year's rows without a 29 February"
        return [Fault("rows", problem, mend=MEND_FILE, file=table.file)]
    if table.calendar is None:
        return []
    dates = dates_of_year(COMMON_YEAR)
    expected = (
        np.repeat([date.month for date in dates], 24),
        np.repeat([date.day for date in dates], 24),
        np.tile(np.arange(24), len(dates)),
    )
    wrong = np.zeros(HOURS_PER_YEAR, dtype=bool)
    for found, wanted in zip(table.calendar, expected, strict=True):
        wrong |= found[keep] != wanted
    if not wrong.any():
        return []
    index = int(np.flatnonzero(wrong)[0])
    row = int(np.flatnonzero(keep)[index])
    month, day, hour = (int(part[row]) for part in table.calendar)
    return [
        Fault(
            "date",
            "hours are missing, doubled or out of order",
            f"month {month}, day {day}, from {hour}:00",
            f"month {expected[0][index]}, day {expected[1][index]}, from {expected[2][index]}:00",
            MEND_FILE,
            None if table.first_line is None else table.first_line + row,
            table.file,
        )
    ]


def _without_leap_day(table: HourlyTable) -> BoolArray:
    """True for the rows that stay."""
    rows = table.columns["ghi"].size
    if rows == HOURS_PER_YEAR:
        return np.ones(rows, dtype=bool)
    if table.calendar is None:
        keep = np.ones(rows, dtype=bool)
        keep[59 * 24 : 60 * 24] = False
        return keep
    month, day, _ = table.calendar
    return np.asarray((month != 2) | (day != 29))


def _sun_faults(table: HourlyTable) -> list[Fault]:
    low, high = YEARLY_SUN_KWH_M2
    year_kwh = float(np.maximum(table.columns["ghi"], 0.0).sum()) / 1000.0
    if low <= year_kwh <= high:
        return []
    problem = "the year's sun on level ground cannot be"
    allowed = f"{low:g} to {high:g} kWh/m2"
    return [Fault("ghi", problem, f"{year_kwh:.0f}", allowed, MEND_FILE, None, table.file)]


def _shortened(faults: list[Fault]) -> list[Fault]:
    if len(faults) <= MAX_FAULTS:
        return faults
    more = Fault("more", f"{len(faults) - MAX_FAULTS} more faults are not shown")
    return [*faults[:MAX_FAULTS], more]
