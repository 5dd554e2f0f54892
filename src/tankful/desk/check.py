"""A case's typed text looked through: what is at fault, or the sound case."""

from __future__ import annotations

import tomllib
from collections.abc import Collection
from dataclasses import dataclass, replace
from pathlib import Path

from tankful.casefile.load import LoadedCase, check_text
from tankful.casefile.naming import name_of
from tankful.casefile.read import printable
from tankful.casefile.typed import Typed, typed_toml
from tankful.desk.layout import FILE_FIELDS
from tankful.errors import Fault, PlaceError, TankfulError
from tankful.model.case import PlaceInput
from tankful.site.place import find_place

CASE_NAME = "case.toml"


@dataclass(frozen=True)
class Checked:
    """The case file that was written from typed text, and what came of it: a sound case, or
    faults."""

    toml: str
    loaded: LoadedCase | None
    faults: tuple[Fault, ...]


def checked(typed: Typed, files: Collection[str], folder: Path) -> Checked:
    """Check a case whose ``files`` lie in ``folder``.

    Only those can be named: a path that leads elsewhere is a fault, and is never opened.
    """
    strays = [path for path in FILE_FIELDS if typed.get(path, "").strip() not in ("", *files)]
    faults = [_stray(path, typed[path], files) for path in strays]
    toml = typed_toml({path: text for path, text in typed.items() if path not in strays})
    loaded = None
    try:
        loaded = check_text(toml, folder / CASE_NAME)
        _check_place(loaded.case.place)
    except TankfulError as error:
        faults += [_asked(fault) for fault in error.faults]
    return Checked(toml, None if faults else loaded, tuple(faults))


def _check_place(place: PlaceInput) -> None:
    """PlaceError for a postcode that is none: what is looked up so fast need not wait for an
    answer."""
    if place.postcode is None:
        return
    try:
        find_place(place.postcode, latitude=place.latitude, longitude=place.longitude)
    except PlaceError as error:
        faults = [replace(fault, field=f"place.{fault.field}") for fault in error.faults]
        raise PlaceError(error.message, faults) from None


def at_fields(error: TankfulError, toml: str = "") -> TankfulError:
    """The error of a case with its faults at the fields of the form: without lines of the case
    file that was written, and what is wrong inside a file at the field that names it."""
    return type(error)(error.message, [_at_field(fault, toml) for fault in error.faults])


def _at_field(fault: Fault, toml: str) -> Fault:
    file = Path(fault.file).name
    if file == CASE_NAME:
        fault, file = replace(fault, line=None, file=""), ""
    for path in FILE_FIELDS:
        table, _, name = path.partition(".")
        named = tomllib.loads(toml).get(table, {}).get(name) if file and toml else None
        if fault.field == name or (named is not None and named == file):
            if fault.field in ("", "file", name, path):
                return replace(fault, field=path)
            return replace(fault, field=path, problem=f"{name_of(fault.field)}: {fault.problem}")
    return replace(fault, field="place.postcode") if fault.field == "place" else fault


def _asked(fault: Fault) -> Fault:
    """A case without a place is asked for the postcode first."""
    found = _at_field(fault, "")
    return replace(found, mend="give the postcode") if fault.field == "place" else found


def _stray(path: str, text: str, files: Collection[str]) -> Fault:
    return Fault(
        path,
        "no such file with this case",
        value=f'"{printable(text)[:60]}"',
        allowed=", ".join(sorted(files)),
        mend="upload the file first" if not files else "choose one of the uploaded files",
    )
