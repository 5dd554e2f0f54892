"""Greenhouse gas of a year's energy by the national factors.

Factors are those of the latest edition complete by state (National Greenhouse Accounts
Factors 2025). A 2026 edition exists; only some of its values are at hand, so it is not mixed
in. They are state averages of a year, location based: not the grid at the hour of use.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from tankful.data.store import load_table

GJ_PER_MJ = 1e-3


@dataclass(frozen=True)
class EmissionFactors:
    """Factors of one state with what happens upstream (scope 2 + 3, or 1 + 3)."""

    electricity_kg_per_kwh: float
    gas_kg_per_mj: float
    lpg_kg_per_l: float


@lru_cache(maxsize=16)
def emission_factors(state: str | None) -> EmissionFactors | None:
    """Factors of an Australian state or territory (NSW, VIC, QLD, SA, WA, TAS, NT, ACT).

    ``None`` for any other place: no factors are at hand.
    """
    rows = [row for row in load_table("emission_factors") if state in row["states"].split()]
    if not rows:
        return None

    def total(item: str) -> float:
        return sum(float(row["value"]) for row in rows if row["item"] == item)

    return EmissionFactors(
        electricity_kg_per_kwh=total("electricity_kg_per_kwh"),
        gas_kg_per_mj=total("natural_gas_kg_per_gj") * GJ_PER_MJ,
        lpg_kg_per_l=total("lpg_kg_per_l"),
    )


def year_emissions_kg(
    electricity_kwh: float, gas_mj: float, state: str | None, *, lpg_l: float = 0.0
) -> float | None:
    """Greenhouse gas of a year [kg CO2-equivalent]; ``None`` where no factors are at hand.

    ``electricity_kwh`` is bought from the grid, ``gas_mj`` pipeline gas by higher heating
    value, ``lpg_l`` bottled gas as liquid.
    """
    factors = emission_factors(state)
    if factors is None:
        return None
    return (
        electricity_kwh * factors.electricity_kg_per_kwh
        + gas_mj * factors.gas_kg_per_mj
        + lpg_l * factors.lpg_kg_per_l
    )
