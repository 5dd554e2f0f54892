"""Answers while one types: a quick one at once, the whole search behind it.

Two warm processes, so that neither the pages nor the quick answer wait for a search. A case that
changes calls off what is being computed of its earlier state.
"""

from __future__ import annotations

import asyncio
import threading
import time
from collections import OrderedDict
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from tankful.desk.lane import AT_ONCE, PATIENT, Done, Job
from tankful.desk.process import LOOK_S, Lane, without_bug

if TYPE_CHECKING:
    from tankful.advice.quick import Settings
    from tankful.errors import Fault
    from tankful.model.answer import Answer


WARM_UP = '[place]\npostcode = "2000"\n[simulation]\nstep_min = 60\n'
"""A case that loads and compiles what every answer needs."""
CASES_KEPT = 50


@dataclass
class Standing:
    """What is known of one case. ``wanted`` is its present state; ``quick`` and ``whole`` belong
    to that state, ``last`` is the newest answer, perhaps of an earlier one, ``before`` the newest
    of an earlier one."""

    wanted: Job
    quick: Done | None = None
    whole: Done | None = None
    last: Answer | None = None
    before: Answer | None = None
    search: bool = False
    """Whether somebody waits for the whole answer."""
    turns: dict[bool, int] = field(default_factory=dict)
    """When each lane (quick or not) last began on this case, in one order for all cases."""

    @property
    def best_known(self) -> Done | None:
        return self.whole or self.quick


class Reckoner:
    """Looks after the lanes. ``close`` ends them."""

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._cases: OrderedDict[str, Standing] = OrderedDict()
        self._known: dict[str, Settings] = {}
        self._lately: Settings = {}
        """Settings of the answer before, for a case that has none yet."""
        self._turn = 0
        self._closed = False
        self._lanes = [
            threading.Thread(target=self._run, args=(quick,), daemon=True)
            for quick in (True, False)
        ]
        for lane in self._lanes:
            lane.start()

    def want(self, case_id: str, toml: str, folder: Path) -> None:
        """Say what a case is now; nothing happens when that is known already."""
        job = Job(toml, folder)
        with self._changed:
            before = self._cases.get(case_id)
            if before is None or before.wanted != job:
                last = before.last if before else None
                turns = before.turns if before else {}
                self._cases[case_id] = Standing(job, last=last, before=last, turns=turns)
                self._changed.notify_all()
            self._cases.move_to_end(case_id)
            while len(self._cases) > CASES_KEPT:
                gone, _ = self._cases.popitem(last=False)
                self._known.pop(gone, None)

    def standing(self, case_id: str) -> Standing | None:
        """What is known of a case by now."""
        with self._changed:
            return self._cases.get(case_id)

    def whole_answer(self, case_id: str, toml: str) -> Answer | None:
        """The answer of the whole search to a state of a case, where it is known."""
        standing = self.standing(case_id)
        if standing is None or standing.wanted.toml != toml or standing.whole is None:
            return None
        return standing.whole.answer

    def faults(self, case_id: str, job: Job) -> tuple[Fault, ...]:
        """What stood in the way of an answer to a state of a case, so far as it is known."""
        standing = self.standing(case_id)
        done = standing.best_known if standing and standing.wanted == job else None
        return done.fault.faults if done and done.fault else ()

    async def wait(self, case_id: str, *, whole: bool, at_most_s: float) -> Standing | None:
        """Wait for the quick answer, or the whole one, to the case's present state; no longer
        once the case has changed."""
        ends, first = time.monotonic() + at_most_s, self.standing(case_id)
        while True:
            found = self.standing(case_id)
            if found is not first:
                return found
            if whole and found is not None and not found.search:
                with self._changed:
                    found.search = True
                    self._changed.notify_all()
            ready = found is None or (found.whole if whole else found.best_known)
            if ready or self._closed or time.monotonic() > ends:
                return found
            await asyncio.sleep(LOOK_S)

    def close(self) -> None:
        """Call off what is being computed and end the processes."""
        with self._changed:
            self._closed = True
            self._changed.notify_all()
        for lane in self._lanes:
            lane.join(10)

    def _run(self, quick: bool) -> None:
        """One lane: a process, and what it does next."""
        lane = Lane(AT_ONCE if quick else PATIENT)
        lane.answer(Job(WARM_UP, Path(), {} if quick else None), lambda: self._closed)
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._closed or self._next(quick) is not None)
                case_id = self._next(quick)
                if self._closed or case_id is None:
                    break
                standing = self._cases[case_id]
                self._turn += 1
                standing.turns[quick] = self._turn
                known = self._known.get(case_id, self._lately) if quick else None
            self._answer(lane, case_id, standing, known)
        lane.close()

    def _answer(self, lane: Lane, case_id: str, standing: Standing, known: Settings | None) -> None:
        job = Job(standing.wanted.toml, standing.wanted.folder, known)
        done = lane.answer(job, lambda: self._closed or self._cases.get(case_id) is not standing)
        self._keep(case_id, standing, done, quick=known is not None)

    def _next(self, quick: bool) -> str | None:
        """Of the cases that wait for this lane the one it began on longest ago, so that whoever
        types on and on keeps nobody else waiting; of those never begun the one asked for last."""
        waiting = [
            case_id
            for case_id, standing in reversed(self._cases.items())
            if (quick and standing.best_known is None)
            or (not quick and standing.search and standing.quick and standing.whole is None)
        ]
        return min(waiting, key=lambda one: self._cases[one].turns.get(quick, 0), default=None)

    def _keep(self, case_id: str, standing: Standing, done: Done, *, quick: bool) -> None:
        if done.called_off:
            return
        done = without_bug(done, "The answer could not be computed.")
        with self._changed:
            if quick:
                standing.quick = done
            else:
                standing.whole = done
            if done.answer is not None:
                standing.last = done.answer
                if not quick and case_id in self._cases:
                    settings = done.answer.settings
                    self._known[case_id] = self._lately = settings
            self._changed.notify_all()
