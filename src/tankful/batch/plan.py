"""The plan of a table: a base case and what is varied, as a TOML file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Self, TypeVar

from pydantic import BaseModel, Field, ValidationError, model_validator

from tankful.casefile.faults import type_faults
from tankful.casefile.lines import line_of, scan_keys
from tankful.casefile.read import printable, read_text
from tankful.casefile.syntax import parse_text
from tankful.errors import CaseError, Fault
from tankful.model.capitals import POSTCODES
from tankful.model.fields import Table, UnfitError, Words, field

MOST_HOMES = 400
"""More homes than this take longer than anybody waits (judgement)."""

Model = TypeVar("Model", bound=BaseModel)


Values = Annotated[tuple[Any, ...], Field(strict=False, min_length=1, max_length=MOST_HOMES)]
Texts = Annotated[tuple[Words, ...], Field(strict=False, min_length=1, max_length=MOST_HOMES)]


class Choice(Table):
    """One way the home may be: what its case says otherwise than the base case."""

    name: Words = field(about="what the table calls it")
    set: dict[str, Any] = field(
        default_factory=dict, default=None, about="keys of a case and their values"
    )
    without: Annotated[tuple[Words, ...], Field(strict=False)] = field(
        (), about="paths of what is taken out of the base case first"
    )


Choices = Annotated[tuple[Choice, ...], Field(strict=False, min_length=1, max_length=MOST_HOMES)]


class Variation(Table):
    """One thing that differs between homes: a field and its values, plans, or whole choices."""

    name: Words | None = field(None, about="head of its column", when_absent="that of the field")
    path: Words | None = field(None, about="path of a field of the case, such as people.count")
    values: Values | None = field(None, about="values of the field at path")
    labels: Texts | None = field(
        None, about="what the table calls them", when_absent="the values themselves"
    )
    plans: Texts | None = field(
        None,
        about='electricity plans: "default" for that of each home\'s state, a state such as '
        '"VIC" for its default plan, or a case file with a plan',
    )
    choices: Choices | None = field(None, about="homes described by several keys")

    @model_validator(mode="after")
    def _one_kind(self) -> Self:
        given = [
            name
            for name, there in (
                ("path with values", self.path is not None or self.values is not None),
                ("plans", self.plans is not None),
                ("choices", self.choices is not None),
            )
            if there
        ]
        if len(given) != 1 or (self.path is None) != (self.values is None):
            raise UnfitError(
                "says not exactly one thing that differs",
                "give path and values, or plans, or choices",
            )
        if self.labels is not None and len(self.labels) != len(self.values or self.plans or ()):
            raise UnfitError("has not one label for each value", "give as many labels as values")
        return self

    @property
    def count(self) -> int:
        return len(self.values or self.plans or self.choices or ())


class TablePlan(Table):
    """The base case and what is varied around it; every combination is a home."""

    name: Words = field("Table of homes", about="title of the table")
    case_file: Words | None = field(None, about="base case, relative to this file")
    case: dict[str, Any] | None = field(None, about="base case written here")
    places: Texts | None = field(
        None,
        about='Australian postcodes; "capitals" stands for those of the eight capitals',
        when_absent="the place of the base case",
    )
    vary: Annotated[tuple[Variation, ...], Field(strict=False, max_length=8)] = field(
        (), about="what else differs"
    )
    columns: Annotated[tuple[Words, ...], Field(strict=False, max_length=40)] = field(
        ("best", "cost", "first year", "saving", "margin"), about="what the table shows"
    )

    @model_validator(mode="after")
    def _one_base(self) -> Self:
        if (self.case_file is None) == (self.case is None):
            raise UnfitError(
                "a table needs one base case",
                'give case_file = "home.toml", or write it in a section [case]',
            )
        count = self.count
        if count > MOST_HOMES:
            raise UnfitError(
                f"{count:,} homes are too many; at most {MOST_HOMES} are allowed",
                "vary fewer things, or give fewer values of each",
            )
        return self

    @property
    def postcodes(self) -> tuple[tuple[str, str], ...]:
        """Name and postcode of each place; a postcode without a known name has none."""
        found: list[tuple[str, str]] = []
        for text in self.places or ():
            found += POSTCODES.items() if text == "capitals" else [("", text)]
        return tuple(found)

    @property
    def count(self) -> int:
        """How many homes it makes."""
        count = max(1, len(self.postcodes))
        for variation in self.vary:
            count *= variation.count
        return count


@dataclass(frozen=True)
class Written:
    """A file's table and where its keys stand."""

    path: Path
    text: str
    lines: dict[str, int]
    prefix: str = ""
    """Path of the table inside the file."""

    def place(self, fault: Fault, at: str) -> Fault:
        """A fault with the file's name and the line of ``at``."""
        path = f"{self.prefix}.{at}" if self.prefix and at else self.prefix or at
        file = printable(str(self.path))
        return Fault(
            fault.field,
            fault.problem,
            fault.value,
            fault.allowed,
            fault.mend,
            line_of(self.lines, path),
            file,
        )


def read_file(path: Path, table: type[Model], what: str) -> tuple[Model, Written]:
    """A TOML file as ``table``, every fault at once. CaseError; ``what`` names the file."""
    file = printable(str(path))
    try:
        text = read_text(path)
        data = parse_text(text, file)
    except CaseError as error:
        raise CaseError(f"{what} cannot be read.", error.faults) from None
    written = Written(path, text, scan_keys(text).lines)
    try:
        return table.model_validate(data), written
    except ValidationError as error:
        faults = type_faults(error, written.lines, file, table)
        raise CaseError(f"{what} needs mending.", faults) from None


def load_plan(path: Path) -> tuple[TablePlan, Written]:
    """Read the plan of a table. CaseError with every fault of its own keys."""
    return read_file(path, TablePlan, "The plan of the table")
