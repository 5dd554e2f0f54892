"""At what price of what the best option buys another one comes first, without a new search."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tankful.advice.flips import VALUES, crossing, flip_of
from tankful.advice.levers import levers_of
from tankful.advice.life import bought_present_cost
from tankful.advice.option import Option
from tankful.model.answer import OptionResult
from tankful.model.home import Home
from tankful.model.whatif import Flip


def price_turn(
    home: Home, options: Sequence[Option], results: Sequence[OptionResult]
) -> Flip | None:
    """How dear the main thing that the best option buys may become before another is the cheapest.

    Whatever else buys the same gets dearer with it. ``options`` are those of ``results``, whose
    order is the answer's. Exact, as prices of equipment bear on no setting; ``None`` where the
    best buys nothing, or where no price within reason turns the answer.
    """
    by_id = {option.id: option for option in options}
    best = by_id[results[0].id]
    key = f"price:{main_part(home, best)}"
    lever = next((lever for lever in levers_of(home, options) if lever.key == key), None)
    if lever is None or lever.at is None:
        return None
    dearest = lever.at(home, lever.reach.high)
    more = [
        bought_present_cost(dearest, by_id[result.id], 0.0)
        - bought_present_cost(home, by_id[result.id], 0.0)
        for result in results
    ]
    prices = np.linspace(lever.today, lever.reach.high, VALUES)
    share = np.linspace(0.0, 1.0, VALUES)[:, None]
    costs = np.array([result.net_present_cost for result in results]) + share * np.array(more)
    some_usable = results[0].choice.usable
    behind = [some_usable and not result.choice.usable for result in results]
    above = crossing(
        [by_id[result.id] for result in results],
        home.case.wishes.tie_margin,
        prices,
        np.where(behind, np.inf, costs),
    )
    return flip_of(lever, below=None, above=above) if above is not None else None


def main_part(home: Home, option: Option) -> str | None:
    """The heater that an option buys, or the dearest of what it adds to today's: an id of the
    home's equipment; ``None`` where it buys nothing."""
    if not option.of_today:
        return option.family
    return max(option.parts, key=lambda part: home.equipment[part].installed_price, default=None)
