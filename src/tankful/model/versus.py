"""Two cases and their answers beside each other, the first and the second."""

from __future__ import annotations

from dataclasses import dataclass

from tankful.model.answer import Answer, OptionResult


@dataclass(frozen=True)
class Differing:
    """A field that two cases give otherwise. A text is empty where its case leaves it open."""

    path: str
    about: str
    """The field in the words of the field table."""
    texts: tuple[str, str]
    units: tuple[str, str]


@dataclass(frozen=True)
class OptionPair:
    """One option in both answers, or in one of them alone."""

    id: str
    label: str
    first: OptionResult | None
    second: OptionResult | None
    gap: int | None
    """Cost over the years in the second less that in the first, as the tables show them;
    ``None`` where one has not the option or the costs cannot be subtracted."""
    why_missing: str
    """Why the one without it rules it out; empty where both have it, or none is told."""


@dataclass(frozen=True)
class Versus:
    """Two answers beside each other, and in words what sets them apart."""

    names: tuple[str, str]
    """What the words call the two cases."""
    first: Answer
    second: Answer
    pairs: tuple[OptionPair, ...]
    """In the first's order; behind them those of the second alone."""
    best_changes: bool
    """That no option is at the top of both."""
    sentences: tuple[str, ...]
    """Whether the best changes, and what the best costs in the one and in the other."""
    remarks: tuple[str, ...]
    """What stands in the way of the comparison, or must be known of it."""

    @property
    def answers(self) -> tuple[Answer, Answer]:
        return self.first, self.second


@dataclass(frozen=True)
class CasesCompared:
    """What two cases say otherwise, and what comes of it."""

    differing: tuple[Differing, ...]
    versus: Versus
