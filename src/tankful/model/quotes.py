"""How several quotes of one kind of equipment compare."""

from __future__ import annotations

from dataclasses import dataclass

from tankful.model.kinds import Family


@dataclass(frozen=True)
class QuoteStanding:
    """One quote at its best: the cheapest option that buys it."""

    part: str
    """Id of the home's equipment, such as ``heat_pump-2``."""
    name: str
    option_id: str
    upfront: float
    net_present_cost: float
    usable: bool
    """False where it leaves more than a shower a week cold, however it is run."""


@dataclass(frozen=True)
class QuotesCompared:
    """The quotes of one kind, best first; those that fit the home in no way are left out."""

    family: Family
    words: str
    """What people call the kind, without article."""
    standings: tuple[QuoteStanding, ...]
    alike: tuple[str, ...] = ()
    """What no quote gives, so that all were taken to have the same of it."""
    apart: tuple[str, ...] = ()
    """What sets them apart: given by a quote, and not the same in all."""
