"""A case as typed text by dotted path, the way a form holds it: to TOML and back.

A form must keep what a person typed even where it is wrong. So every field is a text here;
what does not read as its type goes into the file in quotes, where the checks find it and say
what to mend. Hours are written ``22:00 to 07:00 weekday months 6 7 8``, lists with commas.
Numbers, days and hours are read as people write them where that has one meaning.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from tankful.casefile.faults import MOST_FAULTS, the_rest
from tankful.casefile.mends import unknown_key
from tankful.casefile.readings import reading
from tankful.casefile.syntax import parse_text
from tankful.casefile.write import toml_value
from tankful.errors import CaseError, Fault
from tankful.model.case import Case
from tankful.model.fields import choices_in, field_row, is_single, tables_in
from tankful.model.window import Window

Typed = dict[str, str]
"""Text by path: ``place.postcode``, ``quotes[1].family`` (list positions count from 1)."""

MAX_ROWS = 1000
_PART = re.compile(r"([a-z_][a-z0-9_]*)(?:\[([1-9][0-9]{0,2}|1000)\])?")


def kind_of(info: FieldInfo) -> str:
    """What a field's text stands for: ``table``, ``tables``, ``windows``, ``numbers``,
    ``choice``, ``truth``, ``number``, ``date`` or ``text``."""
    tables = list(tables_in(info.annotation))
    if Window in tables:
        return "windows"
    if tables:
        return "table" if is_single(info.annotation) else "tables"
    if not is_single(info.annotation):
        return "numbers"
    choices = list(choices_in(info.annotation))
    if choices:
        return "choice" if isinstance(choices[0], str) else "number"
    kinds = _plain_types(info.annotation)
    if bool in kinds:
        return "truth"
    if date in kinds:
        return "date"
    return "number" if kinds & {int, float} else "text"


def _plain_types(annotation: Any) -> set[type]:
    found = {annotation} if isinstance(annotation, type) else set()
    for arg in getattr(annotation, "__args__", ()):
        found |= _plain_types(arg)
    return found


def split_path(path: str) -> list[tuple[str, int | None]] | None:
    """Names and list positions of a path; ``None`` when it is none."""
    parts = []
    for piece in path.split("."):
        match = _PART.fullmatch(piece)
        if not match:
            return None
        parts.append((match[1], int(match[2]) if match[2] else None))
    return parts


def field_at(path: str) -> FieldInfo | None:
    """The declaration of the field that a path leads to; ``None`` where there is none."""
    table: type[BaseModel] | None = Case
    info = None
    for name, position in split_path(path) or []:
        info = table.model_fields.get(name) if table else None
        if info is None:
            return None
        kind = kind_of(info)
        if (kind == "tables") != (position is not None):
            return None
        table = next(tables_in(info.annotation)) if kind in ("table", "tables") else None
    return info if info is not None and table is None else None


def typed_toml(typed: Typed) -> str:
    """The case file that says what was typed, in whatever order. KeyError for a path that no field
    has."""
    tree: dict[str, Any] = {}
    for path, text in sorted(typed.items()):
        info = field_at(path)
        if info is None:
            raise KeyError(path)
        if not text.strip():
            continue
        branch = tree
        *way, (leaf, _) = split_path(path) or []
        for name, position in way:
            branch = branch.setdefault(name, {})
            if position is not None:
                branch = branch.setdefault(position, {})
        branch[leaf] = literal(text.strip(), info)
    return "\n".join(_lines(tree, "")) + "\n"


def _lines(tree: dict[str, Any], path: str) -> Iterator[str]:
    """A table's own keys, then the tables below it."""
    for name, value in tree.items():
        if isinstance(value, str):
            yield f"{name} = {value}"
    for name, value in tree.items():
        if isinstance(value, str):
            continue
        below = f"{path}.{name}" if path else name
        if any(isinstance(key, int) for key in value):
            for position in range(1, max(value) + 1):
                yield from ("", f"[[{below}]]")
                yield from _lines(value.get(position, {}), below)
        else:
            yield from ("", f"[{below}]")
            yield from _lines(value, below)


