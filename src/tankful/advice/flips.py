"""Flips: the nearest value of each input at which another option is the cheapest."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor, wait
from dataclasses import replace
from threading import Event

import numpy as np

from tankful.advice.along import Costs, Landscape, costs_along
from tankful.advice.anew import NewAnswer, near, new_answer
from tankful.advice.compare import Progress
from tankful.advice.confirm import confirmed
from tankful.advice.levers import Lever
from tankful.advice.option import Option
from tankful.clock import FloatArray
from tankful.model.whatif import Crossing, Flip, Flips

VALUES = 241
"""Values looked at on each side of today's."""

GUIDE_STEP_MIN = 30
"""Step of the years that say where to ask for new answers; what is told comes from those."""

LOOK_S = 0.5
"""Seconds between two looks at whether the answer is still wanted."""


def find_flips(land: Landscape, progress: Progress = lambda *_: None) -> Flips:
    """Each lever on its own, all else as today; nearest flip first, those without at the end."""
    land = replace(land, step_min=max(GUIDE_STEP_MIN, land.step_min))
    best = land.fine.options[land.best]
    wishes = land.fine.home.case.wishes
    flips = [_flip(land, lever) for lever in land.levers if lever.at is not None]
    flips += _simulated(land, [lever for lever in land.levers if lever.at is None], progress)
    return Flips(
        case_name=land.fine.home.case.name,
        currency=wishes.currency,
        best_id=best.id,
        best_label=best.label,
        tie_margin=wishes.tie_margin,
        flips=tuple(sorted(flips, key=lambda flip: flip.distance)),
    )


def _simulated(land: Landscape, levers: Sequence[Lever], progress: Progress) -> list[Flip]:
    """Inputs that are simulated, two at a time: the compiled year lets other threads run."""
    stop = Event()
    with ThreadPoolExecutor(max_workers=2) as pool:
        flips = [pool.submit(_flip, land, lever, stop) for lever in levers]
        try:
            left = set(flips)
            while left:
                progress(len(flips) - len(left), len(flips), "new answers beside each flip")
                left = wait(left, timeout=LOOK_S).not_done
            progress(len(flips), len(flips), "done")
        finally:  # when called off, no more is begun, and no more answers are asked for
            stop.set()
            for flip in flips:
                flip.cancel()
        return [flip.result() for flip in flips]


def _flip(land: Landscape, lever: Lever, stop: Event | None = None) -> Flip:
    home, reach = land.fine.home, lever.reach
    margin = home.case.wishes.tie_margin
    below = np.linspace(reach.low, lever.today, VALUES)
    above = np.linspace(lever.today, reach.high, VALUES)
    costs = costs_along(land, lever, np.concatenate([below, above]), home)
    sides = (
        (below[::-1], costs.part(slice(VALUES - 1, None, -1))),
        (above, costs.part(slice(VALUES, None))),
    )
    if lever.at is None:
        below_at, above_at = (_confirmed(land, lever, *side, stop) for side in sides)
    else:
        below_at, above_at = (
            crossing(land.fine.options, margin, values, side.ranked) for values, side in sides
        )
    return flip_of(lever, below=below_at, above=above_at)


def _confirmed(
    land: Landscape, lever: Lever, values: FloatArray, costs: Costs, stop: Event | None
) -> Crossing | None:
    """A flip of an input that is simulated, as new answers tell it; nothing once stopped."""
    others = costs.ranked.copy()
    others[:, land.best] = np.inf
    behind = costs.ranked[:, land.best] - others.min(axis=1)

    def ask(at: int) -> NewAnswer | None:
        ids = near(land, costs.cheapest[at], costs.usable[at])
        if len(ids) == 1 or (stop is not None and stop.is_set()):
            return None
        return new_answer(land, lever, float(values[at]), ids)

    return confirmed(values, behind, land.fine.home.case.wishes.tie_margin, ask)


def flip_of(lever: Lever, *, below: Crossing | None, above: Crossing | None) -> Flip:
    """Where an input turns the answer on either side of today's value."""
    return Flip(
        key=lever.key,
        label=lever.label,
        unit=lever.unit,
        today=lever.today,
        low=lever.reach.low,
        high=lever.reach.high,
        basis=lever.reach.basis,
        simulated=lever.at is None,
        below=below,
        above=above,
    )


def crossing(
    options: Sequence[Option], margin: float, values: FloatArray, costs: FloatArray
) -> Crossing | None:
    """The first value on the way from ``values[0]`` at which another option than there is the
    cheapest; between two values where their straight lines meet.

    ``costs`` [money] have shape ``(n_values, n_options)``, ``margin`` [money] is that of a tie.
    """
    best = int(np.argmin(costs[0]))
    others = costs.copy()
    others[:, best] = np.inf
    behind = costs[:, best] - others.min(axis=1)
    value = _first_above(values, behind, 0.0)
    if value is None:
        return None
    at = int(np.argmax(behind > 0.0))
    option = options[int(np.argmin(others[at]))]
    return Crossing(value, option.id, option.label, _first_above(values, behind, margin))


def _first_above(values: FloatArray, series: FloatArray, level: float) -> float | None:
    """Where ``series`` first exceeds ``level``, linear between its points."""
    above = series > level
    if not above.any():
        return None
    at = int(np.argmax(above))
    if at == 0 or not np.isfinite(series[at - 1]) or not np.isfinite(series[at]):
        return float(values[at])
    share = (level - series[at - 1]) / (series[at] - series[at - 1])
    return float(values[at - 1] + share * (values[at] - values[at - 1]))
