"""What would change the answer: flips, the decision map, futures."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from tankful.advice.compare import Comparison, Progress
from tankful.advice.lever_words import flip_sentences, future_sentences
from tankful.advice.option import Option
from tankful.casefile.load import LoadedCase, load_case
from tankful.casefile.resolve import resolve
from tankful.clock import FloatArray
from tankful.errors import CaseError, Fault
from tankful.model.answer import Answer
from tankful.model.home import Home
from tankful.model.whatif import DecisionMap, Flips, Futures
from tankful.service.homes import fitting_again, heater_today_w, load_home, silent, weigh

if TYPE_CHECKING:
    from tankful.advice.along import Landscape
    from tankful.advice.levers import Lever

LEAST_DRAWS, MOST_DRAWS = 20, 5000
LEAST_CELLS, MOST_CELLS = 2, 400


def flips(path: Path, progress: Progress = silent) -> Flips:
    """How far each input may go before another option is the cheapest."""
    from tankful.advice.flips import find_flips

    return find_flips(ground(load_case(path), progress), progress)


def decision_map(
    path: Path,
    x: str,
    y: str,
    *,
    cells: int = 60,
    x_range: tuple[float, float] | None = None,
    y_range: tuple[float, float] | None = None,
    progress: Progress = silent,
) -> DecisionMap:
    """Which option is cheapest over two inputs, named as in ``inputs``, with ``cells`` values
    of each, over their reach unless ranges are given. Raises CaseError with every fault."""
    land = ground(load_case(path), progress)
    return map_on(land, x, y, cells=cells, x_range=x_range, y_range=y_range, progress=progress)


def map_on(
    land: Landscape,
    x: str,
    y: str,
    *,
    cells: int = 60,
    x_range: tuple[float, float] | None = None,
    y_range: tuple[float, float] | None = None,
    progress: Progress = silent,
) -> DecisionMap:
    """``decision_map`` on options that are at hand."""
    from tankful.advice.decision_map import find_map

    faults = [
        *_lever_faults(land, "--x", x, x_range),
        *_lever_faults(land, "--y", y, y_range),
        *([Fault("--y", "is the same as --x", y, mend="choose another input")] if x == y else []),
        *_count_faults("--cells", cells, LEAST_CELLS, MOST_CELLS),
    ]
    if len(land.fine.options) < 2:
        faults.append(Fault("", "only one option fits this home", mend="loosen its constraints"))
    if faults:
        raise CaseError("The map cannot be drawn.", faults)
    levers = {lever.key: lever for lever in land.levers}

    def values(lever: Lever, given: tuple[float, float] | None) -> FloatArray:
        low, high = given or (lever.reach.low, lever.reach.high)
        return _with_today(np.linspace(low, high, cells), lever.today)

    x_values, y_values = values(levers[x], x_range), values(levers[y], y_range)
    return find_map(land, levers[x], levers[y], x_values, y_values, progress)


def _with_today(values: FloatArray, today: float) -> FloatArray:
    """Values from low to high, of which the one nearest to today's makes room for it; the ends
    stay."""
    if values.size > 2 and values[0] < today < values[-1]:
        nearest = int(np.argmin(np.abs(values[1:-1] - today))) + 1
        values[nearest] = today
    return values


def futures(path: Path, *, draws: int = 200, seed: int = 1, progress: Progress = silent) -> Futures:
    """Every option under ``draws`` draws of what is uncertain. Raises CaseError."""
    from tankful.advice.futures import find_futures

    faults = _count_faults("--draws", draws, LEAST_DRAWS, MOST_DRAWS)
    if seed < 0:
        faults.append(Fault("--seed", "is below zero", f"{seed}", mend="give 0 or more"))
    if faults:
        raise CaseError("The futures cannot be drawn.", faults)
    land = ground(load_case(path), progress)
    return find_futures(land, draws=draws, seed=seed, progress=progress)


def inputs(path: Path) -> tuple[tuple[str, str], ...]:
    """Names and meaning of the inputs that a map can have for this home."""
    return inputs_at(load_home(path))


def inputs_at(home: Home) -> tuple[tuple[str, str], ...]:
    """The same for a home at hand."""
    from tankful.advice.levers import levers_of
    from tankful.advice.money_levers import with_feed_in
    from tankful.advice.options import build_options

    home = with_feed_in(home)
    return tuple((lever.key, lever.label) for lever in levers_of(home, build_options(home)[0]))


def ground(loaded: LoadedCase, progress: Progress = silent) -> Landscape:
    """The options of a case, ready for flips, maps and futures."""
    progress(0, 1, "reading the case and the weather")
    home = resolve(loaded, heater_series=heater_today_w)
    weighed = weigh(home, progress, other_sizes=False)
    return landscape(weighed.comparison, weighed.fitting, progress)


def ground_again(loaded: LoadedCase, answer: Answer, progress: Progress = silent) -> Landscape:
    """The same for an answer that is at hand already."""
    progress(0, 1, "reading the case and the weather")
    home = resolve(loaded, heater_series=heater_today_w)
    return landscape(Comparison(home), fitting_again(home, answer), progress)


def landscape(
    comparison: Comparison, options: tuple[Option, ...], progress: Progress = silent
) -> Landscape:
    """The options of an answer, ready to be costed at other values of the inputs."""
    from tankful.advice.along import landscape_of

    progress(0, 1, "the best settings at other prices")
    return landscape_of(comparison, options)


def _lever_faults(
    land: Landscape, field: str, key: str, span: tuple[float, float] | None
) -> list[Fault]:
    lever = next((lever for lever in land.levers if lever.key == key), None)
    if lever is None:
        allowed = ", ".join(lever.key for lever in land.levers)
        return [Fault(field, "no such input for this home", key, allowed, "choose one of them")]
    if span is None:
        return []
    low, high = span
    reach = lever.reach
    if not reach.low <= low < high <= reach.high:
        return [
            Fault(
                f"{field}-range",
                "must rise and stay within reason",
                f"{low:g} to {high:g} {lever.unit}",
                f"{reach.low:g} to {reach.high:g}",
                "give the lower end first",
            )
        ]
    return []


def _count_faults(field: str, count: int, least: int, most: int) -> list[Fault]:
    if least <= count <= most:
        return []
    return [
        Fault(field, "out of range", f"{count}", f"{least} to {most}", "choose within the range")
    ]


def flips_as_json(found: Flips) -> dict[str, Any]:
    """Flips as plain data, with their sentences."""
    record = asdict(found)
    for row, flip in zip(record["flips"], found.flips, strict=True):
        row["sentences"] = list(flip_sentences(flip, found.currency))
    return record


def futures_as_json(found: Futures) -> dict[str, Any]:
    """Futures as plain data, with their sentences."""
    return {**asdict(found), "sentences": list(future_sentences(found))}


def map_as_json(found: DecisionMap) -> dict[str, Any]:
    """The map as plain data: rows of ``winner`` follow ``y``'s values, their items ``x``'s."""
    record = asdict(found)
    for axis in ("x", "y"):
        record[axis]["values"] = record[axis]["values"].tolist()
    for name in ("winner", "margin", "tie"):
        record[name] = record[name].tolist()
    return record
