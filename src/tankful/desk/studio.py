"""Pictures and reports ordered, made behind the pages, and called off.

One process makes what takes a moment, another what takes long, so that looking at a day need not
wait for the futures. Both start when they are first needed.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

from tankful.desk.easel import LONG, QUICK, Order, drawn
from tankful.desk.lane import PATIENT, SOON, Done, Told
from tankful.desk.process import Lane, without_bug
from tankful.errors import Fault, StoreError, TankfulError


@dataclass(eq=False)
class Task:
    """An order on its way. ``keep`` takes the sheet or report once it is made."""

    order: Order
    keep: Callable[[Any], object]
    told: Told = field(default_factory=lambda: Told(0, 1, "waiting for its turn"))
    off: bool = False
    fault: TankfulError | None = None
    over: bool = False


class Studio:
    """Looks after the orders: one of each kind for each case. ``close`` ends the processes."""

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._tasks: dict[tuple[str, str], Task] = {}
        self._runs: dict[tuple[str, ...], threading.Thread] = {}
        self._closed = False

    def ask(self, case_id: str, order: Order, keep: Callable[[Any], object]) -> None:
        """Have something made, in the place of an earlier order of its kind for the case;
        nothing happens when the same is on its way."""
        kinds = QUICK if order.kind in QUICK else LONG
        with self._changed:
            before = self._tasks.get((case_id, order.kind))
            if before and not before.over and not before.off and _same(before.order, order):
                return
            if before:
                before.off = True
                del self._tasks[case_id, order.kind]
            self._tasks[case_id, order.kind] = Task(order, keep)
            if kinds not in self._runs:
                self._runs[kinds] = threading.Thread(target=self._run, args=(kinds,), daemon=True)
                self._runs[kinds].start()
            self._changed.notify_all()

    def task(self, case_id: str, kind: str) -> Task | None:
        """The order of a kind that is on its way, or that met a fault."""
        with self._changed:
            return self._tasks.get((case_id, kind))

    def call_off(self, case_id: str, kind: str) -> None:
        """Nobody wants it any more."""
        with self._changed:
            task = self._tasks.pop((case_id, kind), None)
            if task is not None:
                task.off = True

    def close(self) -> None:
        """Call off what is being drawn and end the processes."""
        with self._changed:
            self._closed = True
            self._changed.notify_all()
        for run in self._runs.values():
            run.join(10)

    def _run(self, kinds: tuple[str, ...]) -> None:
        lane = Lane(PATIENT if kinds is LONG else SOON, drawn)
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._closed or self._next(kinds) is not None)
                task = self._next(kinds)
            if self._closed or task is None:
                break
            self._draw(lane, task)
        lane.close()

    def _next(self, kinds: tuple[str, ...]) -> Task | None:
        """The order that waits longest."""
        waiting = (t for (_, kind), t in self._tasks.items() if kind in kinds and not t.over)
        return next(waiting, None)

    def _draw(self, lane: Lane, task: Task) -> None:
        def told(heard: Told) -> None:
            task.told = heard

        done = lane.answer(task.order, lambda: self._closed or task.off, told)
        fault = without_bug(done, "It could not be made.").fault or _kept(task, done)
        with self._changed:
            task.over = True
            task.fault = fault
            if task.fault is None:
                self._tasks = {key: t for key, t in self._tasks.items() if t is not task}


def _same(one: Order, other: Order) -> bool:
    """The same to be made, whether or not the answer was known."""
    return replace(one, answer=None) == replace(other, answer=None)


def _kept(task: Task, done: Done) -> TankfulError | None:
    """Give away what was made; the fault when there was no room for it."""
    made = done.sheet or done.report
    try:
        if made is not None:
            task.keep(made)
    except OSError as error:
        fault = Fault("", error.strerror or str(error), mend="see that the disk is not full")
        return StoreError("It was made but could not be kept.", [fault])
    return None
