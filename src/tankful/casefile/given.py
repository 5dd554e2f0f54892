"""What a case gives and what its fields are called, for people who read the answer."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from pydantic import BaseModel

from tankful.casefile.words import FAMILIES
from tankful.marked import Marked, marks_of
from tankful.model.case import Case
from tankful.model.fields import field_row, field_table
from tankful.model.report_facts import Given

FIELDLESS = {
    "iam_b0": "light lost as it falls aslant: b0 of the test certificate",
    "iam_transversal_50": "light taken 50 degrees off across the tubes, to that taken square on",
}
"""Properties of equipment that have no field, in words."""

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
            words = FAMILIES.get(str(value)) if name in ("kind", "family") else None
            about = first_part(row.about)
            yield Given(below, about, words or value_text(value), unit)


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
    about = _about_fields()
    several = {found[1] for path in paths if (found := QUOTED.match(path)) and found[2]}
    return {path: _words(path, about, several) for path in paths}


def first_part(about: str) -> str:
    """What a field is about, without the remarks after it."""
    return Marked(marks_of(about).partition(";")[0])


@cache
def _about_fields() -> dict[str, str]:
    return {row.path: first_part(row.about) for row in field_table(Case)}


def _words(path: str, about: dict[str, str], several: set[str]) -> str:
    found = about.get(re.sub(r"\[[^]]*]", "[]", path))
    quoted = QUOTED.match(path)
    if quoted is not None:
        number = f", quote {quoted[2] or 1}" if quoted[1] in several else ""
        part = FAMILIES.get(quoted[1], quoted[1]) + number
        name = path.rpartition(".")[2]
        return f"{part}: {found or FIELDLESS.get(name) or name.replace('_', ' ')}"
    return found or path.replace("_", " ").replace(".", ", ")
