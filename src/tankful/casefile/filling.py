"""The record of filling in a case: what was assumed, what to note, what stands in the way."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, TypeVar

from tankful.casefile.lines import line_of
from tankful.casefile.load import LoadedCase
from tankful.casefile.read import printable
from tankful.data.store import cite
from tankful.errors import CaseError, Fault, PlaceError
from tankful.model.case import Case, PlaceInput
from tankful.model.result import Assumption

T = TypeVar("T")


@dataclass
class Filling:
    """Collects assumptions, notes and faults while the parts of a home are filled in."""

    loaded: LoadedCase
    assumptions: list[Assumption] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)

    @property
    def case(self) -> Case:
        return self.loaded.case

    def beside(self, name: str) -> Path:
        """A file named in the case, found beside it."""
        return self.loaded.path.parent / name

    def assume(self, path: str, value: Any, unit: str, source_id: str, how: str = "") -> None:
        """Note a value that the case did not give, with its source (and how it was made)."""
        source = cite(source_id)
        self.assumptions.append(
            Assumption(path, value, unit, f"{how}; {source}" if how else source)
        )

    def work_out(self, path: str, value: Any, unit: str, how: str) -> None:
        """Note a value that was worked out rather than looked up."""
        self.assumptions.append(Assumption(path, value, unit, how))

    def attempt(self, make: Callable[[], T]) -> T | None:
        """Run one part; its faults are kept with their line, so that all appear at once."""
        try:
            return make()
        except CaseError as error:
            self.faults += [self._placed(fault) for fault in error.faults]
            return None

    def in_place(self, make: Callable[[], T]) -> T:
        """Run what needs the place; PlaceError then names the line of the case."""
        try:
            return make()
        except PlaceError as error:
            faults = [self._placed(fault) for fault in error.faults]
            raise PlaceError(error.message, faults) from None

    def _placed(self, fault: Fault) -> Fault:
        if fault.file:
            return fault
        field = fault.field
        if field in PlaceInput.model_fields:
            field = f"place.{field}"
        line = line_of(self.loaded.lines, field)
        return replace(fault, field=field, line=line, file=printable(str(self.loaded.path)))
