"""The command line as a person meets it: whole processes, from start to end."""

from __future__ import annotations

import json
import statistics
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from measure import Figure, Process, Section, median_s, run_process

RUNS = 9
COLD_RUNS = 3
TANKFUL = Path(sys.executable).parent / "tankful"


def _processor_s(processes: list[Process]) -> float:
    return statistics.median(process.processor_s for process in processes)


def _options_ranked(case: Path, cache: Path) -> tuple[int, int]:
    """Options of the answer, and controls tried for them; RuntimeError when there are none."""
    with tempfile.TemporaryDirectory() as folder:
        answer = Path(folder) / "answer.json"
        run_process([TANKFUL, "advise", case, "--json", answer], {"TANKFUL_CACHE_DIR": str(cache)})
        options = json.loads(answer.read_text(encoding="utf-8"))["options"]
    if not options:
        raise RuntimeError(f"tankful advise {case} ranked nothing")
    return len(options), sum(option["choice"]["tried"] for option in options)


@contextmanager
def warm_cache(case: Path) -> Iterator[dict[str, str]]:
    """An environment whose cache has met the case."""
    with tempfile.TemporaryDirectory() as folder:
        environment = {"TANKFUL_CACHE_DIR": folder}
        run_process([TANKFUL, "advise", case], environment)
        yield environment


def measure_processes(case: Path) -> Section:
    """Time and memory of ``tankful advise`` warm and cold, and of ``tankful --help``."""
    advise: list[str | Path] = [TANKFUL, "advise", case]
    bare, shown, warm, cold = [], [], [], []
    with tempfile.TemporaryDirectory() as folder:
        for run in range(COLD_RUNS):
            kept = Path(folder) / str(run)
            cold.append(run_process(advise, {"TANKFUL_CACHE_DIR": str(kept)}))
        options, controls = _options_ranked(case, kept)
        environment = {"TANKFUL_CACHE_DIR": str(kept)}
        for _ in range(RUNS):
            bare.append(run_process([sys.executable, "-c", "pass"], {}))
            shown.append(run_process([TANKFUL, "--help"], environment))
            warm.append(run_process(advise, environment))
    return Section(
        "The command line, process start to end",
        _figures(bare, shown, warm, cold),
        [
            f"`{case.name}`: {options} options, {controls:,} controls tried, each a simulated and "
            "settled year. Cold: nothing in the cache, so the kernel is compiled and the weather "
            f"made. Medians of {RUNS} ({COLD_RUNS} cold).",
            _import_times(),
        ],
    )


def _figures(
    bare: list[Process], shown: list[Process], warm: list[Process], cold: list[Process]
) -> list[Figure]:
    bare_s, shown_s, warm_s, cold_s = map(median_s, (bare, shown, warm, cold))
    memory_mb = max(process.memory_mb for process in (*warm, *cold))
    bare_mb = statistics.median(process.memory_mb for process in bare)
    python = f"bare Python, {bare_s * 1000:.0f} ms"
    fastest_s, used_s = min(process.seconds for process in warm), _processor_s(warm)
    return [
        Figure("tankful advise, warm", warm_s, "s", python, warm_s / bare_s, 3.0),
        Figure(f"fastest of {len(warm)}", fastest_s, "s", "the median", fastest_s / warm_s),
        Figure("processor time of it, all cores", used_s, "s", "start to end", used_s / warm_s),
        Figure("tankful advise, cold", cold_s, "s", "warm", cold_s / warm_s),
        Figure("tankful --help", shown_s * 1000.0, "ms", python, shown_s / bare_s, 500.0),
        Figure(
            "most memory of one advise",
            memory_mb,
            "MB",
            f"bare Python, {bare_mb:.0f} MB",
            memory_mb / bare_mb,
            500.0,
        ),
    ]


def _import_times() -> str:
    """What the imports cost that every advise needs."""
    parts = []
    for module in ("numpy", "numba", "pydantic", "rich.console"):
        took = [run_process([sys.executable, "-c", f"import {module}"], {}) for _ in range(3)]
        parts.append(f"{module} {median_s(took) * 1000:.0f} ms")
    return f"Importing, each in a process of its own: {', '.join(parts)}."
