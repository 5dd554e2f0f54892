"""What a home's electricity meter recorded, on whole days of local standard time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Literal

import numpy as np

from tankful.clock import FloatArray
from tankful.errors import Fault, FileError
from tankful.units import MINUTES_PER_DAY

Role = Literal["import", "export", "controlled"]
Register = dict[date, FloatArray]
"""Readings [kWh] of each day in the file's own time; NaN where there is none."""

QUALITIES = {
    "A": "actual",
    "S": "substituted",
    "F": "final substituted",
    "E": "estimated",
    "N": "missing",
}
"""Quality flags of the NEM12 format and what they mean."""

MOST_MEAN_KW = 100.0
"""A home's mean power in one interval stays far below this; more is a wrong unit (judgement)."""


@dataclass(frozen=True, eq=False)
class MeterData:
    """Energy per interval over whole days of local standard time.

    Arrays have shape ``(len(dates), 1440 // interval_min)`` [kWh], labelled at the start of
    the interval, without gaps: a day on which any register lacks a reading is left out.
    ``dates`` ascend. ``controlled_kwh`` is a separately switched circuit. ``quality`` counts
    intervals of the file by quality. ``file`` names the file for messages.
    """

    dates: tuple[date, ...]
    interval_min: int
    import_kwh: FloatArray
    export_kwh: FloatArray | None = None
    controlled_kwh: FloatArray | None = None
    quality: Mapping[str, int] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    file: str = ""


def whole_days(
    registers: Mapping[Role, Register],
    *,
    shift_min: int,
    quality: Mapping[str, int],
    notes: tuple[str, ...],
    file: str,
) -> MeterData:
    """Bring registers onto one interval and whole local days.

    ``shift_min`` is local standard time minus the file's time. Registers of unlike interval
    are summed up to the coarsest. Raises FileError when no day is whole or the shift is not
    a number of intervals.
    """
    steps = {days.size for register in registers.values() for days in register.values()}
    per_day = min(steps, default=48)
    interval_min = MINUTES_PER_DAY // per_day
    if any(step % per_day for step in steps) or shift_min % interval_min:
        fault = Fault(
            "interval",
            f"readings of {interval_min} minutes fit neither the other registers nor a clock "
            f"shifted by {shift_min} minutes",
            mend="ask for readings of 5, 15 or 30 minutes",
            file=file,
        )
        raise FileError("The meter file cannot be used.", [fault])
    local = {
        role: _shifted(_coarser(register, per_day), shift_min // interval_min)
        for role, register in registers.items()
    }
    kept = sorted(set.intersection(*(set(days) for days in local.values())))
    if not kept:
        fault = Fault("days", "no day has a reading in every interval of every register", file=file)
        raise FileError("The meter file cannot be used.", [fault])
    if len(steps) > 1:
        notes += (f"Readings of unlike length were summed to {interval_min} minutes.",)
    arrays = {role: np.stack([days[day] for day in kept]) for role, days in local.items()}
    return MeterData(
        dates=tuple(kept),
        interval_min=interval_min,
        import_kwh=arrays["import"],
        export_kwh=arrays.get("export"),
        controlled_kwh=arrays.get("controlled"),
        quality=dict(quality),
        notes=notes + _gap_notes(registers, kept) + _quality_notes(quality),
        file=file,
    )


def _coarser(register: Register, per_day: int) -> Register:
    return {day: kwh.reshape(per_day, -1).sum(axis=1) for day, kwh in register.items()}


def _shifted(register: Register, intervals: int) -> Register:
    """Local days without a gap; ``intervals`` is how far local time is ahead of the file's."""
    one_day = timedelta(days=1)
    local: Register = {}
    for day, kwh in register.items():
        neighbour = register.get(day - one_day if intervals > 0 else day + one_day)
        if intervals == 0:
            whole = kwh
        elif neighbour is None:
            continue
        elif intervals > 0:
            whole = np.concatenate([neighbour[-intervals:], kwh[:-intervals]])
        else:
            whole = np.concatenate([kwh[-intervals:], neighbour[:-intervals]])
        if not np.isnan(whole).any():
            local[day] = whole
    return local


def _gap_notes(registers: Mapping[Role, Register], kept: list[date]) -> tuple[str, ...]:
    """Which days between the first and the last reading are left out, and why."""
    notes = []
    seen = set().union(*registers.values())
    first, last = min(seen), max(seen)
    span = (last - first).days + 1
    if span > len(kept):
        days = (first + timedelta(days=i) for i in range(span))
        example = next(day for day in days if day not in set(kept))
        notes.append(
            f"Left out for a missing reading: {span - len(kept)} of the {span} days from {first} "
            f"to {last} (the first is {example})."
        )
    for role, register in registers.items():
        absent = len(seen) - len(register)
        if absent:
            notes.append(f"The {role} register has no record on {absent} days.")
    return tuple(notes)


def _quality_notes(quality: Mapping[str, int]) -> tuple[str, ...]:
    total = sum(quality.values())
    guessed = total - quality.get("actual", 0) - quality.get("missing", 0)
    if not guessed:
        return ()
    return (f"{100.0 * guessed / total:.1f} % of the readings are substituted or estimated.",)
