"""Every check, by topic, in the order in which they are shown."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from tankful.proof import (
    bills,
    certificates,
    draws,
    finance,
    gas,
    health,
    heat_pump,
    sun,
    tank,
    tank_models,
    water,
)
from tankful.proof.check import Check, Claim

TOPICS: dict[str, Callable[[], Iterator[Claim]]] = {
    "Water": water.claims,
    "Draws": draws.claims,
    "Tank": tank.claims,
    "Whole tank": tank_models.claims,
    "Heat pump": heat_pump.claims,
    "Gas": gas.claims,
    "Sun": sun.claims,
    "Certificates": certificates.claims,
    "Bills and emissions": bills.claims,
    "Finance": finance.claims,
    "Health": health.claims,
}


def all_claims() -> Iterator[tuple[str, Claim]]:
    """Topic and claim, nothing computed yet."""
    for topic, claims in TOPICS.items():
        for claim in claims():
            yield topic, claim


def all_checks() -> Iterator[Check]:
    """Every check, computed as it is asked for."""
    for _, claim in all_claims():
        yield claim.run()
