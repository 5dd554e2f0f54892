"""Pictures and reports ordered, made behind the pages, and called off.

One process makes what takes a moment, another what takes long (on a machine of more than two cores
a second one as well, once both are asked for), so that looking at a day need not wait for the
futures. They start when they are first needed.
"""

from __future__ import annotations

import os
import threading
import time
import traceback
from collections import Counter, OrderedDict
from collections.abc import Callable
from typing import Any

from tankful.desk.easel import LONG, QUICK, Order, drawn, is_same
from tankful.desk.lane import PATIENT, SOON, Done, Told
from tankful.desk.process import Lane, without_bug
from tankful.desk.turns import Task, Turns, waits_for
from tankful.errors import Fault, StoreError, TankfulError, TooOftenError

UNWATCHED_S = 130.0
"""Who has not asked for an order for so long has left its page: an open one asks twice a second,
and once a minute where the browser slows down pages that nobody sees."""
ORDERS_AT_ONCE = 30
"""Of one person."""
ENDED_KEPT = 200
"""Orders that met a fault or were called off: pages know of so many."""

UNKEPT = "It was made but could not be kept."

Kinds = tuple[str, ...]


class Studio:
    """Looks after the orders: of each person one of each kind for each case; the same order of
    several is made once. ``close`` ends the processes."""

    def __init__(
        self,
        *,
        clock: Callable[[], float] = time.monotonic,
        lane: Callable[..., Lane] = Lane,
        cores: int = os.cpu_count() or 1,
    ) -> None:
        self._clock = clock
        self._lane = lane
        self._most: dict[Kinds, int] = {QUICK: 1, LONG: 2 if cores > 2 else 1}
        self._changed = threading.Condition()
        self._tasks: list[Task] = []
        self._ended: OrderedDict[tuple[str, str, str], Task] = OrderedDict()
        self._turns: dict[Kinds, Turns] = {QUICK: Turns(), LONG: Turns()}
        self._runs: list[tuple[Kinds, threading.Thread]] = []
        self._idle: Counter[Kinds] = Counter()
        self._closed = False

    def ask(self, who: str, case_id: str, order: Order, keep: Callable[[Any], object]) -> None:
        """Have something made, in the place of an earlier order of its kind by the same person for
        the case; nothing happens when the same is on its way. TooOftenError when they have too
        many."""
        with self._changed:
            self._ended.pop((who, case_id, order.kind), None)
            task = self._mine(who, case_id, order.kind)
            if task is not None and not is_same(task.order, order):
                del task.wants[who]
                task = None
            task = task or self._shared(case_id, order)
            if task is None:
                self._check_number(who)
                task = Task(case_id, order, keep)
                self._tasks.append(task)
            task.wants[who] = self._clock()
            self._see_to(_kinds(order.kind))
            self._changed.notify_all()

    def task(self, who: str, case_id: str, kind: str, order: Order | None) -> Task | None:
        """The order of a kind that somebody waits for, or else what came of it where it was the
        same as ``order``; or else that of another person if it is the same, for which both wait
        from now on. To ask is to wait: who no longer asks has left."""
        with self._changed:
            found = self._mine(who, case_id, kind)
            if found is None and order is not None:
                ended = self._ended.get((who, case_id, kind))
                if ended is not None and is_same(ended.order, order):
                    return ended
                found = self._shared(case_id, order)
            if found is not None:
                found.wants[who] = self._clock()
                if not found.begun:
                    found.told = Told(0, 1, waits_for(self._ahead(found)))
            return found

    def call_off(self, who: str, case_id: str, kind: str) -> None:
        """They want it no more; it is made on for others who wait for it."""
        with self._changed:
            task = self._mine(who, case_id, kind)
            if task is not None:
                del task.wants[who]
                self._end(who, task, None)

    def close(self) -> None:
        """Call off what is being drawn and end the processes."""
        with self._changed:
            self._closed = True
            self._changed.notify_all()
        for _, run in list(self._runs):
            run.join(10)

    def _wanted(self) -> list[Task]:
        """The orders that somebody waits for, in the order of asking; those who left do not."""
        soonest = self._clock() - UNWATCHED_S
        for task in self._tasks:
            task.wants = {who: at for who, at in task.wants.items() if at >= soonest}
        self._tasks = [task for task in self._tasks if task.wants or task.begun]
        return [task for task in self._tasks if task.wants]

    def _waiting(self, kinds: Kinds) -> list[Task]:
        return [t for t in self._wanted() if t.order.kind in kinds and not t.begun]

    def _mine(self, who: str, case_id: str, kind: str) -> Task | None:
        own = (t for t in self._wanted() if who in t.wants and t.case_id == case_id)
        return next((task for task in own if task.order.kind == kind), None)

    def _shared(self, case_id: str, order: Order) -> Task | None:
        of_case = (t for t in self._wanted() if t.case_id == case_id)
        return next((task for task in of_case if is_same(task.order, order)), None)

    def _ahead(self, task: Task) -> list[Task]:
        kinds = _kinds(task.order.kind)
        begun = [t for t in self._wanted() if t.begun and t.order.kind in kinds]
        return begun + self._turns[kinds].before(task, self._waiting(kinds))

    def _check_number(self, who: str) -> None:
        if sum(who in task.wants for task in self._wanted()) >= ORDERS_AT_ONCE:
            problem = f"{ORDERS_AT_ONCE} of your reports and pictures are on their way"
            fault = Fault("", problem, mend="wait for some of them or call them off")
            raise TooOftenError("It was not begun.", [fault])

    def _end(self, who: str, task: Task, fault: TankfulError | None) -> None:
        order = task.order.bare
        key = (who, task.case_id, order.kind)
        self._ended[key] = Task(task.case_id, order, over=True, fault=fault)
        self._ended.move_to_end(key)
        while len(self._ended) > ENDED_KEPT:
            self._ended.popitem(last=False)

    def _see_to(self, kinds: Kinds) -> None:
        """Start a process where orders wait for one."""
        running = sum(of == kinds for of, _ in self._runs)
        if running < self._most[kinds] and self._idle[kinds] < len(self._waiting(kinds)):
            run = threading.Thread(target=self._run, args=(kinds,), daemon=True)
            self._runs.append((kinds, run))
            run.start()

    def _run(self, kinds: Kinds) -> None:
        try:
            lane = self._lane(PATIENT if kinds is LONG else SOON, drawn)
        except OSError as error:
            self._give_up(kinds, error)
            return
        while (task := self._taken(kinds)) is not None:
            self._draw(lane, task)
        lane.close()

    def _give_up(self, kinds: Kinds, error: OSError) -> None:
        """A process cannot start: what waits for it ends, unless another will make it. The next
        order tries again."""
        mend = "close other programs, or try again in a while"
        told = Fault("", error.strerror or str(error), mend=mend)
        with self._changed:
            self._runs.remove((kinds, threading.current_thread()))
            if any(of == kinds for of, _ in self._runs):
                return
            for task in self._waiting(kinds):
                task.over = True
                self._tasks.remove(task)
                for who in task.wants:
                    self._end(who, task, StoreError("It could not be begun.", [told]))

    def _taken(self, kinds: Kinds) -> Task | None:
        """Wait for the next order; ``None`` once the studio closes."""
        with self._changed:
            self._idle[kinds] += 1
            self._changed.wait_for(lambda: self._closed or bool(self._waiting(kinds)))
            self._idle[kinds] -= 1
            if self._closed:
                return None
            task = self._turns[kinds].take(self._waiting(kinds))
            task.begun = True
            return task

    def _draw(self, lane: Lane, task: Task) -> None:
        def told(heard: Told) -> None:
            task.told = heard

        def is_stale() -> bool:
            with self._changed:
                return self._closed or task not in self._wanted()

        task.told = Told(0, 1, "about to begin")
        done = lane.answer(task.order, is_stale, told)
        fault = without_bug(done, "It could not be made.").fault or _kept(task, done)
        with self._changed:
            task.over = True
            self._tasks.remove(task)
            if fault is not None:
                for who in task.wants:
                    self._end(who, task, fault)


def _kinds(kind: str) -> Kinds:
    return QUICK if kind in QUICK else LONG


def _kept(task: Task, done: Done) -> TankfulError | None:
    """Give away what was made; the fault when there was no room for it, or a bug, which must not
    keep other orders from being made."""
    made = done.sheet or done.report
    try:
        if made is not None and task.keep is not None:
            task.keep(made)
    except OSError as error:
        fault = Fault("", error.strerror or str(error), mend="see that the disk is not full")
        return StoreError(UNKEPT, [fault])
    except Exception:
        return without_bug(Done(bug=traceback.format_exc()), UNKEPT).fault
    return None
