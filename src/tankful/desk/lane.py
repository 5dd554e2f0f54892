"""What runs in a process of its own: it answers one case after another and stays warm."""

from __future__ import annotations

import os
import signal
import traceback
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.synchronize import Event
from pathlib import Path
from typing import TYPE_CHECKING

from tankful.errors import TankfulError

if TYPE_CHECKING:
    from tankful.advice.quick import Settings
    from tankful.model.answer import Answer


@dataclass(frozen=True)
class Job:
    """A case to answer: its file's text and folder; quick with the settings ``known``."""

    toml: str
    folder: Path
    known: Settings | None = None


@dataclass(frozen=True)
class Done:
    """An answer, or the fault that stands in its way; neither when it was called off."""

    answer: Answer | None = None
    fault: TankfulError | None = None
    bug: str = ""

    @property
    def called_off(self) -> bool:
        return self.answer is None and self.fault is None and not self.bug


class CalledOffError(Exception):
    """The case has changed since: its answer is no longer wanted."""


PATIENCE = 10
"""Steps of priority below the rest."""


def work(jobs: Connection, stop: Event, patient: bool) -> None:
    """Answer jobs until the other end closes."""
    if patient and hasattr(os, "nice"):
        os.nice(PATIENCE)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the desk itself ends its lanes
    try:
        while True:
            job: Job = jobs.recv()
            jobs.send(_answered(job, stop))
    except (EOFError, OSError):
        return


def _answered(job: Job, stop: Event) -> Done:
    from tankful.casefile.load import check_text
    from tankful.desk.check import CASE_NAME
    from tankful.service import study_case

    def progress(_done: int, _total: int, _what: str) -> None:
        if stop.is_set():
            raise CalledOffError

    try:
        loaded = check_text(job.toml, job.folder / CASE_NAME)
        return Done(answer=study_case(loaded, progress, job.known).answer)
    except CalledOffError:
        return Done()
    except TankfulError as fault:
        return Done(fault=fault)
    except Exception:
        return Done(bug=traceback.format_exc())
