"""Every field that the form of a case can show."""

from __future__ import annotations

import re
from collections.abc import Iterator

from tankful.desk.form import FormField, Group, form_of
from tankful.errors import Fault
from tankful.model.case import Case
from tankful.model.fields import field_table

ROWS = sorted(
    {
        row.path[: mark.end()].replace("[]", "[1]")
        for row in field_table(Case)
        for mark in re.finditer(r"\[\]", row.path)
    }
)
"""One row of every list."""


def fields(items: tuple[FormField | Group, ...]) -> Iterator[FormField]:
    for item in items:
        if isinstance(item, Group):
            yield from fields(item.items)
        else:
            yield item


def all_fields(typed: dict[str, str], faults: tuple[Fault, ...] = ()) -> list[FormField]:
    form = form_of(typed, faults, ROWS)
    return [f for part in form for f in (*fields(part.asked), *fields(part.more))]
