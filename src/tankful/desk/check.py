"""A case's typed text looked through: what is at fault, or the sound case."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from pathlib import Path

from tankful.casefile.load import LoadedCase, check_text
from tankful.casefile.read import printable
from tankful.casefile.typed import Typed, typed_toml
from tankful.desk.layout import FILE_FIELDS
from tankful.errors import CaseError, Fault, TankfulError

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
    except CaseError as error:
        faults += [_asked(fault) for fault in error.faults]
    return Checked(toml, None if faults else loaded, tuple(faults))


def at_fields(error: TankfulError) -> TankfulError:
    """The error without lines of the case file that was written: its faults stand at fields."""
    faults = [
        replace(fault, line=None, file="") if Path(fault.file).name == CASE_NAME else fault
        for fault in error.faults
    ]
    return type(error)(error.message, faults)


def _asked(fault: Fault) -> Fault:
    """A fault of the place as a whole stands at the postcode, the first that is asked."""
    if fault.field != "place":
        return fault
    return replace(fault, field="place.postcode", mend="give the postcode")


def _stray(path: str, text: str, files: Collection[str]) -> Fault:
    return Fault(
        path,
        "no such file with this case",
        value=f'"{printable(text)[:60]}"',
        allowed=", ".join(sorted(files)),
        mend="upload the file first" if not files else "choose one of the uploaded files",
    )
