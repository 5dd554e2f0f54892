"""Costs of every option along one input or over two."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tankful.advice.circumstances import TODAY, Circumstances
from tankful.advice.compare import Comparison, Progress
from tankful.advice.levers import Lever, levers_of
from tankful.advice.money_levers import with_feed_in
from tankful.advice.option import Option
from tankful.advice.outlook import Outlook, outlook_of
from tankful.advice.search import search_step_min
from tankful.clock import BoolArray, FloatArray
from tankful.model.home import Home

MONEY_NODES = 17
"""Values of a bent input of money that are worked out; straight lines between them."""

PHYSICAL_NODES = 9
"""The same for an input that needs the year simulated again."""

SEARCHED = ("feed-in", "feed-in:after", "usage", "off-peak", "gas")
"""Prices that may change which control of an option is the cheapest."""

SEARCH_VALUES = 5
"""Values of each of them at which every option's best control is looked up."""


@dataclass(frozen=True, eq=False)
class Costs:
    """Net present cost of every option [money] and whether showers stay warm enough, shapes
    ``(..., n_options)``."""

    cheapest: FloatArray
    usable: BoolArray

    @property
    def ranked(self) -> FloatArray:
        """Costs, infinite for an option that stands behind the others."""
        none = ~self.usable.any(axis=-1, keepdims=True)
        return np.where(self.usable | none, self.cheapest, np.inf)

    def part(self, rows: slice) -> Costs:
        """Some of its rows, in their order."""
        return Costs(self.cheapest[rows], self.usable[rows])


@dataclass(frozen=True, eq=False)
class Landscape:
    """The options of one home, ready to be costed at other values of its levers.

    ``fine`` stands on the answer's step; ``rough`` on the search's, corrected to agree today.
    Where prices stay while circumstances change, ``few_controls`` of each option will do.
    """

    fine: Outlook
    comparison: Comparison
    levers: tuple[Lever, ...]
    step_min: int
    few_controls: bool = True

    @cached_property
    def rough(self) -> Outlook:
        outlook = self.fine.few() if self.few_controls else self.fine
        return outlook.on_step(self.step_min)

    @cached_property
    def best(self) -> int:
        """Index of the option that is the cheapest today."""
        return int(np.argmin(_now(self.fine).ranked))

    def outlook(self, home: Home, how: Circumstances) -> Outlook:
        """Every option under the prices of ``home`` in some circumstances."""
        if how == TODAY:
            return self.fine.under(home)
        return self.rough.under(home).simulated(how, self.step_min)


def landscape_of(comparison: Comparison, options: Sequence[Option]) -> Landscape:
    """Search every option's controls today and at other prices."""
    home = with_feed_in(comparison.home)
    if home is not comparison.home:
        comparison = Comparison(home)
    levers = levers_of(home, options)
    homes = [
        lever.at(home, float(value))
        for lever in levers
        if lever.key in SEARCHED and lever.at is not None
        for value in np.linspace(lever.reach.low, lever.reach.high, SEARCH_VALUES)
    ]
    fine = outlook_of(comparison, options, homes)
    return Landscape(fine, comparison, levers, search_step_min(home.clock.step_min))


def costs_along(
    land: Landscape, lever: Lever, values: FloatArray, home: Home, how: Circumstances = TODAY
) -> Costs:
    """Costs at each of ``values`` of the lever, ``(n_values, n_options)``, all else as in
    ``home`` and ``how``."""
    if lever.at is None:
        nodes = nodes_of(lever, values)
        found = [_now(land.outlook(*lever.turn(home, how, float(v)))) for v in nodes]
        return interpolated(values, nodes, found)
    outlook = land.outlook(home, how)
    if lever.linear:
        cheapest = outlook.cheapest(_lines(outlook, lever.at, values))
        return Costs(cheapest, np.broadcast_to(outlook.usable, cheapest.shape))
    nodes = nodes_of(lever, values)
    found = [_now(outlook.under(lever.at(outlook.home, float(v)))) for v in nodes]
    return interpolated(values, nodes, found)


def costs_over(
    land: Landscape,
    x: Lever,
    y: Lever,
    xs: FloatArray,
    ys: FloatArray,
    progress: Progress = lambda *_: None,
) -> Costs:
    """Costs over two levers, ``(n_y, n_x, n_options)``: along the easier one at nodes of the
    harder one."""
    if _hardness(x) > _hardness(y):
        turned = costs_over(land, y, x, ys, xs, progress)
        return Costs(turned.cheapest.swapaxes(0, 1), turned.usable.swapaxes(0, 1))
    home = land.fine.home
    nodes = nodes_of(y, ys)
    found = []
    for done, value in enumerate(map(float, nodes)):
        progress(done, nodes.size, y.label)
        found.append(costs_along(land, x, xs, *y.turn(home, TODAY, value)))
    return interpolated(ys, nodes, found)


def nodes_of(lever: Lever, values: FloatArray) -> FloatArray:
    """Values at which costs are worked out: evenly spaced over ``values``, and today's."""
    count = MONEY_NODES if lever.at is not None else PHYSICAL_NODES
    even = np.linspace(values.min(), values.max(), count)
    inside = values.min() < lever.today < values.max()
    return np.unique([*even, lever.today]) if inside else even


def _hardness(lever: Lever) -> int:
    return 2 if lever.at is None else int(not lever.linear)


def interpolated(values: FloatArray, nodes: FloatArray, found: list[Costs]) -> Costs:
    """Straight lines between nodes; comfort is that of the nearest node. ``found`` holds
    arrays of one shape, which follows the values' in the result."""
    cheapest = np.stack([costs.cheapest for costs in found])
    usable = np.stack([costs.usable for costs in found])
    place = np.interp(values, nodes, np.arange(nodes.size))
    left = np.minimum(place.astype(np.int64), nodes.size - 2)
    weight = (place - left).reshape(-1, *[1] * (cheapest.ndim - 1))
    between = (1.0 - weight) * cheapest[left] + weight * cheapest[left + 1]
    return Costs(between, usable[np.rint(place).astype(np.int64)])


def _now(outlook: Outlook) -> Costs:
    return Costs(outlook.cheapest(outlook.trial_costs()), outlook.usable)


def _lines(outlook: Outlook, at: Callable[[Home, float], Home], values: FloatArray) -> FloatArray:
    """Trial costs along a linear lever, ``(n_values, n_trials)``."""
    low, high = float(values.min()), float(values.max())
    at_low, at_high = (outlook.under(at(outlook.home, v)).trial_costs() for v in (low, high))
    share = ((values - low) / (high - low))[:, None]
    line: FloatArray = at_low + share * (at_high - at_low)
    return line
