"""The single run, mapped over homes in two processes."""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from multiprocessing.synchronize import Event
from typing import TypeVar

from tankful.advice.compare import Progress
from tankful.errors import TankfulError

Job = TypeVar("Job")
Result = TypeVar("Result")

PROCESSES = 2
FEW = 2
"""So few jobs are done here: processes of their own take seconds to start."""


def processes_for(jobs: int) -> int:
    """How many processes so many jobs deserve; one is this process itself."""
    return 1 if jobs <= FEW else min(PROCESSES, os.cpu_count() or 1)


def mapped(
    run: Callable[[Job], Result],
    jobs: Sequence[Job],
    *,
    first: Callable[[Job], object],
    name: Callable[[Job], str],
    progress: Progress,
    processes: int,
) -> list[Result]:
    """``run`` of every job, in the order of the jobs; ``run`` must be a module's own function.

    The first job of every kind that ``first`` tells apart is done before the others: it fills
    the cache that they read. A TankfulError stops what has not begun and is raised again.
    """
    kinds: set[object] = set()
    early = []
    for i, job in enumerate(jobs):
        if first(job) not in kinds:
            kinds.add(first(job))
            early.append(i)
    late = sorted(set(range(len(jobs))) - set(early))
    done: dict[int, Result] = {}

    def tell(i: int) -> None:
        progress(len(done), len(jobs), name(jobs[i]))

    if processes == 1:
        for i in (*early, *late):
            tell(i)
            done[i] = run(jobs[i])
    else:
        progress(0, len(jobs), name(jobs[0]))
        _in_processes(run, jobs, (early, late), processes, done, tell)
    progress(len(jobs), len(jobs), "done")
    return [done[i] for i in range(len(jobs))]


def _in_processes(
    run: Callable[[Job], Result],
    jobs: Sequence[Job],
    rounds: tuple[list[int], list[int]],
    processes: int,
    done: dict[int, Result],
    tell: Callable[[int], None],
) -> None:
    context = multiprocessing.get_context("spawn")  # threads and compiled code do not fork well
    stop = context.Event()
    pool = ProcessPoolExecutor(processes, context, _begin_worker, (stop,))
    try:
        for indexes in rounds:
            waiting: dict[Future[Result], int] = {pool.submit(run, jobs[i]): i for i in indexes}
            while waiting:
                finished, _ = wait(waiting, return_when=FIRST_COMPLETED)
                for future in finished:
                    i = waiting.pop(future)
                    done[i] = future.result()
                    tell(i)
    except BrokenProcessPool:
        message = "A working process was ended from outside, perhaps for want of memory."
        raise TankfulError(message) from None
    finally:
        stop.set()
        pool.shutdown(cancel_futures=True)


class CalledOffError(Exception):
    """The parent has ended the work."""


_stops: list[Event] = []
"""In a working process, what its parent sets to end the work."""


def _begin_worker(stop: Event) -> None:
    """Ctrl-C reaches every process of a terminal; the parent alone ends the work."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _stops.append(stop)


def while_wanted(done: int, total: int, what: str) -> None:
    """Progress of a single run that ends it soon after the parent has ended the work."""
    if any(stop.is_set() for stop in _stops):
        raise CalledOffError
