"""How things are timed, and how a figure is written beside its reference and its target."""

from __future__ import annotations

import os
import statistics
import subprocess
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

RUNS = 15


@dataclass(frozen=True)
class Figure:
    """One measured value. ``ratio`` is to ``reference``; ``most`` is the target, if any."""

    what: str
    value: float
    unit: str
    reference: str = ""
    ratio: float | None = None
    most: float | None = None
    most_ratio: float | None = None

    @property
    def missed(self) -> bool:
        """Whether a target was set and not met."""
        slow = self.most is not None and not self.value <= self.most
        return slow or (self.most_ratio is not None and not (self.ratio or 0) <= self.most_ratio)

    def row(self) -> str:
        """The figure as a row of the results."""
        targets = [f"{self.most:g} {self.unit}"] if self.most is not None else []
        targets += [f"{self.most_ratio:g} x"] if self.most_ratio is not None else []
        verdict = "" if not targets else "**missed**" if self.missed else "met"
        ratio = "" if self.ratio is None else f"{self.ratio:.3g} x"
        value = f"{self.value:.3g}" if abs(self.value) < 1000 else f"{self.value:,.0f}"
        cells = (self.what, f"{value} {self.unit}", ratio, self.reference, ", ".join(targets))
        return f"| {' | '.join(cells)} | {verdict} |"


@dataclass(frozen=True)
class Section:
    """Figures of one subject, and what to know about them."""

    title: str
    figures: Sequence[Figure]
    notes: Sequence[str] = ()

    def text(self) -> str:
        """The section as Markdown."""
        head = [
            "| what | measured | ratio | to | at most | target |",
            "|---|---:|---:|---|---|---|",
        ]
        table = [*head, *(figure.row() for figure in self.figures)]
        parts = [f"## {self.title}", "\n".join(table) if self.figures else "", *self.notes]
        return "\n\n".join(part for part in parts if part)


def interleaved(
    functions: Mapping[str, Callable[[], object]], runs: int = RUNS
) -> dict[str, list[float]]:
    """Seconds of ``runs`` calls of each function, taken in turn, after one call unmeasured.

    In turn, so that a machine that slows down for a while slows all of them.
    """
    for call in functions.values():
        call()
    seconds: dict[str, list[float]] = {name: [] for name in functions}
    for _ in range(runs):
        for name, call in functions.items():
            start = time.perf_counter()
            call()
            seconds[name].append(time.perf_counter() - start)
    return seconds


def median_ms(seconds: Sequence[float]) -> float:
    """Median in milliseconds."""
    return statistics.median(seconds) * 1000.0


def median_ratio(seconds: Sequence[float], reference: Sequence[float]) -> float:
    """Median of the ratios of calls made one after the other."""
    return statistics.median(a / b for a, b in zip(seconds, reference, strict=True))


@dataclass(frozen=True)
class Process:
    """A finished process: seconds from start to end, seconds of processor time on all cores
    together, and the most memory it held [MB]."""

    seconds: float
    processor_s: float
    memory_mb: float


def run_process(command: Sequence[str | Path], environment: Mapping[str, str]) -> Process:
    """Run a command to its end, output discarded. CalledProcessError when it fails."""
    start = time.perf_counter()
    child = subprocess.Popen(
        [str(part) for part in command],
        env={**os.environ, **environment},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    )
    assert child.stderr is not None
    said = child.stderr.read()
    _, status, used = os.wait4(child.pid, 0)
    seconds = time.perf_counter() - start
    child.returncode = os.waitstatus_to_exitcode(status)
    child.stderr.close()
    if child.returncode:
        print(said.decode(errors="replace"))
        raise subprocess.CalledProcessError(child.returncode, child.args)
    return Process(seconds, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024.0)


def median_s(processes: Sequence[Process]) -> float:
    """Median of seconds from start to end."""
    return statistics.median(process.seconds for process in processes)
