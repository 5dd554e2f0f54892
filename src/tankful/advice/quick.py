"""A quick answer: every option under its setting of an earlier answer and a few others, on a long
step.

For a face that answers while one types. In the example cases its costs lie within 1 % of the whole
search's and name the same best; where a change moves the best setting it may be further off, so
the whole search must follow.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tankful.advice.option import Option
from tankful.advice.search import SEARCH_STEP_MIN
from tankful.casefile.load import LoadedCase
from tankful.model.system import Control

Settings = Mapping[str, Control]
"""The best control of each option, by its id."""

NEAR_TRIED = 2
"""Controls tried on either side of the known one in the list of those that differ in hours alone:
longer, earlier, later."""
SPREAD_TRIED = 5
"""Controls tried besides, spread over the option's list."""
MOST_TRIED = 3 + 2 * NEAR_TRIED + SPREAD_TRIED
"""Of one option."""


def on_long_step(loaded: LoadedCase) -> LoadedCase:
    """The case on the search's step, unless its own is longer."""
    step_min = max(SEARCH_STEP_MIN, loaded.case.simulation.step_min)
    simulation = loaded.case.simulation.model_copy(update={"step_min": step_min})
    return replace(loaded, case=loaded.case.model_copy(update={"simulation": simulation}))


def narrowed(options: tuple[Option, ...], known: Settings) -> tuple[Option, ...]:
    """The options, each with its known control and a few others.

    Its known control may have been best for fewer people, another sky or another plan. So the same
    is tried with the hottest reserve and topped up at any hour, which keep showers warm, in hours
    near its own, and some of all. A control that the option no longer offers, such as the hours of
    another plan, is not known.
    """
    return tuple(
        replace(option, controls=_controls(option.controls, known.get(option.id)))
        for option in options
    )


def _controls(offered: tuple[Control, ...], known: Control | None) -> tuple[Control, ...]:
    if known is None or known not in offered:
        return _spread(offered, SPREAD_TRIED)
    reserves = [one for one in offered if one == replace(known, catch_up_c=one.catch_up_c)]
    warmest = max(reserves, key=lambda one: one.catch_up_c or 0.0)
    any_hour = [one for one in offered if one == replace(known, catch_up_windows=())]
    hours = [one for one in offered if one == replace(known, windows=one.windows)]
    at = hours.index(known)
    near = hours[max(0, at - NEAR_TRIED) : at + NEAR_TRIED + 1]
    return tuple(dict.fromkeys((known, warmest, *any_hour, *near, *_spread(offered, SPREAD_TRIED))))


def _spread(offered: tuple[Control, ...], most: int) -> tuple[Control, ...]:
    """So many of a list, from the middles of its parts of one length."""
    if len(offered) <= most:
        return offered
    return tuple(offered[(2 * part + 1) * len(offered) // (2 * most)] for part in range(most))
