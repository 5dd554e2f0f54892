"""What runs in a process of its own: it answers one case after another and stays warm."""

from __future__ import annotations

import os
import signal
import traceback
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.synchronize import Event
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from tankful.errors import TankfulError

if TYPE_CHECKING:
    from tankful.advice.compare import Progress
    from tankful.advice.quick import Settings
    from tankful.casefile.load import LoadedCase
    from tankful.model.answer import Answer


@dataclass(frozen=True)
class Job:
    """A case to answer: its file's text and folder; quick with the settings ``known``.

    ``report`` asks for the household's report in its place, as ``pdf`` or ``html``, with the
    ``branding`` file.
    """

    toml: str
    folder: Path
    known: Settings | None = None
    report: str = ""
    branding: Path | None = None


@dataclass(frozen=True)
class Done:
    """An answer or a report, or the fault that stands in its way; none of them when it was
    called off."""

    answer: Answer | None = None
    report: bytes = b""
    fault: TankfulError | None = None
    bug: str = ""

    @property
    def called_off(self) -> bool:
        return not (self.answer or self.report or self.fault or self.bug)


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
        if job.report:
            return Done(report=_report(loaded, job, progress))
        return Done(answer=study_case(loaded, progress, job.known).answer)
    except CalledOffError:
        return Done()
    except TankfulError as fault:
        return Done(fault=fault)
    except Exception:
        return Done(bug=traceback.format_exc())


def _report(loaded: LoadedCase, job: Job, progress: Progress) -> bytes:
    """The report as a file's bytes."""
    from tankful import reporting
    from tankful.service import study_case

    brand = reporting.read_branding(job.branding)  # its faults are told before the long work
    found = study_case(loaded, progress)
    with TemporaryDirectory() as folder:
        file = Path(folder) / "report"
        pdf, html = (file if job.report == kind else None for kind in ("pdf", "html"))
        reporting.write_report(found, pdf=pdf, html=html, branding=brand, quick=True)
        return file.read_bytes()
