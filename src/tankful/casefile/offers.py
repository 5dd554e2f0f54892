"""The plan a home is taken to have when its case gives none: one plain plan for each state.

Regulated offers where their prices were at hand, values from memory otherwise; the tables
``default_tariffs`` and ``controlled_load_hours`` say which is which, and so does the plan's
``source``. Prices are Australian dollars with tax.
"""

from __future__ import annotations

from tankful.data.store import load_table, sources
from tankful.errors import CaseError, Fault
from tankful.model.tariff import (
    ControlledLoad,
    ElectricityTariff,
    FeedIn,
    GasBlock,
    GasTariff,
    UsageCharge,
)
from tankful.model.window import Window

STATES = ("NSW", "VIC", "QLD", "SA", "WA", "TAS", "NT", "ACT")


def default_electricity_tariff(state: str) -> tuple[ElectricityTariff, str]:
    """Flat plan of a state or territory, and the source id of its usage price.

    With controlled load where one is known (not in WA and NT). CaseError outside Australia.
    """
    values, ids = _offer(state, "electricity.tariff")
    hours, hours_ids = _controlled_hours(state)
    load = None
    if hours:
        load = ControlledLoad(
            supply_per_day=values["controlled_supply_aud_per_day"],
            price_per_kwh=values["controlled_price_aud_per_kwh"],
            hours=hours,
        )
    parts = {
        "usage": ids["usage_price_aud_per_kwh"],
        "supply": ids["supply_aud_per_day"],
        "feed-in": ids["feed_in_price_aud_per_kwh"],
    }
    if load is not None:
        parts["controlled load"] = ids["controlled_price_aud_per_kwh"]
        parts["controlled load hours"] = hours_ids[0]
    tariff = ElectricityTariff(
        name=f"default plan of {state}",
        source=_cite_parts(parts),
        supply_per_day=values["supply_aud_per_day"],
        usage=(UsageCharge(price_per_kwh=values["usage_price_aud_per_kwh"]),),
        controlled_load=load,
        feed_in=(FeedIn(price_per_kwh=values["feed_in_price_aud_per_kwh"]),),
    )
    return tariff, ids["usage_price_aud_per_kwh"]


def default_gas_tariff(state: str) -> tuple[GasTariff, str]:
    """Plain gas plan of a state or territory, and the source id of its price.

    CaseError outside Australia.
    """
    values, ids = _offer(state, "gas.tariff")
    source_id = ids["gas_price_aud_per_mj"]
    tariff = GasTariff(
        name=f"default gas plan of {state}",
        source=_cite_parts({"usage": source_id, "supply": ids["gas_supply_aud_per_day"]}),
        supply_per_day=values["gas_supply_aud_per_day"],
        blocks=(GasBlock(price_per_mj=values["gas_price_aud_per_mj"]),),
    )
    return tariff, source_id


def default_leaving_cost(state: str) -> tuple[float, str]:
    """Charge for leaving the gas network [AUD with tax], and its source id.

    CaseError outside Australia.
    """
    values, ids = _offer(state, "gas.leaving_cost")
    return values["gas_leaving_cost_aud"], ids["gas_leaving_cost_aud"]


def _offer(state: str, field: str) -> tuple[dict[str, float], dict[str, str]]:
    """Values and source ids of a state by item; ``field`` is what the case should give."""
    rows = [row for row in load_table("default_tariffs") if row["state"] == state]
    if not rows:
        fault = Fault(
            field=field,
            problem="there is no default for this place",
            value=str(state),
            allowed=f"defaults exist for {', '.join(STATES)}",
            mend=f"give `{field}` in the case",
        )
        raise CaseError("Prices of this place are not known.", [fault])
    values = {row["item"]: float(row["value"]) for row in rows}
    return values, {row["item"]: row["source_id"] for row in rows}


def _controlled_hours(state: str) -> tuple[tuple[Window, ...], list[str]]:
    rows = [row for row in load_table("controlled_load_hours") if row["state"] == state]
    windows = tuple(
        Window(
            start=row["start"],
            end=row["end"],
            months=tuple(int(month) for month in row["months"].split()),
        )
        for row in rows
    )
    return windows, [row["source_id"] for row in rows]


def _cite_parts(parts: dict[str, str]) -> str:
    """Citations with what each stands for; parts of one source share a line."""
    named: dict[str, list[str]] = {}
    for part, source_id in parts.items():
        named.setdefault(source_id, []).append(part)
    known = sources()
    return "; ".join(f"{' and '.join(names)}: {known[i].cite()}" for i, names in named.items())
