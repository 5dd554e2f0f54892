"""Orders on their way, and whose turn it is: people take turns, whoever orders how much, and where
that leaves a choice a report goes before pictures."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from tankful.desk.easel import REPORTS, Order
from tankful.desk.lane import Told
from tankful.errors import TankfulError


@dataclass(eq=False)
class Task:
    """An order on its way. ``keep`` takes the sheet or report once it is made; ``wants`` holds who
    waits for it and when their page last asked. One that is ``over`` met a fault, or else was
    called off."""

    case_id: str
    order: Order
    keep: Callable[[Any], object] | None = None
    wants: dict[str, float] = field(default_factory=dict)
    told: Told = field(default_factory=lambda: Told(0, 1, "about to begin"))
    begun: bool = False
    over: bool = False
    fault: TankfulError | None = None

    @property
    def is_report(self) -> bool:
        return self.order.kind in REPORTS


class Turns:
    """Rounds in which each person has one order begun. Who comes anew joins the round that is
    under way, however many they had before."""

    def __init__(self) -> None:
        self._now = 0
        self._next: dict[str, int] = {}

    def take(self, waiting: Sequence[Task]) -> Task:
        """The order whose turn it is, of those that wait in the order of asking (one at least);
        this round is then over for the one who asked for it."""
        task = min(waiting, key=lambda one: (self._round(self._whose(one)), not one.is_report))
        who = self._whose(task)
        self._now = self._round(who)
        self._next[who] = self._now + 1
        return task

    def before(self, task: Task, waiting: Sequence[Task]) -> list[Task]:
        """Those of the waiting that will be taken before one of them."""
        trial = Turns()
        trial._now, trial._next = self._now, dict(self._next)
        rest, found = list(waiting), list[Task]()
        while (first := trial.take(rest)) is not task:
            found.append(first)
            rest.remove(first)
        return found

    def _round(self, who: str) -> int:
        return max(self._next.get(who, 0), self._now)

    def _whose(self, task: Task) -> str:
        return min(task.wants, key=self._round)


def waits_for(ahead: Sequence[Task]) -> str:
    """What an order waits for, in words."""
    reports = sum(task.is_report for task in ahead)
    counts = ((reports, "report"), (len(ahead) - reports, "picture"))
    named = [f"{n} {word}" if n == 1 else f"{n} {word}s" for n, word in counts if n]
    return f"waits for {' and '.join(named)} before it" if named else "about to begin"
