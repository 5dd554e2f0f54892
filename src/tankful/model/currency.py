"""Amounts of money as people write them."""

from __future__ import annotations

SIGNS = {"AUD": "$", "NZD": "$", "USD": "$", "CAD": "$", "EUR": "€", "GBP": "£"}
"""Signs that stand before the amount; other currencies follow it by their ISO code."""

CENTS = {"AUD": "c", "NZD": "c", "USD": "c", "CAD": "c", "EUR": "c", "GBP": "p"}
"""Signs of the hundredth part, after the number."""


def money(amount: float, currency: str, *, decimals: int = 0) -> str:
    """An amount with its currency: ``$1,250``, ``-$40``, ``1,250 CHF``."""
    rounded = round(amount, decimals)
    sign = "-" if rounded < 0 else ""
    number = f"{abs(rounded):,.{decimals}f}"
    if currency in SIGNS:
        return f"{sign}{SIGNS[currency]}{number}"
    return f"{sign}{number} {currency}"
