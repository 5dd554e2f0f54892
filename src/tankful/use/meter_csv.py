"""Interval readings as plain CSV, for meters outside NEM12.

The shape is our own. Optional lines ``# time: standard`` or ``# time: clock`` come first
and say whether starts keep standard time all year or follow the clock on the wall; without
one, standard time is assumed and noted. Then a header and one row per interval, in order::

    # time: clock
    start,import_kwh,export_kwh,controlled_kwh
    2025-07-01T00:00,0.12,0.0,0.5

``start`` is ISO 8601, local, or with an offset from UTC; ``export_kwh`` and
``controlled_kwh`` may be left out. A day that lacks a row is left out.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np

from tankful.units import MINUTES_PER_DAY
from tankful.use.meter import MOST_MEAN_KW, MeterData, Register, Role, whole_days
from tankful.use.meter_text import FaultLog, read_lines

COLUMNS: dict[str, Role] = {
    "import_kwh": "import",
    "export_kwh": "export",
    "controlled_kwh": "controlled",
}
_INTERVALS_MIN = (5, 10, 15, 20, 30, 60)
_START = re.compile(
    r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:00)?(Z|[+-]\d\d:\d\d)?", re.ASCII | re.IGNORECASE
)
_NUMBER = re.compile(r"(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?", re.ASCII)
_ASSUMED = "The file does not say whether it follows the clock; standard time was assumed."

Readings = dict[datetime, tuple[int, list[float]]]
"""Line and readings by start, in local standard time."""


def read_meter_csv(path: Path, *, tz: str, utc_offset_h: float) -> MeterData:
    """Read a CSV file of readings; see ``parse_meter_csv``."""
    return parse_meter_csv(read_lines(path), path.name, tz=tz, utc_offset_h=utc_offset_h)


def parse_meter_csv(lines: list[str], file: str, *, tz: str, utc_offset_h: float) -> MeterData:
    """Whole days of a CSV text in local standard time.

    ``tz`` is the IANA zone of clock times, ``utc_offset_h`` its standard offset. Raises
    FileError with every fault and its line.
    """
    log = FaultLog(file)
    message = f"{file} is not a sound CSV file of meter readings."
    at, says = _time_line(lines, log)
    columns = _header(lines[at] if at < len(lines) else "", at + 1, log)
    log.raise_if_any(message)
    to_standard = _converter(tz if says == "clock" else None, utc_offset_h)
    readings = _rows(lines, at + 1, columns, to_standard, log)
    log.raise_if_any(message)
    interval_min = _interval(readings, log)
    log.raise_if_any(message)
    _check_size(readings, interval_min, columns, log)
    log.raise_if_any(message)
    registers = _registers(readings, interval_min, columns)
    notes = () if says else (_ASSUMED,)
    return whole_days(registers, shift_min=0, quality={}, notes=notes, file=file)


def _time_line(lines: list[str], log: FaultLog) -> tuple[int, str]:
    """Index of the header line and what the lines above it say about time."""
    says = ""
    for i, text in enumerate(lines):
        if text.strip() and not text.lstrip().startswith("#"):
            return i, says
        match = re.fullmatch(r"\s*#\s*time\s*[:=]\s*(.*?)[\s,]*", text, re.IGNORECASE)
        if match:
            says = match[1].lower()
            if says not in ("clock", "standard"):
                log.add("time", "unknown", i + 1, value=says, allowed="clock or standard")
    return len(lines), says


def _header(text: str, line: int, log: FaultLog) -> list[str]:
    """Names of the columns after ``start``."""
    names = [part.strip(' \t"').lower() for part in text.split(",")]
    unknown = [name for name in names[1:] if name not in COLUMNS]
    if names[0] != "start" or "import_kwh" not in names or unknown or len(set(names)) < len(names):
        log.add(
            "header",
            "not the header of a file of readings",
            line,
            value=text,
            allowed="start,import_kwh and, where metered, export_kwh and controlled_kwh",
            mend="name the columns so, with commas between them; NEM12 files start with 100,NEM12",
        )
    return names[1:]


def _converter(tz: str | None, utc_offset_h: float) -> Callable[[str, bool], datetime | None]:
    """A function from the text of a start to local standard time.

    ``tz`` is given for clock times. The function's second argument chooses the later of two
    readings of an hour that the clock shows twice; it returns None for a time that is none.
    """
    offset = timedelta(hours=utc_offset_h)
    zone = ZoneInfo(tz) if tz else None

    def to_standard(text: str, second: bool) -> datetime | None:
        if not _START.fullmatch(text):
            return None
        try:
            start = datetime.fromisoformat(text.upper())
        except ValueError:
            return None
        if not 1990 <= start.year <= 2100:
            return None
        if start.tzinfo is None and zone is None:
            return start
        if start.tzinfo is None:
            local = start.replace(tzinfo=zone, fold=int(second))
            ahead = local.utcoffset()
            assert ahead is not None
            standard = start - ahead + offset
            back = local.astimezone(ZoneInfo("UTC")).astimezone(zone).replace(tzinfo=None)
            return standard if back == start else None  # the clock skips this time
        ahead = start.utcoffset()
        assert ahead is not None
        return start.replace(tzinfo=None) - ahead + offset

    return to_standard


def _rows(
    lines: list[str],
    first: int,
    columns: list[str],
    to_standard: Callable[[str, bool], datetime | None],
    log: FaultLog,
) -> Readings:
    readings: Readings = {}
    for line, text in enumerate(lines[first:], first + 1):
        if not text.strip():
            continue
        fields = [part.strip(' \t"') for part in text.split(",")]
        if len(fields) != len(columns) + 1:
            allowed = str(len(columns) + 1)
            log.add("row", "wrong number of values", line, value=str(len(fields)), allowed=allowed)
            continue
        start = to_standard(fields[0], False)
        if start is not None and start in readings:
            start = to_standard(fields[0], True)
        if start is None:
            allowed = "YYYY-MM-DDTHH:MM, a time that the clock shows"
            log.add("start", "not a time", line, value=fields[0], allowed=allowed)
        elif start in readings:
            other = readings[start][0]
            log.add("start", f"given before, in line {other}", line, value=fields[0])
        values = [
            _value(text, column, line, log)
            for text, column in zip(fields[1:], columns, strict=True)
        ]
        if start is not None and start not in readings:
            readings[start] = (line, values)
    if not readings:
        log.add("row", "the file has no readings")
    return readings


def _value(text: str, column: str, line: int, log: FaultLog) -> float:
    """A reading, or NaN with a fault."""
    if _NUMBER.fullmatch(text):
        return float(text)
    log.add(
        column,
        "not a usable reading" if text else "empty",
        line,
        value=text or None,
        allowed="a number from 0 up",
        mend="" if text else "leave the row out if the reading is not known",
    )
    return float("nan")


def _interval(readings: Readings, log: FaultLog) -> int:
    """Minutes from a start to the next, as most of the file has it; all starts must fit it."""
    starts = sorted(readings)
    gaps = Counter(round((b - a).total_seconds() / 60) for a, b in pairwise(starts))
    interval_min = gaps.most_common(1)[0][0] if gaps else 0
    if interval_min not in _INTERVALS_MIN:
        allowed = ", ".join(str(minutes) for minutes in _INTERVALS_MIN)
        found = f"{interval_min} minutes" if gaps else "one row"
        log.add("start", "not an interval of readings", value=found, allowed=allowed)
        return 0
    for start in starts:
        if (start.hour * 60 + start.minute) % interval_min:
            log.add(
                "start",
                f"not on the grid of {interval_min} minutes",
                readings[start][0],
                value=start.isoformat(),
            )
    return interval_min


def _check_size(readings: Readings, interval_min: int, columns: list[str], log: FaultLog) -> None:
    most = MOST_MEAN_KW * interval_min / 60.0
    for line, values in readings.values():
        for value, column in zip(values, columns, strict=True):
            if value > most:
                log.add(
                    column, "not a home's use", line, value=f"{value:g}", allowed=f"0 to {most:g}"
                )


def _registers(readings: Readings, interval_min: int, columns: list[str]) -> dict[Role, Register]:
    per_day = MINUTES_PER_DAY // interval_min
    registers: dict[Role, Register] = {COLUMNS[column]: {} for column in columns}
    for start, (_, values) in readings.items():
        slot = (start.hour * 60 + start.minute) // interval_min
        for column, value in zip(columns, values, strict=True):
            days = registers[COLUMNS[column]]
            if start.date() not in days:
                days[start.date()] = np.full(per_day, np.nan)
            days[start.date()][slot] = value
    return registers
