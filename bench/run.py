"""Measure speed, memory and accuracy, and write them to RESULTS.md beside this file.

    python bench/run.py [CASE]

Ends with 1 when any subject could not be measured; a missed target is written down but
does not end it so, since a busy machine misses targets too.
"""

from __future__ import annotations

import os
import platform
import subprocess
import sys
import traceback
from collections.abc import Callable
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path

from measure import RUNS, Section
from processes import measure_processes

HERE = Path(__file__).parent
ROOT = HERE.parent
RESULTS = HERE / "RESULTS.md"
SAMPLE = ROOT / "examples" / "01-sample-home.toml"


def cpu_model() -> str:
    """Name of the processor, where the system tells."""
    info = Path("/proc/cpuinfo")
    if info.exists():
        for line in info.read_text(encoding="utf-8").splitlines():
            if line.startswith("model name"):
                return line.partition(":")[2].strip()
    return platform.processor() or platform.machine()


def commit() -> str:
    """The measured commit, and whether the tree differs from it."""

    def git(*arguments: str) -> str:
        command = ["git", "-C", str(ROOT), *arguments]
        return subprocess.run(command, check=True, capture_output=True, text=True).stdout.strip()

    try:
        changed = git("status", "--porcelain", "--", "src", "bench")
        lines = [line for line in changed.splitlines() if not line.endswith("RESULTS.md")]
        return git("rev-parse", "--short=12", "HEAD") + (" with changes" if lines else "")
    except (OSError, subprocess.CalledProcessError):
        return "not in a repository"


def head() -> list[str]:
    """Title, machine and versions."""
    busy = os.getloadavg()[0]
    return [
        "# Measured speed",
        "Written by `make bench`; do not edit. Every figure stands beside a reference where "
        f"there is one. Loops are medians of {RUNS} calls, taken in turn with their reference.",
        "\n".join(
            [
                f"- machine: {cpu_model()}, {os.cpu_count()} cores, {platform.machine()}, "
                f"{platform.system()}; load average at the start {busy:.1f}",
                f"- Python {platform.python_version()}, numpy {version('numpy')}, "
                f"numba {version('numba')}",
                f"- commit {commit()}, {datetime.now(UTC):%Y-%m-%d}",
            ]
        ),
    ]


def measured(title: str, measure: Callable[[Path], Section], case: Path) -> tuple[Section, bool]:
    """The section, or one that says why there is none; whether it could be measured."""
    print(f"measuring: {title}", flush=True)
    try:
        return measure(case), True
    except Exception as fault:  # whatever stops one subject must not hide the others
        traceback.print_exc()
        return Section(title, [], [f"**Not measured.** {type(fault).__name__}: {fault}"]), False


def years(case: Path) -> Section:
    """The loops, on the home of ``case``."""
    from tankful import service
    from years import measure_years

    return measure_years(service.load_home(case))


def fineness(case: Path) -> Section:
    """The step, on a tank of its own."""
    from fineness import measure_fineness

    return measure_fineness()


def bills(case: Path) -> Section:
    """Settlements, on the home of ``case``."""
    from bills import measure_bills
    from tankful import service

    return measure_bills(service.load_home(case))


def what_if(case: Path) -> Section:
    """Flips, futures and the map, on the home of ``case``."""
    from what_if import measure_what_if

    return measure_what_if(case)


def desk(case: Path) -> Section:
    """The adviser's desk, on ``case``."""
    from desk import measure_desk

    return measure_desk(case)


def office(case: Path) -> Section:
    """The desk, whatever the case."""
    from desk_office import measure_office

    return measure_office()


SUBJECTS: dict[str, Callable[[Path], Section]] = {
    "The command line, process start to end": measure_processes,
    "The adviser's desk": desk,
    "What would change the answer": what_if,
    "A year of one option": years,
    "Accuracy against cost": fineness,
    "Settlement of a simulated year": bills,
    "An office at the desk": office,
}
"""Processes come first and libraries are imported after them: Linux counts what this process
holds at the time into the memory of those it starts."""


def main(arguments: list[str]) -> int:
    case = Path(arguments[0]) if arguments else SAMPLE
    parts = head()
    failed, missed = [], []
    for title, measure in SUBJECTS.items():
        section, done = measured(title, measure, case)
        parts.append(section.text())
        failed += [] if done else [title]
        missed += [figure.row() for figure in section.figures if figure.missed]
    RESULTS.write_text("\n\n".join(parts) + "\n", encoding="utf-8")
    print(f"written: {RESULTS.relative_to(ROOT)}")
    for row in missed:
        print(f"TARGET MISSED {row}")
    for title in failed:
        print(f"NOT MEASURED: {title}", file=sys.stderr)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
