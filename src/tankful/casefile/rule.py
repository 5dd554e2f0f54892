"""A rule over several values of a case: what it reads, and the faults it finds."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from tankful.errors import Fault
from tankful.model.case import Case

Finder = Callable[[Case, Path], Iterator[Fault]]
"""From the case and the folder of its file to faults without line and file."""


@dataclass(frozen=True)
class Rule:
    """A named finder and the dotted paths it reads."""

    find: Finder
    reads: tuple[str, ...]

    def rests_on(self, paths: list[str]) -> bool:
        """Whether any value it reads lies in, or around, one of ``paths``."""
        return any(_overlap(mine, other) for mine in self.reads for other in paths)


def rule(*reads: str) -> Callable[[Finder], Rule]:
    """Make a rule of a finder; ``reads`` are the dotted paths whose values it uses."""
    return lambda find: Rule(find, reads)


def _overlap(mine: str, other: str) -> bool:
    if mine == other:
        return True
    longer, shorter = (mine, other) if len(mine) > len(other) else (other, mine)
    return longer.startswith((f"{shorter}.", f"{shorter}["))
