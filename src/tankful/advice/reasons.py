"""Reasons as data: the parts of the money that set an option apart from its comparison."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tankful.model.result import Reason

MIN_AMOUNT = 1.0
"""A part smaller than this moves nothing worth telling."""


@dataclass(frozen=True)
class PresentParts:
    """Present value of each part of an option's cost over the horizon; they add up to it."""

    equipment: float
    one_off: float
    leaving_gas: float
    electricity: float
    feed_in: float
    gas_use: float
    gas_supply: float
    maintenance: float

    @property
    def total(self) -> float:
        return float(sum(vars(self).values()))


def reasons_against(
    parts: PresentParts, base: PresentParts, facts: dict[str, Any], base_facts: dict[str, Any]
) -> tuple[Reason, ...]:
    """What moved the money against ``base``, largest first; the amounts add up to the gap."""
    known = {**facts, **{f"base_{key}": value for key, value in base_facts.items()}}
    gaps = [(key, value - getattr(base, key)) for key, value in vars(parts).items()]
    moved = [(key, gap) for key, gap in gaps if abs(gap) >= MIN_AMOUNT]
    moved.sort(key=lambda item: -abs(item[1]))
    return tuple(Reason(key, amount, known) for key, amount in moved)
