"""From NEM12 register blocks to meter data: which meter, which register is what, which day."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from datetime import date

from tankful.use.meter import QUALITIES, MeterData, Register, Role, whole_days
from tankful.use.meter_text import FaultLog
from tankful.use.nem12_records import KWH_PER_UNIT, Block


def to_meter_data(
    blocks: list[Block],
    log: FaultLog,
    *,
    shift_min: int,
    registers: Mapping[str, Role] | None,
    nmi: str | None,
) -> MeterData:
    """Meter data of one meter; ``shift_min`` is local standard time minus the file's time."""
    energy = [block for block in _of_one_meter(blocks, log, nmi) if block.is_energy]
    notes = _passed_over(blocks)
    roles = _roles(energy, log, registers)
    by_suffix = {suffix: _days(energy, suffix, log) for suffix in roles}
    log.raise_if_any(f"{log.file} does not describe one home's meter.")
    by_role: dict[Role, Register] = {}
    for suffix, role in sorted(roles.items()):
        by_role[role] = (
            _sum(by_role[role], by_suffix[suffix]) if role in by_role else by_suffix[suffix]
        )
    quality: Counter[str] = Counter()
    for block in energy:
        if block.suffix in roles:
            for day in block.days:
                quality.update(QUALITIES[flag] for flag in day.flags.tolist())
    notes += _role_notes(roles, registers)
    return whole_days(by_role, shift_min=shift_min, quality=quality, notes=notes, file=log.file)


def _of_one_meter(blocks: list[Block], log: FaultLog, nmi: str | None) -> list[Block]:
    """Blocks of the meter asked for, or of the only one."""
    first_line = {block.nmi: block.line for block in reversed(blocks)}
    if not first_line or (nmi is None and len(first_line) == 1):
        return blocks
    if nmi is not None and nmi.upper() in first_line:
        return [block for block in blocks if block.nmi == nmi.upper()]
    for name, line in sorted(first_line.items()):
        log.add(
            "NMI",
            "the file holds more than one meter" if nmi is None else f"meter {nmi} is not here",
            line,
            value=name,
            mend="name one of these meters, or cut the file down to one",
        )
    log.raise_if_any(f"{log.file} does not describe one home's meter.")
    return []


def _roles(
    energy: list[Block], log: FaultLog, registers: Mapping[str, Role] | None
) -> dict[str, Role]:
    """What each register is; energy registers that nobody can place are faults."""
    first_line = {block.suffix: block.line for block in reversed(energy)}
    suffixes = sorted(first_line)
    if registers is not None:
        given = {suffix.upper(): role for suffix, role in registers.items()}
        roles = {suffix: given[suffix] for suffix in suffixes if suffix in given}
    else:
        known = [suffix for suffix in suffixes if re.fullmatch(r"[EB]\d?", suffix)]
        roles = {suffix: "export" for suffix in known if suffix[0] == "B"}
        order: list[Role] = ["import", "controlled"]
        for i, suffix in enumerate(suffix for suffix in known if suffix[0] == "E"):
            roles[suffix] = order[i] if i < len(order) else "import"
        for suffix in suffixes:
            if suffix not in roles:
                log.add(
                    "NMISuffix",
                    "the direction of this energy register is not known",
                    first_line[suffix],
                    value=suffix,
                    allowed="E (from the grid) or B (to the grid) and a number",
                )
    if "import" not in roles.values():
        log.add(
            "NMISuffix",
            "no register of energy from the grid",
            value=", ".join(suffixes),
            allowed="at least one E register in kWh",
            mend="ask for the readings of all registers",
        )
    return roles


def _days(energy: list[Block], suffix: str, log: FaultLog) -> Register:
    """Days [kWh] of a register from all its blocks; a day given twice is a fault."""
    days: Register = {}
    line_of: dict[date, int] = {}
    for block in energy:
        if block.suffix != suffix:
            continue
        for day in block.days:
            if day.day in days:
                log.add(
                    "IntervalDate",
                    f"day of register {suffix} given before, in line {line_of[day.day]}",
                    day.line,
                    value=day.day.isoformat(),
                    mend="keep one of the two lines",
                )
            days[day.day] = day.values * KWH_PER_UNIT[block.unit]
            line_of[day.day] = day.line
    if not days:
        log.add("NMISuffix", "the register has no readings", value=suffix)
    return days


def _sum(one: Register, other: Register) -> Register:
    """Sum of two registers on the days that both have, at the coarser interval of the two."""
    total = {}
    for day in one.keys() & other.keys():
        size = min(one[day].size, other[day].size)
        total[day] = sum(days[day].reshape(size, -1).sum(axis=1) for days in (one, other))
    return total


def _passed_over(blocks: list[Block]) -> tuple[str, ...]:
    others = sorted({block.suffix for block in blocks if not block.is_energy})
    return (f"Registers without energy were passed over: {', '.join(others)}.",) if others else ()


def _role_notes(roles: dict[str, Role], registers: Mapping[str, Role] | None) -> tuple[str, ...]:
    """Says which register was taken for what where that was assumed."""
    if registers is not None:
        return ()
    imports = [suffix for suffix in sorted(roles) if roles[suffix] == "import"]
    notes = [
        f"Register {suffix} was taken for the controlled load (common practice, no source)."
        for suffix, role in roles.items()
        if role == "controlled"
    ]
    if len(imports) > 1:
        notes.append(f"Registers {', '.join(imports)} were added up as the general import.")
    return tuple(notes)
