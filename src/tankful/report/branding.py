"""The adviser's own name, logo, colour and words on a report, from a small TOML file."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from tankful.casefile.lines import line_of, scan_keys
from tankful.casefile.read import printable, read_text
from tankful.casefile.syntax import parse_text
from tankful.errors import CaseError, Fault, FileError
from tankful.marked import Marked
from tankful.report.logo import Logo, read_logo
from tankful.report.look import contrast_on_white

MIN_CONTRAST = 4.5
"""Least contrast of text on white (WCAG 2.1, success criterion 1.4.3, from memory)."""

LENGTHS = {"name": 80, "foreword": 1_200, "closing": 800}
MAX_CONTACT_LINES = 5
CONTACT_LENGTH = 80
MENDS = {
    "the file is too large": "leave only the keys of a branding in it",
    "this is a folder": "give the branding file inside it",
    "this is not a regular file": "save the branding as a file first",
    "there is no such file": "check its name",
    "the file is not text": "give the branding file, not a program or document",
}
"""In place of mends that speak of a case file."""
KEYS = ("name", "contact", "logo", "accent", "foreword", "closing")


@dataclass(frozen=True)
class Branding:
    """Who made the report. Everything may be empty; all text is plain text."""

    name: str = ""
    contact: tuple[str, ...] = ()
    logo: Logo | None = None
    accent: str = ""
    """Colour as ``#rrggbb``, dark enough to read on white; empty for the usual one."""
    foreword: str = ""
    closing: str = ""


def load_branding(path: Path) -> Branding:
    """Read a branding file. FileError with every fault in it."""
    data, lines = _parse(path)
    faults: list[Fault] = []
    for key in sorted(data.keys() - set(KEYS)):
        faults.append(_fault(path, printable(key)[:40], "unknown key", allowed=", ".join(KEYS)))
    texts = {key: _text(path, data, key, faults) for key in LENGTHS}
    contact = _contact(path, data, faults)
    accent = _accent(path, data, faults)
    logo = _logo(path, data, faults)
    if faults:
        placed = [_placed(fault, path, lines) for fault in faults]
        raise FileError("The branding file cannot be used.", placed)
    return Branding(**texts, contact=contact, accent=accent, logo=logo)


def _parse(path: Path) -> tuple[dict[str, Any], dict[str, int]]:
    """The file's data and the line of each of its keys."""
    try:
        text = read_text(path)
        data = parse_text(text, printable(str(path)))
    except CaseError as error:  # the readers speak of a case file; this is none
        faults = [_reworded(fault) for fault in error.faults]
        raise FileError("The branding file cannot be read.", faults) from None
    return data, scan_keys(text).lines


def _reworded(fault: Fault) -> Fault:
    problem = fault.problem.removesuffix(" to be a case")
    return replace(fault, problem=problem, mend=MENDS.get(problem, fault.mend))


def _fault(
    path: Path, field: str, problem: str, *, value: str = "", allowed: str = "", mend: str = ""
) -> Fault:
    return Fault(field, problem, value, allowed, mend, file=printable(str(path)))


def _placed(fault: Fault, path: Path, lines: dict[str, int]) -> Fault:
    """A fault with the line of its key; one inside the logo keeps the logo's name."""
    if fault.file != printable(str(path)):
        return fault
    return replace(fault, line=line_of(lines, fault.field))


def _printable(text: str) -> bool:
    return all(c.isprintable() or c in "\n\r\t" for c in text)


def _text(path: Path, data: dict[str, Any], key: str, faults: list[Fault]) -> str:
    value = data.get(key, "")
    longest = LENGTHS[key]
    if not isinstance(value, str) or not _printable(value):
        faults.append(_fault(path, key, "not plain text", mend="put text in quotes"))
        return ""
    if len(value) > longest:
        faults.append(
            _fault(
                path,
                key,
                "too long",
                value=f"{len(value):,} characters",
                allowed=f"at most {longest:,}",
            )
        )
    return value.strip()


def _contact(path: Path, data: dict[str, Any], faults: list[Fault]) -> tuple[str, ...]:
    value = data.get("contact", [])
    lines = [value] if isinstance(value, str) else value
    fits = (
        isinstance(lines, list)
        and len(lines) <= MAX_CONTACT_LINES
        and all(
            isinstance(line, str) and len(line) <= CONTACT_LENGTH and line.isprintable()
            for line in lines
        )
    )
    if not fits:
        allowed = Marked(
            f"at most {MAX_CONTACT_LINES} lines of {CONTACT_LENGTH} characters`, in quotes|`"
        )
        faults.append(_fault(path, "contact", "not a list of short lines", allowed=allowed))
        return ()
    return tuple(line.strip() for line in lines if line.strip())


def _accent(path: Path, data: dict[str, Any], faults: list[Fault]) -> str:
    value = data.get("accent", "")
    if value == "":
        return ""
    sound = isinstance(value, str) and len(value) == 7 and value[0] == "#"
    if not sound or any(c not in "0123456789abcdefABCDEF" for c in value[1:]):
        allowed = 'a colour such as "#0f5a63"'
        faults.append(
            _fault(
                path, "accent", "not a colour", value=printable(str(value))[:40], allowed=allowed
            )
        )
        return ""
    if contrast_on_white(value) < MIN_CONTRAST:
        faults.append(
            _fault(
                path,
                "accent",
                "too light to read on white",
                value=value,
                allowed=f"contrast with white of at least {MIN_CONTRAST:g} to 1",
                mend="choose a darker shade of it",
            )
        )
    return str(value).lower()


def _logo(path: Path, data: dict[str, Any], faults: list[Fault]) -> Logo | None:
    value = data.get("logo", "")
    if value == "":
        return None
    if not isinstance(value, str) or "\0" in value:
        faults.append(_fault(path, "logo", "not a file name", mend="put the file name in quotes"))
        return None
    try:
        return read_logo(path.parent / value)
    except FileError as error:
        faults += error.faults
        return None
