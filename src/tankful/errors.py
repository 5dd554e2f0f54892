"""The exception tree. User faults derive from TankfulError; anything else is a bug.

TankfulError                exit  HTTP
├── CaseError                2    422   the case file: every fault at once
├── FileError                3    422   weather, meter or other input file
├── PlaceError               4    404   postcode or place not known
├── OfflineError             5    503   a fetch found no network
├── OutputError              6    500   a result could not be written
├── ModelError               7    500   the physics refused (ledger, range)
├── StoreError               8    503   the desk's records cannot be opened or kept
├── RefusedError             9    403   the one who asks may not do that
├── MissingError            10    404   no such client, case, page or file
└── TooMuchError            11    413   larger than is allowed
    └── TooOftenError       11    429   more often than is allowed
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tankful.marked import Marked


@dataclass(frozen=True)
class Fault:
    """One thing wrong with an input, in words a non-programmer can act on.

    ``field`` is a dotted path or column name, ``value`` what was found, ``allowed`` the
    range or choices, ``line`` the 1-based line in ``file``, ``mend`` what to do about it. What
    only a case file says stands between marks (see ``tankful.marked``).
    """

    field: str
    problem: str
    value: str = ""
    allowed: str = ""
    mend: str = ""
    line: int | None = None
    file: str = ""

    def __post_init__(self) -> None:
        for name in ("problem", "value", "allowed", "mend"):
            object.__setattr__(self, name, Marked(getattr(self, name), self.field))

    def __str__(self) -> str:
        where = self.file
        if self.line is not None:
            where = f"{where or 'line'}:{self.line}" if where else f"line {self.line}"
        head = ": ".join(part for part in (where, self.field, self.problem) if part)
        if self.value:
            head += f" (found {self.value})"
        tail = [f"allowed: {self.allowed}"] if self.allowed else []
        tail += [f"mend: {self.mend}"] if self.mend else []
        return "\n    ".join([head, *tail])


class TankfulError(Exception):
    """Base of every fault a user can cause or mend."""

    exit_code = 1
    http_status = 400

    def __init__(self, message: str, faults: Iterable[Fault] = ()) -> None:
        super().__init__(message)
        self.message = message
        self.faults = tuple(faults)

    def __str__(self) -> str:
        return "\n".join([self.message, *(f"  {fault}" for fault in self.faults)])


class CaseError(TankfulError):
    """The case file does not describe a home that can be simulated."""

    exit_code = 2
    http_status = 422


class FileError(TankfulError):
    """An input file could not be read as what it claims to be."""

    exit_code = 3
    http_status = 422


class PlaceError(TankfulError):
    """A postcode or place is not known."""

    exit_code = 4
    http_status = 404


class OfflineError(TankfulError):
    """A fetch was asked for and the network did not answer."""

    exit_code = 5
    http_status = 503


class OutputError(TankfulError):
    """A result could not be written."""

    exit_code = 6
    http_status = 500


class ModelError(TankfulError):
    """The physics refused: an unclosed ledger or an input outside a model's range."""

    exit_code = 7
    http_status = 500


class StoreError(TankfulError):
    """The desk's records cannot be opened or kept."""

    exit_code = 8
    http_status = 503


class RefusedError(TankfulError):
    """The one who asks may not do that."""

    exit_code = 9
    http_status = 403


class MissingError(TankfulError):
    """There is no such client, case, page or file."""

    exit_code = 10
    http_status = 404


class TooMuchError(TankfulError):
    """Larger than is allowed."""

    exit_code = 11
    http_status = 413


class TooOftenError(TooMuchError):
    """More often than is allowed."""

    http_status = 429
