"""Shipped values of equipment and homes, each with the id of its source."""

from __future__ import annotations

from dataclasses import dataclass

from tankful.data.store import load_table
from tankful.model.case import Family
from tankful.units import DAYS_PER_YEAR

TEST_RISE_K = 55.0
"""Water above air in the standing-loss test (AS/NZS 4692.2:2005 Table A5)."""

RELIEF_VALVE_KWH_PER_DAY = 0.12
"""Source id ``relief-valve-loss``."""


@dataclass(frozen=True)
class Value:
    """A shipped number, its unit and its source id."""

    number: float
    unit: str
    source_id: str


def equipment_values(family: Family, grade: str = "good") -> dict[str, Value]:
    """Every shipped value of one family of equipment, by item.

    ``grade`` picks the generic class of heat pumps: entry, good or best.
    """
    names = (family, f"{family}:{grade}")
    return {
        row["item"]: Value(float(row["value"]), row["unit"], row["source_id"])
        for name in names
        for row in load_table("equipment")
        if row["family"] == name
    }


def usual_tank_l(kind: str, people: int) -> Value:
    """Usual tank volume [L] of a heater kind with a tank; KeyError for others."""
    row = _by_people("tank_volume", people)
    return Value(float(row[f"{kind}_l"]), "L", row["source_id"])


def usual_house_kwh(people: int) -> Value:
    """Usual yearly electricity of a home without water heating [kWh]."""
    row = _by_people("house_use", people)
    return Value(float(row["electricity_kwh_per_year"]), "kWh", row["source_id"])


def _by_people(table: str, people: int) -> dict[str, str]:
    """The row of that many people; the last row stands for more."""
    rows = load_table(table)
    return next((row for row in rows if int(row["people"]) >= people), rows[-1])


def tank_loss_w_per_k(volume_l: float) -> Value:
    """Standing loss of an electric or heat pump tank [W/K], up to 710 L.

    The highest loss that the standard allows, with a relief valve. ValueError above 710 L.
    """
    for row in load_table("tank_loss"):
        if volume_l <= float(row["capacity_up_to_l"]):
            kwh_per_day = float(row["max_loss_kwh_per_day"]) + RELIEF_VALVE_KWH_PER_DAY
            return Value(kwh_per_day * 1000.0 / 24.0 / TEST_RISE_K, "W/K", row["source_id"])
    raise ValueError(f"no standing loss is known for a tank of {volume_l:g} L")


def annual_use_from_bill(yearly_bill: float, price_per_kwh: float, supply_per_day: float) -> float:
    """Yearly electricity [kWh] behind a bill under one price; 0 when supply alone costs more."""
    return max(0.0, (yearly_bill - DAYS_PER_YEAR * supply_per_day) / price_per_kwh)
