"""What two cases say otherwise, field by field."""

from __future__ import annotations

import filecmp
from pathlib import Path

from pydantic import BaseModel

from tankful.casefile.given import first_part
from tankful.casefile.typed import Typed, field_at, split_path, typed_of_toml, typed_toml
from tankful.model.case import Case, Wishes
from tankful.model.currency import SIGNS
from tankful.model.fields import field_row, tables_in
from tankful.model.versus import Differing

Texts = dict[str, tuple[str, str]]
"""By path, what each of the two says."""

CURRENCY = "wishes.currency"
NAMED_FILES = ("electricity.meter_file", "place.weather_file")
"""Fields that name a file beside the case."""


def differing(
    first: Typed, second: Typed, folders: tuple[Path, Path] | None = None
) -> tuple[Differing, ...]:
    """The fields that two cases give otherwise, in the order of the field table.

    The same value written otherwise is no difference. Rows of lists are held against each other
    by their place. ``folders``, where the files that sound cases name lie, let files of one name
    be told apart by what they hold.
    """
    one, other = _evenly(first), _evenly(second)
    changed = {path for path in {*one, *other} if one.get(path, "") != other.get(path, "")}
    texts: Texts = {path: (one.get(path, ""), other.get(path, "")) for path in changed}
    if folders is not None:
        texts |= _other_files(one, other, folders)
    currencies = _currency(one), _currency(other)
    return tuple(_differing(path, texts[path], currencies) for path in sorted(texts, key=_place))


def with_unit(text: str, unit: str) -> str:
    """A text with its unit: ``10 kWh``, ``$3400``, ``$0.33/kWh``."""
    code, _, per = unit.partition("/")
    if code in SIGNS and text[:1].isdigit():
        return f"{SIGNS[code]}{text}{'/' * bool(per)}{per}"
    return f"{text} {unit}".strip()


def _evenly(typed: Typed) -> Typed:
    """Typed text with every value written in one way."""
    return typed_of_toml(typed_toml(typed), "")


def _other_files(one: Typed, other: Typed, folders: tuple[Path, Path]) -> Texts:
    """Files of the same name that do not hold the same."""
    found = {}
    for path in NAMED_FILES:
        name = one.get(path, "")
        if name and name == other.get(path, ""):
            one_file, other_file = (folder / name for folder in folders)
            if not filecmp.cmp(one_file, other_file, shallow=False):
                found[path] = (name, f"{name} (another file of this name)")
    return found


def _differing(path: str, texts: tuple[str, str], currencies: tuple[str, str]) -> Differing:
    info = field_at(path)
    assert info is not None
    row = field_row(path, info)
    one, other = (row.unit.replace("money", currency) for currency in currencies)
    return Differing(path, first_part(row.about), texts, (one, other))


def _currency(typed: Typed) -> str:
    return typed.get(CURRENCY) or str(Wishes.model_fields["currency"].default)


def _place(path: str) -> list[tuple[int, int]]:
    """Where a field stands in the field table, row by row of a list."""
    table: type[BaseModel] = Case
    places = []
    for name, row in split_path(path) or []:
        info = table.model_fields[name]
        places.append((list(table.model_fields).index(name), row or 0))
        table = next(tables_in(info.annotation), table)
    return places
