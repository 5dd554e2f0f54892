"""Flips and futures from start to end, and a map of prices on a landscape that stands."""

from __future__ import annotations

import statistics
import time
from pathlib import Path

import numpy as np

from measure import Figure, Process, Section, median_s, run_process
from processes import TANKFUL, warm_cache

RUNS = 3
MAP_CELLS = 60
FLIPS_S, FUTURES_S, MAP_S = 10.0, 20.0, 1.0
MEMORY_MB = 500.0


def measure_what_if(case: Path) -> Section:
    """Whole processes with a warm cache; the map alone, as a desk would draw it."""
    with warm_cache(case) as environment:
        runs = {
            verb: [run_process([TANKFUL, verb, case], environment) for _ in range(RUNS)]
            for verb in ("advise", "flips", "futures")
        }
        memory_mb = max(process.memory_mb for took in runs.values() for process in took)
        advise_s = median_s(runs["advise"])
        map_s, landscape_s = _map_s(case)
    return Section(
        "What would change the answer",
        [
            _process("tankful flips", runs["flips"], advise_s, FLIPS_S),
            _process("tankful futures, 200 draws", runs["futures"], advise_s, FUTURES_S),
            Figure(
                "a map of prices, 60 x 60", map_s, "s", "its landscape", map_s / landscape_s, MAP_S
            ),
            Figure("most memory of one of them", memory_mb, "MB", most=MEMORY_MB),
        ],
        [f"Medians of {RUNS}. The landscape is every option's settings at other prices."],
    )


def _process(what: str, took: list[Process], advise_s: float, most_s: float) -> Figure:
    seconds = median_s(took)
    return Figure(what, seconds, "s", "tankful advise", seconds / advise_s, most_s)


def _map_s(case: Path) -> tuple[float, float]:
    """Seconds of one map, and of the landscape it is drawn on."""
    from tankful import service
    from tankful.advice.along import landscape_of
    from tankful.advice.compare import Comparison
    from tankful.advice.decision_map import find_map
    from tankful.advice.options import build_options

    home = service.load_home(case)
    start = time.perf_counter()
    land = landscape_of(Comparison(home), build_options(home)[0])
    landscape_s = time.perf_counter() - start
    levers = {lever.key: lever for lever in land.levers}
    x, y = levers["feed-in"], levers["price:heat_pump"]
    xs, ys = (np.linspace(v.reach.low, v.reach.high, MAP_CELLS) for v in (x, y))
    took = []
    for _ in range(RUNS):
        start = time.perf_counter()
        find_map(land, x, y, xs, ys)
        took.append(time.perf_counter() - start)
    return statistics.median(took), landscape_s
