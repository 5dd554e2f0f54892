"""The records of the NEM12 format, each read and checked by itself."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import NDArray

from tankful.clock import BoolArray, FloatArray
from tankful.units import MINUTES_PER_DAY
from tankful.use.meter import MOST_MEAN_KW
from tankful.use.meter_text import FaultLog, date_of

KWH_PER_UNIT = {"kwh": 1.0, "wh": 0.001, "mwh": 1000.0}
OTHER_UNITS = {"v", "kv", "a", "ka", "pf"} | {
    prefix + unit for prefix in ("", "k", "m") for unit in ("w", "va", "vah", "var", "varh")
}
"""Units of registers that hold no energy; they are passed over."""

_INTERVALS_MIN = ("5", "15", "30")
_FLAG = re.compile(r"[ASFEN]\d{0,2}|V", re.ASCII)
_NUMBER = re.compile(r"[+-]?\d+(\.\d*)?([eE]-\d{1,2})?", re.ASCII)
_NMI = re.compile(r"[A-Za-z0-9]{10,11}", re.ASCII)
_SUFFIX = re.compile(r"[A-Za-z0-9]{1,2}", re.ASCII)


@dataclass(eq=False)
class Day:
    """One 300 record: readings [file's unit], NaN where empty, and a quality letter each.

    ``told`` marks intervals that a 400 record named; ``faulty`` that one of them was
    unsound, so that nothing more is checked.
    """

    day: date
    values: FloatArray
    flags: NDArray[np.str_]
    line: int
    varies: bool
    told: BoolArray
    faulty: bool = False


@dataclass(eq=False)
class Block:
    """One 200 record and the days below it."""

    nmi: str
    suffix: str
    unit: str
    interval_min: int
    line: int
    days: list[Day] = field(default_factory=list)

    @property
    def per_day(self) -> int:
        return MINUTES_PER_DAY // self.interval_min

    @property
    def is_energy(self) -> bool:
        return self.unit in KWH_PER_UNIT


def check_header(fields: list[str], line: int, log: FaultLog) -> None:
    """Record 100."""
    kind = fields[1].upper() if len(fields) > 1 else ""
    if kind == "NEM13":
        log.add(
            "header",
            "NEM13 holds totals between meter readings, not intervals",
            line,
            mend="ask for interval data (NEM12), or leave the meter file out",
        )
    elif kind != "NEM12":
        log.add("header", "not a NEM12 header", line, value=kind, allowed="NEM12")


def read_register(fields: list[str], line: int, log: FaultLog) -> Block | None:
    """Record 200."""
    if not 9 <= len(fields) <= 10:
        wrong_count("200", len(fields), "9 or 10", line, log)
        return None
    nmi, suffix, unit, interval = fields[1], fields[4], fields[7].lower(), fields[8]
    checks = (
        ("NMI", nmi, _NMI.fullmatch(nmi), "10 letters or digits"),
        ("NMISuffix", suffix, _SUFFIX.fullmatch(suffix), "such as E1 or B1"),
        (
            "UOM",
            fields[7],
            unit in KWH_PER_UNIT or unit in OTHER_UNITS,
            "kWh, Wh, MWh or a unit of reactive or apparent power",
        ),
        ("IntervalLength", interval, interval in _INTERVALS_MIN, "5, 15 or 30"),
    )
    bad = [(name, value, allowed) for name, value, good, allowed in checks if not good]
    for name, value, allowed in bad:
        log.add(name, "not usable", line, value=value, allowed=allowed)
    return None if bad else Block(nmi.upper(), suffix.upper(), unit, int(interval), line)


def read_day(fields: list[str], block: Block, line: int, log: FaultLog) -> Day | None:
    """Record 300."""
    flag_at = 2 + block.per_day
    flag = fields[flag_at] if len(fields) > flag_at else ""
    if not _FLAG.fullmatch(flag) or len(fields) > flag_at + 5:
        if 0 < len(flag) <= 3 and not _NUMBER.fullmatch(flag):
            allowed = "A, E, F, S, N or V"
            log.add("QualityMethod", "unknown flag", line, value=flag, allowed=allowed)
        else:
            wrong_count("300", len(fields), str(flag_at + 5), line, log)
        return None
    when = date_of(fields[1])
    if when is None:
        allowed = "YYYYMMDD, 1990 to 2100"
        log.add("IntervalDate", "not a date", line, value=fields[1], allowed=allowed)
    values = _values(fields[2:flag_at], block, line, log)
    if when is None or values is None:
        return None
    size = values.size
    return Day(when, values, np.full(size, flag[0]), line, flag == "V", np.zeros(size, bool))


def _values(texts: list[str], block: Block, line: int, log: FaultLog) -> FloatArray | None:
    """Readings of a day; registers that hold no energy are not looked at."""
    if not block.is_energy:
        return np.zeros(len(texts))
    most = MOST_MEAN_KW * block.interval_min / 60.0 / KWH_PER_UNIT[block.unit]
    values = np.full(len(texts), np.nan)
    bad = []
    for i, text in enumerate(texts):
        if _NUMBER.fullmatch(text) and 0.0 <= (value := float(text)) <= most:
            values[i] = value
        elif text:
            bad.append(i)
    if not bad:
        return values
    others = f" ({len(bad) - 1} more in this line)" if len(bad) > 1 else ""
    log.add(
        f"reading {bad[0] + 1} of {len(texts)}",
        f"not a usable reading{others}",
        line,
        value=texts[bad[0]],
        allowed=f"a number from 0 to {most:g} {block.unit}",
    )
    return None


def apply_quality(fields: list[str], day: Day, line: int, log: FaultLog) -> None:
    """Record 400: the quality of intervals ``start`` to ``end``, counted from 1."""
    day.faulty = True
    if not 4 <= len(fields) <= 6:
        wrong_count("400", len(fields), "4 to 6", line, log)
        return
    start, end, flag = fields[1:4]
    size = day.values.size
    first, last = _small_int(start), _small_int(end)
    part = slice(first - 1, last)
    if not 1 <= first <= last <= size:
        log.add(
            "StartInterval, EndInterval",
            "not a range of intervals",
            line,
            value=f"{start},{end}",
            allowed=f"1 to {size}, start not after end",
        )
    elif not _FLAG.fullmatch(flag) or flag == "V":
        log.add("QualityMethod", "unknown flag", line, value=flag, allowed="A, E, F, S or N")
    elif day.told[part].any():
        log.add("StartInterval, EndInterval", "the quality of an interval is told twice", line)
    else:
        day.flags[part] = flag[0]
        day.told[part] = True
        day.faulty = False


def finish_day(day: Day, log: FaultLog) -> None:
    """Refuse empty readings and untold qualities; readings told to be missing become NaN."""
    if day.faulty:
        return
    if day.varies and not day.told.all():
        log.add(
            "QualityMethod",
            f"the quality varies (V), but 400 records tell only {int(day.told.sum())} of "
            f"{day.told.size} intervals",
            day.line,
        )
        return
    missing = day.flags == "N"
    empty = np.flatnonzero(np.isnan(day.values) & ~missing)
    if empty.size:
        log.add(
            f"reading {empty[0] + 1} of {missing.size}",
            f"empty, but not told to be missing ({empty.size} in this line)",
            day.line,
            mend="an empty reading is not zero; download the file again",
        )
    day.values[missing] = np.nan


def wrong_count(record: str, found: int, wanted: str, line: int, log: FaultLog) -> None:
    """A record with too many or too few fields."""
    log.add(
        f"record {record}",
        "wrong number of values",
        line,
        value=str(found),
        allowed=f"{wanted} fields",
        mend="the line is cut off or damaged; download the file again",
    )


def _small_int(text: str) -> int:
    """A number of up to three digits; 0 for anything else."""
    return int(text) if re.fullmatch(r"\d{1,3}", text, re.ASCII) else 0
