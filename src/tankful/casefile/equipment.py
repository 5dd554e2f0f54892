"""Price, life and heater of every family of equipment, by quote or by shipped table."""

from __future__ import annotations

from typing import cast, get_args

from tankful.casefile.defaults import Value, equipment_values
from tankful.casefile.filling import Filling
from tankful.casefile.heaters import new_heater
from tankful.casefile.quotes import Numbered, numbered_quotes
from tankful.data.store import load_table
from tankful.errors import CaseError, Fault
from tankful.model.case import Family, HeaterKind, Quote
from tankful.model.home import Equipment, part_id
from tankful.model.system import WaterHeater

PRICES = ("installed_price", "maintenance_per_year")
"""Items of the shipped table that are Australian dollars with tax."""


def all_equipment(filling: Filling, *, southern: bool) -> dict[str, Equipment]:
    """Every family and every quote, by id. CaseError when prices in the case's currency are not
    known."""
    rate = currency_rate(filling.case.wishes.currency)
    quotes = numbered_quotes(filling.case)
    found: dict[str, Equipment] = {}
    for family in cast("tuple[Family, ...]", get_args(Family)):
        of_family = [each for each in quotes if each.quote.family == family]
        for each in of_family or (None,):
            part = _equipment(filling, family, each, rate, southern)
            found[part.id] = part
    return found


def currency_rate(currency: str) -> Value:
    """Units of a currency for one Australian dollar; CaseError when not known."""
    rows = load_table("currency_rates")
    for row in rows:
        if row["currency"] == currency:
            return Value(float(row["per_aud"]), f"{currency}/AUD", row["source_id"])
    fault = Fault(
        "wishes.currency",
        "typical prices of equipment are not known in this currency",
        f'"{currency}"',
        ", ".join(row["currency"] for row in rows),
        "give every price in one of the allowed currencies",
    )
    raise CaseError("Prices are not known.", [fault])


def _equipment(
    filling: Filling, family: Family, numbered: Numbered | None, rate: Value, southern: bool
) -> Equipment:
    quote = numbered.quote if numbered else None
    number = numbered.number if numbered else 1
    path = f"quotes[{part_id(family, number)}]"
    shipped = equipment_values(family, (quote.grade if quote else None) or "good")

    def value(item: str) -> float:
        given = getattr(quote, item) if quote else None
        if given is not None:
            return float(given)
        return shipped_value(
            filling, f"{path}.{item}", shipped[item], rate, is_price=item in PRICES
        )

    price = value("installed_price")
    return Equipment(
        family=family,
        number=number,
        name=numbered.name if numbered else "",
        quote=quote,
        installed_price=price,
        certificates=quote.certificates if quote else None,
        rebate=quote.rebate if quote else 0.0,
        life_years=value("life_years"),
        maintenance_per_year=value("maintenance_per_year"),
        replacement_price=price,
        heater=_heater(filling, family, path, quote, southern),
    )


def shipped_value(
    filling: Filling, path: str, value: Value, rate: Value, *, is_price: bool
) -> float:
    """A shipped number, in the case's currency where it is a price; noted."""
    number, unit, how = value.number, value.unit, ""
    if is_price and rate.number != 1.0:
        number = round(number * rate.number, 2)
        unit = unit.replace("AUD", filling.case.wishes.currency)
        how = f"{value.number:g} AUD at {rate.number:g} {rate.unit}, from memory"
    filling.assume(path, number, unit, value.source_id, how)
    return number


def _heater(
    filling: Filling, family: Family, path: str, quote: Quote | None, southern: bool
) -> WaterHeater | None:
    """A new heater of the family; ``None`` for an add-on."""
    if family not in get_args(HeaterKind):
        return None
    return new_heater(filling, cast("HeaterKind", family), quote, southern=southern, path=path)
