"""A studio whose processes are held in the hand."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tankful.desk.easel import Order
from tankful.desk.lane import Done, Told
from tankful.desk.pictures.sheet import Sheet
from tankful.desk.studio import Studio
from tankful.desk.turns import Task

LONGEST_S = 20.0


def an_order(kind: str = "report", case: str = "a", answer: Any = None) -> Order:
    return Order(case, Path(), kind, answer=answer)


@dataclass
class Bench:
    """A studio whose processes are threads that wait until they are told what comes of the order
    that they have, and whose clock stands still."""

    now: float = 0.0
    begun: list[Order] = field(default_factory=list)
    dropped: list[Order] = field(default_factory=list)
    kept: list[tuple[str, Sheet]] = field(default_factory=list)
    comes: dict[str, Done] = field(default_factory=dict)
    """By the case."""

    def __post_init__(self) -> None:
        self.studio = self.one()

    def one(self, cores: int = 2) -> Studio:
        return Studio(clock=lambda: self.now, lane=lambda *_: self, cores=cores)  # type: ignore[arg-type,return-value]

    def answer(
        self, order: Order, is_stale: Callable[[], bool], _told: Callable[[Told], None]
    ) -> Any:
        self.begun.append(order)
        while order.toml not in self.comes:
            if is_stale():
                self.dropped.append(order)
                return Done()
            time.sleep(0.001)
        return self.comes.pop(order.toml)

    def close(self) -> None: ...

    def ask(self, who: str, kind: str = "report", case: str = "a") -> None:
        self.studio.ask(
            who, case, an_order(kind, case), lambda made: self.kept.append((case, made))
        )

    def task(self, who: str, kind: str = "report", case: str = "a") -> Task | None:
        return self.studio.task(who, case, kind, an_order(kind, case))

    def becomes(self, done: Done, case: str = "a") -> None:
        self.comes[case] = done
        until(lambda: case not in self.comes)

    def has_begun(self, *cases: str) -> None:
        until(lambda: len(self.begun) >= len(cases))
        assert [order.toml for order in self.begun] == list(cases)


def until(holds: Callable[[], bool], at_most_s: float = LONGEST_S) -> None:
    ends = time.monotonic() + at_most_s
    while not holds():
        assert time.monotonic() < ends
        time.sleep(0.001)
