"""What a rule of thumb comes to over many homes."""

from __future__ import annotations

from dataclasses import dataclass

from tankful.model.table import HomesTable


@dataclass(frozen=True)
class Verdict:
    """Whether a rule holds in one home it speaks of.

    ``room`` is how far inside the claim the home lies, negative where it fails, in the unit of
    the claim; ``None`` where a text decides. ``close`` where the costs compared are tied.
    """

    labels: tuple[str, ...]
    holds: bool
    room: float | None
    close: bool
    found: str
    """What was found, in words."""


@dataclass(frozen=True)
class RuleResult:
    """One rule over the homes of a table."""

    name: str
    words: str
    source: str
    verdicts: tuple[Verdict, ...]
    """Of the homes that the rule speaks of."""
    not_meant: int
    """Homes in which its condition is not met."""
    not_known: tuple[tuple[str, ...], ...]
    """Labels of the homes that lack what the claim is about, such as an option ruled out."""
    unit: str

    @property
    def holding(self) -> int:
        return sum(verdict.holds for verdict in self.verdicts)

    @property
    def failing(self) -> tuple[Verdict, ...]:
        """Where it fails, the nearest to the border first."""
        return _nearest_first(self.verdicts, holds=False)

    @property
    def barely(self) -> Verdict | None:
        """Where it holds with the least room."""
        return next(iter(_nearest_first(self.verdicts, holds=True)), None)


def _nearest_first(verdicts: tuple[Verdict, ...], *, holds: bool) -> tuple[Verdict, ...]:
    chosen = [verdict for verdict in verdicts if verdict.holds == holds]
    return tuple(sorted(chosen, key=lambda verdict: abs(verdict.room or 0.0)))


@dataclass(frozen=True)
class RulesReport:
    """Every rule over the homes of one table."""

    name: str
    table: HomesTable
    rules: tuple[RuleResult, ...]
