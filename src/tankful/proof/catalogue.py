"""Every check, by topic, in the order in which they are shown."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from tankful.proof import (
    battery,
    bills,
    certificates,
    collector,
    continuous,
    draws,
    eu_tank,
    fchart,
    finance,
    gas,
    health,
    heat_pump,
    heat_pump_models,
    horizon,
    hygiene,
    solar_loop,
    standard_load,
    sun,
    tank,
    tank_models,
    thermosiphon,
    trade,
    us_test,
    water,
)
from tankful.proof.check import Check, Claim

TOPICS: dict[str, Callable[[], Iterator[Claim]]] = {
    "Water": water.claims,
    "Draws": draws.claims,
    "Tank": tank.claims,
    "Whole tank": tank_models.claims,
    "European tank": eu_tank.claims,
    "American test": us_test.claims,
    "Heat pump": heat_pump.claims,
    "Heat pump models": heat_pump_models.claims,
    "Gas": gas.claims,
    "Continuous heaters": continuous.claims,
    "Sun": sun.claims,
    "Horizon": horizon.claims,
    "Collectors": collector.claims,
    "Collector loop": solar_loop.claims,
    "Loop without a pump": thermosiphon.claims,
    "Solar fraction": fchart.claims,
    "Standard load": standard_load.claims,
    "Battery and grid": battery.claims,
    "Certificates": certificates.claims,
    "Bills and emissions": bills.claims,
    "Finance": finance.claims,
    "Health": health.claims,
    "Germs and scalds": hygiene.claims,
    "Trade": trade.claims,
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
