"""Keys and sections of a new case half brought into force: one "#" removed, another forgotten."""

from __future__ import annotations

import re
from dataclasses import replace

from tankful.casefile.faults import spot_of
from tankful.errors import Fault

_HEADER = re.compile(r"\s*(?P<mark>#\s*)?(?P<name>\[{1,2}(?P<path>[A-Za-z_.]+)\]{1,2})\s*(#.*)?$")
_KEY = re.compile(r"\s*#\s*(?P<key>[A-Za-z_]+)\s*=")


def with_forgotten_mark(fault: Fault, text: str) -> Fault:
    """The fault with the mend that fits where a "#" was forgotten: before the section's name
    above a key, or before the keys below a section's name. Otherwise as it is."""
    if fault.line is None:
        return fault
    lines = text.split("\n")
    name = fault.field.rpartition(".")[2]
    if fault.problem in ("no such key", "given twice"):
        return _under_commented_header(fault, lines, name)
    if fault.problem == "missing":
        return _over_commented_key(fault, lines, name)
    return fault


def _under_commented_header(fault: Fault, lines: list[str], name: str) -> Fault:
    """A key in force below a section's name that is not."""
    for number in range(fault.line or 0, 0, -1):
        match = _HEADER.match(lines[number - 1])
        if match is None:
            continue
        if match["mark"] and name in _fields(match["path"]):
            words = f'remove the "#" before {match["name"]} on line {number}, or put one before'
            return replace(fault, mend=f"{words} {name}")
        return fault
    return fault


def _over_commented_key(fault: Fault, lines: list[str], name: str) -> Fault:
    """A section's name in force above keys that are not."""
    header = _HEADER.match(lines[(fault.line or 1) - 1])
    if header is None or header["mark"]:
        return fault
    for number in range((fault.line or 1) + 1, len(lines) + 1):
        line = lines[number - 1]
        if _HEADER.match(line):
            return fault
        match = _KEY.match(line)
        if match and match["key"] == name:
            words = f'remove the "#" before {name} on line {number} and give its value, or put'
            return replace(fault, mend=f"{words} one before {header['name']}")
    return fault


def _fields(path: str) -> tuple[str, ...]:
    """The keys of the section at a dotted path; none where there is no such section."""
    spot = spot_of((*path.split("."), ""))
    return tuple(spot.table.model_fields) if spot.info is None else ()
