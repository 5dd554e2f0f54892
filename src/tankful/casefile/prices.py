"""Prices written in cents: looked for in the plain data, so that no other fault hides them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tankful.casefile.lines import Loc, path_text
from tankful.errors import Fault

WHOLE_MONEY = ("AUD", "NZD", "USD", "EUR", "GBP")
"""Currencies whose hundredth is what people quote prices in."""

MOST = {
    "supply_per_day": 20.0,
    "price_per_kwh": 5.0,
    "usage_price_per_kwh": 5.0,
    "off_peak_price_per_kwh": 5.0,
    "feed_in_price_per_kwh": 1.0,
    "price_after_per_kwh": 1.0,
    "price_per_mj": 1.0,
    "price_per_kw_per_day": 5.0,
    "price_per_kg": 20.0,
    "price_per_l": 10.0,
}
"""Highest believable price in those currencies (judgement): more is a price in cents."""

MOST_FEED_IN = 1.0

PLANS = ("tariff", "bottles")
"""Sections that hold prices."""

DEEPEST = 8
"""Steps from a plan to its prices; what lies deeper is no plan."""


def prices_in_cents(data: dict[str, Any]) -> Iterator[Fault]:
    """Faults of prices too high, or too far below nought, in the plans of a case's data."""
    wishes = data.get("wishes")
    currency = wishes.get("currency", "AUD") if isinstance(wishes, dict) else "AUD"
    if currency not in WHOLE_MONEY:
        return
    for section in ("electricity", "gas"):
        plans = data.get(section)
        if not isinstance(plans, dict):
            continue
        priced = {name: plans[name] for name in plans if name in (*PLANS, *MOST)}
        for loc, price in _prices(priced, (section,)):
            limit = MOST_FEED_IN if "feed_in" in loc else MOST[str(loc[-1])]
            if abs(price) > limit:
                yield _too_far(path_text(loc), price, limit, currency)


def _too_far(path: str, price: float, limit: float, currency: str) -> Fault:
    far, bound = ("high", "most") if price > 0 else ("low", "least")
    return Fault(
        path,
        f"too {far} for a price in {currency}",
        f"{price:g}",
        f"at {bound} {limit if price > 0 else -limit:g}",
        f"prices are in whole {currency}: {price:g} cents is {price / 100:g}",
    )


def _prices(data: Any, loc: Loc) -> Iterator[tuple[Loc, float]]:
    """Every number under a price's key, and the way to it."""
    if len(loc) > DEEPEST:
        return
    parts: Iterator[tuple[str | int, Any]] = iter(())
    if isinstance(data, dict):
        parts = iter(data.items())
    elif isinstance(data, list):
        parts = iter(enumerate(data))
    for part, value in parts:
        if part in MOST and isinstance(value, int | float) and not isinstance(value, bool):
            yield (*loc, part), float(value)
        else:
            yield from _prices(value, (*loc, part))
