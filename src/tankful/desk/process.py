"""The desk's end of a process that answers, draws or prints."""

from __future__ import annotations

import logging
import multiprocessing
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection
from multiprocessing.synchronize import Event
from typing import Any

from tankful.desk.lane import Done, Task, Told, answered, work
from tankful.errors import Fault, ModelError

log = logging.getLogger("tankful.desk")

LOOK_S = 0.02
"""How often it is looked whether a job is still wanted."""


def without_bug(done: Done, words: str) -> Done:
    """A bug goes to the log; the page says in these ``words`` that there was one."""
    if not done.bug:
        return done
    log.error("%s", done.bug)
    fault = Fault("", "the program met something it did not foresee", mend="tell its makers")
    return Done(fault=ModelError(words, [fault]))


class Lane:
    """A process that answers, started anew should it ever end; the more ``patience`` it has, the
    more it lets others go first."""

    def __init__(self, patience: int, task: Task = answered) -> None:
        self._patience = patience
        self._task = task
        self._start()

    def _start(self) -> None:
        context = multiprocessing.get_context("spawn")
        self._stop: Event = context.Event()
        self._jobs: Connection
        self._jobs, theirs = context.Pipe()
        arguments = (theirs, self._stop, self._patience, self._task)
        self._process = context.Process(target=work, args=arguments, daemon=True)
        self._process.start()
        theirs.close()

    def answer(
        self,
        job: Any,
        is_stale: Callable[[], bool],
        told: Callable[[Told], None] = lambda _: None,
    ) -> Done:
        """Give a job and wait for it, calling it off once it is stale; ``told`` hears how far
        it is."""
        self._stop.clear()
        try:
            self._jobs.send(job)
            while True:
                if is_stale():
                    self._stop.set()
                if self._jobs.poll(LOOK_S):
                    heard: Told | Done = self._jobs.recv()
                    if isinstance(heard, Done):
                        return heard
                    told(heard)
        except (EOFError, OSError):
            self._start_again()
            return Done(bug="a process that computes answers ended")

    def _start_again(self) -> None:
        """A machine that has no room for it now is asked again with the next job."""
        with suppress(ValueError):  # it was closed before
            self.close()
        try:
            self._start()
        except OSError as error:
            log.error("a process that computes answers cannot start: %s", error)

    def close(self) -> None:
        self._jobs.close()
        self._process.terminate()
        self._process.join(5)
        self._process.close()
