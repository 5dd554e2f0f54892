"""What a case gives and what its fields are called, for people who read the answer."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from pydantic import BaseModel

from tankful.casefile.labels import LABELS, raised
from tankful.casefile.naming import choices_of, name_of, slot_of
from tankful.casefile.property_words import BEFORE, PROPERTIES, SUMS
from tankful.casefile.words import FAMILIES
from tankful.marked import Marked, marks_of
from tankful.model.case import Case
from tankful.model.fields import field_row, field_table
from tankful.model.report_facts import Given

QUOTED = re.compile(r"quotes\[([a-z_]+)(?:-(\d+))?]")
"""A path into quoted equipment: its family, and its number but for the first."""


def list_given(case: Case) -> tuple[Given, ...]:
    """Every value that the case's author wrote, in file order."""
    currency = case.wishes.currency
    return tuple(_given(case, currency))


def _given(table: BaseModel, currency: str, path: str = "") -> Iterator[Given]:
    for name, info in type(table).model_fields.items():
        if name not in table.model_fields_set:
            continue
        value = getattr(table, name)
        below = f"{path}{name}"
        if isinstance(value, BaseModel):
            yield from _given(value, currency, f"{below}.")
        elif isinstance(value, tuple) and any(isinstance(entry, BaseModel) for entry in value):
            for i, entry in enumerate(value, start=1):
                yield from _given(entry, currency, f"{below}[{i}].")
        elif value is not None:
            row = field_row(below, info)
            unit = row.unit.replace("money", currency)
            said = value_words(below, value_text(value))
            yield Given(below, first_part(row.about), said, unit)


def value_text(value: object) -> str:
    """A value as people write it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:,.6g}"
    if isinstance(value, tuple):
        return ", ".join(value_text(item) for item in value)
    return str(value)


def field_words(paths: tuple[str, ...]) -> dict[str, str]:
    """What each path of a case is about; a path without a field keeps its name.

    A quote's path starts with the equipment it is for, numbered where there are several.
    """
    about, several = _about_fields(), _several(paths)
    return {path: _words(path, about, several) for path in paths}


def _several(paths: tuple[str, ...]) -> frozenset[str]:
    """Kinds of equipment with more than one quote."""
    return frozenset(
        found[1] for path in paths if (found := QUOTED.match(path)) and found[2] is not None
    )


def plain_words(paths: tuple[str, ...]) -> dict[str, str]:
    """The same as short names, for people who never see the case file."""
    several = _several(paths)
    return {path: raised(_short(path, several)) for path in paths}


def value_words(path: str, text: str) -> str:
    """A value that the program names by a word of its own, as people say it."""
    field = QUOTED.sub("quotes[1]", path)
    return dict(choices_of(field)).get(text, text)


def _short(path: str, several: frozenset[str]) -> str:
    quoted = QUOTED.match(path)
    if quoted is None:
        inside = path.rpartition(".")[2]
        known = SUMS.get(path) or (name_of(path) if slot_of(path) == path else "")
        return known or _inside(path, PROPERTIES.get(inside, inside.replace("_", " ")))
    name = path.rpartition(".")[2]
    label = LABELS.get(f"quotes[].{name}")
    words = lowered(label) if label else _words(path, _about_fields(), several).split(": ", 1)[1]
    for before in BEFORE:
        words = words.removeprefix(before)
    return f"{_part(quoted, several)}: {words}"


def _inside(path: str, words: str) -> str:
    """What lies in a table of the case, with the table where it has a name."""
    table = path.rpartition(".")[0]
    around = {"heater": "today's heater"}.get(table, table.replace("_", " "))
    return f"{around}: {words}" if around else words


def first_part(about: str) -> str:
    """What a field is about, without the remarks after it."""
    return Marked(marks_of(about).partition(";")[0])


@cache
def _about_fields() -> dict[str, str]:
    return {row.path: first_part(row.about) for row in field_table(Case)}


def _words(path: str, about: dict[str, str], several: frozenset[str]) -> str:
    found = about.get(re.sub(r"\[[^]]*]", "[]", path))
    quoted = QUOTED.match(path)
    if quoted is not None:
        name = path.rpartition(".")[2]
        return (
            f"{_part(quoted, several)}: {found or PROPERTIES.get(name) or name.replace('_', ' ')}"
        )
    return found or path.replace("_", " ").replace(".", ", ")


def _part(quoted: re.Match[str], several: frozenset[str]) -> str:
    """The equipment of a path, numbered where several are quoted for."""
    number = f", quote {quoted[2] or 1}" if quoted[1] in several else ""
    return FAMILIES.get(quoted[1], quoted[1]) + number


def lowered(words: str) -> str:
    """A short name in the middle of a line; names of things keep their letters."""
    return words if words[1:2].isupper() else words[:1].lower() + words[1:]
