"""Flips: the nearest value of each input at which another option is the cheapest."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tankful.advice.along import Landscape, costs_along
from tankful.advice.compare import Progress
from tankful.advice.levers import Lever
from tankful.advice.option import Option
from tankful.clock import FloatArray
from tankful.model.whatif import Crossing, Flip, Flips

VALUES = 241
"""Values looked at on each side of today's."""


def find_flips(land: Landscape, progress: Progress = lambda *_: None) -> Flips:
    """Each lever on its own, all else as today; nearest flip first, those without at the end."""
    best = land.fine.options[land.best]
    wishes = land.fine.home.case.wishes
    flips = []
    for i, lever in enumerate(land.levers):
        progress(i, len(land.levers), lever.label)
        flips.append(_flip(land, lever))
    progress(len(land.levers), len(land.levers), "done")
    return Flips(
        case_name=land.fine.home.case.name,
        currency=wishes.currency,
        best_id=best.id,
        best_label=best.label,
        tie_margin=wishes.tie_margin,
        flips=tuple(sorted(flips, key=lambda flip: flip.distance)),
    )


def _flip(land: Landscape, lever: Lever) -> Flip:
    home, reach = land.fine.home, lever.reach
    margin = home.case.wishes.tie_margin
    below = np.linspace(reach.low, lever.today, VALUES)
    above = np.linspace(lever.today, reach.high, VALUES)
    costs = costs_along(land, lever, np.concatenate([below, above]), home).ranked
    return flip_of(
        lever,
        below=crossing(land.fine.options, margin, below[::-1], costs[:VALUES][::-1]),
        above=crossing(land.fine.options, margin, above, costs[VALUES:]),
    )


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
