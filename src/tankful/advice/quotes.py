"""Several quotes of one kind: each becomes options of its own, to be ranked with all others."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from tankful.advice.option import Option, like_for_like
from tankful.model.answer import OptionResult
from tankful.model.case import ONE_OFF, SOLAR_THERMAL, Quote
from tankful.model.home import Equipment, Home
from tankful.model.kinds import FAMILY_WORDS
from tankful.model.quotes import QuotesCompared, QuoteStanding

PROPERTIES = {
    "installed_price": "price",
    "includes_wiring": "wiring",
    "certificates": "certificates",
    "rebate": "rebate",
    "tank_l": "litres",
    "cop": "efficiency (COP)",
    "heat_kw": "heating power",
    "grade": "class",
    "variable_speed": "speed",
    "backup_element": "element",
    "element_kw": "element power",
    "two_elements": "number of elements",
    "collector_m2": "collector area",
    "collector_eta0": "efficiency of the collectors",
    "circulation": "circulation",
    "frost_protection": "frost guard",
    "life_years": "life",
    "maintenance_per_year": "upkeep",
}
"""What may set quotes of a kind apart, in words."""


def with_every_quote(home: Home, build: Callable[[Home], list[Option]]) -> list[Option]:
    """The options that ``build`` finds with the first quote of each kind, and those with each of
    the others in its place; named by their quotes.

    A second heat pump makes ``heat-pump-timed-2`` of ``heat-pump-timed``; a second device beside
    a heater, of which an option has at most one, ``electric-diverter-with-2``.
    """
    options = build(home)
    others = [part for part in home.equipment.values() if part.number > 1]
    for part in others:
        if part.heater is not None:
            instead = replace(home, equipment={**home.equipment, part.family: part})
            options += [_with(part, each) for each in build(instead) if part.family in each.parts]
    for part in others:
        if part.heater is None:
            options += [_with(part, each) for each in options if part.family in each.parts]
    return [_finished(home, option) for option in options]


def _with(part: Equipment, option: Option) -> Option:
    """An option with another quote in place of the first of that kind."""
    between = "" if part.heater else "-with"
    return replace(
        option,
        id=f"{option.id}{between}-{part.number}",
        family=part.id if option.family == part.family else option.family,
        parts=tuple(part.id if name == part.family else name for name in option.parts),
    )


def _finished(home: Home, option: Option) -> Option:
    """The option named by its quotes; today's heater renewed by the cheapest of them."""
    if option.of_today:
        option = replace(option, family=like_for_like(home))
    bought = [home.equipment[name] for name in option.parts if name not in ONE_OFF]
    names = "; ".join(part.name for part in bought if part.name)
    return replace(option, label=f"{option.label} ({names})") if names else option


def compare_quotes(
    home: Home, options: Sequence[Option], results: Sequence[OptionResult]
) -> tuple[QuotesCompared, ...]:
    """The quotes of each kind of which there are several, each at its best; ``results`` are
    ranked."""
    parts = {option.id: option.parts for option in options}

    def standings(alike: Sequence[Equipment]) -> Iterator[QuoteStanding]:
        ids = {part.id: part for part in alike}
        for result in results:
            for name in parts[result.id]:
                part = ids.pop(name, None)
                if part is not None:
                    yield QuoteStanding(
                        part.id,
                        part.name,
                        result.id,
                        result.upfront.total,
                        result.net_present_cost,
                        result.choice.usable,
                    )

    found = []
    for family in [part.family for part in home.equipment.values() if part.number == 2]:
        alike = [part for part in home.equipment.values() if part.family == family]
        compared = QuotesCompared(
            family,
            FAMILY_WORDS[family],
            tuple(standings(alike)),
            alike=_same_assumed(family, [part.quote for part in alike if part.quote]),
            apart=_apart([part.quote for part in alike if part.quote]),
        )
        found.append(compared)
    return tuple(found)


def _same_assumed(family: str, quotes: Sequence[Quote]) -> tuple[str, ...]:
    """What none of them gives, of what bears on every heater's cost."""
    own = "cop" if family == "heat_pump" else "collector_eta0" if family in SOLAR_THERMAL else ""
    names = [name for name in (own, "life_years", "maintenance_per_year") if name]
    return tuple(
        PROPERTIES[name] for name in names if all(getattr(q, name) is None for q in quotes)
    )


def _apart(quotes: Sequence[Quote]) -> tuple[str, ...]:
    """What is not the same in all of them."""
    return tuple(
        words
        for name, words in PROPERTIES.items()
        if len({getattr(quote, name) for quote in quotes}) > 1
    )