def literal(text: str, info: FieldInfo) -> str:
    """One typed text as TOML; in quotes where it is not what the field wants."""
    read = reading(text, field_row("", info), kind_of(info))
    return read.toml if read else toml_value(text)


def read_as(text: str, info: FieldInfo) -> str:
    """How a typed text was read, such as ``0.039 money/MJ`` or ``3 May 2026``; empty where it was
    read as it stands, or not at all."""
    read = reading(text, field_row("", info), kind_of(info))
    return read.words if read else ""


def typed_of_toml(text: str, file: str) -> Typed:
    """What a case file says, as typed text. CaseError for keys and shapes a form has no place
    for; wrong values come along as they are."""
    typed: Typed = {}
    faults: list[Fault] = []
    _walk(parse_text(text, file), Case, "", typed, faults)
    if len(faults) > MOST_FAULTS:
        faults[MOST_FAULTS:] = [the_rest(len(faults) - MOST_FAULTS)]
    if faults:
        raise CaseError("The case file holds what a form has no place for.", faults)
    return typed


def _walk(
    data: dict[str, Any], table: type[BaseModel], prefix: str, typed: Typed, faults: list[Fault]
) -> None:
    for name, value in data.items():
        path = f"{prefix}{name}"
        info = table.model_fields.get(name)
        if info is None:
            mend = unknown_key(name, table, Case) if len(faults) < MOST_FAULTS else ""
            faults.append(Fault(path, "no such key", mend=mend))
            continue
        kind = kind_of(info)
        if kind not in ("table", "tables"):
            typed[path] = _kept(path, value, faults)
            continue
        inner = next(tables_in(info.annotation))
        rows = value if kind == "tables" and isinstance(value, list) else [value]
        if len(rows) > MAX_ROWS:
            faults.append(Fault(path, "too many entries", mend=f"give at most {MAX_ROWS:,}"))
            continue
        if not all(isinstance(row, dict) for row in rows):
            faults.append(Fault(path, "not a section", mend=f"write a section named {path}"))
            continue
        for position, row in enumerate(rows, start=1):
            mark = f"[{position}]" if kind == "tables" else ""
            if not row and not _is_always_there(info):
                row = _one_default(inner)
            _walk(row, inner, f"{path}{mark}.", typed, faults)


def _kept(path: str, value: Any, faults: list[Fault]) -> str:
    """A value as typed text; a fault where no text can say it."""
    try:
        text = typed_text(value)
    except ValueError:  # Python refuses to write a whole number of so many digits
        faults.append(Fault(path, "a number has too many digits", mend="shorten it"))
        return ""
    if "\0" in text:
        faults.append(Fault(path, "holds characters that cannot be printed", mend="type it anew"))
    return text


def _is_always_there(info: FieldInfo) -> bool:
    """Whether the case has this table also where the file does not name it."""
    return not info.is_required() and info.default_factory is not None


def _one_default(table: type[BaseModel]) -> dict[str, Any]:
    """What says that an empty table is there: one of its defaults, given."""
    for name, info in table.model_fields.items():
        if info.default not in (None, ()) and not info.is_required():
            return {name: info.default}
    return {}


def typed_text(value: Any) -> str:
    """A value of a case file as a person types it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list | tuple):
        return ", ".join(typed_text(item) for item in value)
    if isinstance(value, dict):
        try:
            value = Window.model_validate(value)
        except ValidationError:
            return str(value)
    if isinstance(value, Window):
        return _window_text(value)
    if isinstance(value, float):
        return f"{value:.15g}" if float(f"{value:.15g}") == value else repr(value)
    return str(value)


def _window_text(window: Window) -> str:
    words = f"{window.start} to {window.end}"
    if window.days != "all":
        words += f" {window.days}"
    if window.months:
        words += " months " + " ".join(str(month) for month in window.months)
    return words
