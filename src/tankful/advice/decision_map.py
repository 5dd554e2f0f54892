"""The decision map: which option is the cheapest over two inputs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tankful.advice.along import Landscape, costs_over
from tankful.advice.compare import Progress
from tankful.advice.levers import Lever
from tankful.clock import FloatArray, IntArray
from tankful.model.whatif import Axis, DecisionMap


def find_map(
    land: Landscape,
    x: Lever,
    y: Lever,
    x_values: FloatArray,
    y_values: FloatArray,
    progress: Progress = lambda *_: None,
) -> DecisionMap:
    """The cheapest option at every pair of values, and by how much."""
    every = replace(land, few_controls=False)
    costs = costs_over(every, x, y, x_values, y_values, progress).ranked
    order = np.argsort(costs, axis=-1)
    first, second = order[..., 0], order[..., 1]
    margin = _at(costs, second) - _at(costs, first)
    wins = np.bincount(first.ravel(), minlength=costs.shape[-1])
    winners = [int(i) for i in np.argsort(-wins, kind="stable") if wins[i]]
    place = np.zeros(wins.size, dtype=np.int64)
    place[winners] = np.arange(len(winners))
    options = land.fine.options
    wishes = land.fine.home.case.wishes
    return DecisionMap(
        case_name=land.fine.home.case.name,
        currency=wishes.currency,
        tie_margin=wishes.tie_margin,
        x=_axis(x, x_values),
        y=_axis(y, y_values),
        option_ids=tuple(options[i].id for i in winners),
        option_labels=tuple(options[i].label for i in winners),
        winner=place[first],
        runner_up=tuple(tuple(options[i].id for i in row) for row in second),
        margin=margin,
        tie=margin <= wishes.tie_margin,
    )


def _at(costs: FloatArray, option: IntArray) -> FloatArray:
    picked: FloatArray = np.take_along_axis(costs, option[..., None], axis=-1)[..., 0]
    return picked


def _axis(lever: Lever, values: FloatArray) -> Axis:
    return Axis(lever.key, lever.label, lever.unit, lever.today, values, lever.at is None)
