"""Read a case file: the case as its author gave it, with the line of every key."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from tankful.casefile.check import case_faults, case_warnings
from tankful.casefile.commented import with_forgotten_mark
from tankful.casefile.faults import type_faults
from tankful.casefile.lines import Loc, line_of, path_text, scan_keys
from tankful.casefile.prices import prices_in_cents
from tankful.casefile.read import printable, read_text
from tankful.casefile.syntax import parse_text
from tankful.errors import CaseError, Fault
from tankful.model.case import Case

DEEPEST_TABLE = 6
"""Levels of tables in a case."""


@dataclass(frozen=True)
class LoadedCase:
    """A sound case and where it came from.

    ``lines`` maps dotted paths (list positions count from 1) to lines of the file. What the
    author gave is in each table's ``model_fields_set``.
    """

    case: Case
    path: Path
    text: str
    lines: dict[str, int]
    warnings: tuple[Fault, ...] = ()


def load_case(path: Path | str) -> LoadedCase:
    """Read and check a case file. Raises CaseError with every fault at once."""
    path = Path(path)
    return check_text(read_text(path), path)


def check_text(text: str, path: Path) -> LoadedCase:
    """Check a case's text as if it stood in the file ``path``, beside its other files.

    Raises CaseError with every fault: unknown keys, values of the wrong type or out of
    range, and values that contradict each other.
    """
    return check_data(parse_text(text, printable(str(path))), path, text, scan_keys(text).lines)


def check_data(data: dict[str, Any], path: Path, text: str, lines: dict[str, int]) -> LoadedCase:
    """Check a case's plain data, which is used up; ``text`` and ``lines`` are where most of it
    stands. Raises CaseError as ``check_text`` does."""
    file = printable(str(path))
    cents = [_placed(fault, lines, file) for fault in prices_in_cents(data)]
    faults: list[Fault] = []
    broken: list[str] = []
    case: Case | None
    try:
        case = Case.model_validate(data)
    except ValidationError as error:
        faults += type_faults(error, lines, file)
        case, broken = _sound_part(data, error)
    if case is not None:
        faults += case_faults(case, path, lines, broken)
    told = {fault.field for fault in faults}
    faults += [fault for fault in cents if fault.field not in told]
    faults = [with_forgotten_mark(fault, text) for fault in faults]
    if faults or case is None:
        raise CaseError(_headline(faults), sorted(faults, key=lambda fault: fault.line or 0))
    return LoadedCase(case, path, text, lines, tuple(case_warnings(case, path, lines)))


def _placed(fault: Fault, lines: dict[str, int], file: str) -> Fault:
    return replace(fault, line=line_of(lines, fault.field), file=file)


def _headline(faults: list[Fault]) -> str:
    count = "One thing" if len(faults) == 1 else f"{len(faults)} things"
    return f"{count} to mend in the case file."


def _sound_part(data: dict[str, Any], error: ValidationError) -> tuple[Case | None, list[str]]:
    """The case without its refused parts, so that the rest can be checked too; their paths.

    Taking one value out may leave its table incomplete, so that goes in the next round.
    """
    broken: list[str] = []
    for _ in range(DEEPEST_TABLE):
        locs = [item["loc"] for item in error.errors(include_url=False)]
        broken += [path_text(loc) for loc in locs]
        for loc in locs:
            _remove(data, loc)
        if any(loc[:1] == ("place",) for loc in locs):
            place = data.setdefault("place", {})
            place.setdefault("postcode", "0000")  # a stand-in: no rule reads a broken postcode
        try:
            return Case.model_validate(data), broken
        except ValidationError as again:
            error = again
    return None, broken


def _remove(data: Any, loc: Loc) -> None:
    """Take out the value at ``loc``; for a missing value, the table it is missing from.

    A list loses all its entries when one is refused: the others would change places.
    """
    for depth, part in enumerate(loc):
        last = depth == len(loc) - 1
        if isinstance(data, dict) and isinstance(part, str) and part in data:
            inner = data[part]
            if last or isinstance(inner, list) or _lacks(inner, loc[depth + 1 :]):
                del data[part]
                return
            data = inner
        else:
            return


def _lacks(data: Any, loc: Loc) -> bool:
    """Whether the next step of ``loc`` is not there: the table is incomplete."""
    return not isinstance(data, dict) or loc[0] not in data
