"""What runs in a process of its own: it answers one case after another and stays warm."""

from __future__ import annotations

import os
import signal
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.synchronize import Event
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tankful.errors import TankfulError

if TYPE_CHECKING:
    from tankful.advice.quick import Settings
    from tankful.desk.pictures.sheet import Sheet
    from tankful.desk.press import Printed
    from tankful.model.answer import Answer

Progress = Callable[[int, int, str], None]


@dataclass(frozen=True)
class Job:
    """A case to answer: its file's text and folder; quick with the settings ``known``."""

    toml: str
    folder: Path
    known: Settings | None = None


@dataclass(frozen=True)
class Told:
    """How far a job is."""

    done: int
    total: int
    what: str


@dataclass(frozen=True)
class Done:
    """An answer, a report or a sheet, or the fault that stands in its way; none of them when it
    was called off."""

    answer: Answer | None = None
    report: Printed | None = None
    sheet: Sheet | None = None
    fault: TankfulError | None = None
    bug: str = ""

    @property
    def called_off(self) -> bool:
        return not (self.answer or self.report or self.sheet or self.fault or self.bug)


class CalledOffError(Exception):
    """The case has changed since: its answer is no longer wanted."""


AT_ONCE, SOON, PATIENT = 0, 10, 19
"""Steps of priority below the rest: while one types, what works in the background takes only what
is idle."""

Task = Callable[[Any, Progress], Done]
"""What a lane does with a job."""


def work(jobs: Connection, stop: Event, patience: int, task: Task) -> None:
    """Do jobs until the other end closes."""
    if hasattr(os, "nice"):
        os.nice(patience)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the desk itself ends its lanes
    try:
        while True:
            job = jobs.recv()
            jobs.send(_done(task, job, jobs, stop))
    except (EOFError, OSError):
        return


def answered(job: Job, progress: Progress) -> Done:
    """A case answered."""
    from tankful.casefile.load import check_text
    from tankful.desk.check import CASE_NAME
    from tankful.service import study_case

    loaded = check_text(job.toml, job.folder / CASE_NAME)
    return Done(answer=study_case(loaded, progress, job.known).answer)


def _done(task: Task, job: Any, jobs: Connection, stop: Event) -> Done:
    def progress(done: int, total: int, what: str) -> None:
        if stop.is_set():
            raise CalledOffError
        jobs.send(Told(done, total, what))

    try:
        return task(job, progress)
    except CalledOffError:
        return Done()
    except TankfulError as fault:
        from tankful.desk.check import at_fields

        return Done(fault=at_fields(fault, getattr(job, "toml", "")))
    except Exception:
        return Done(bug=traceback.format_exc())
