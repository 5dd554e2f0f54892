"""Numbers as people say them."""

from __future__ import annotations

import re

from tankful.model.currency import money


def round_said(value: float) -> float:
    """A number as people say it: 4,491 is 4,500; 17,227 is 17,200; 389 is 390; 27 is 27."""
    size = abs(value)
    for limit, step in ((20.0, 1.0), (100.0, 5.0), (1_000.0, 10.0), (20_000.0, 100.0)):
        if size < limit:
            return round(value / step) * step
    digits = len(str(int(size)))
    step = float(10 ** (digits - 3))
    return round(value / step) * step


def said_money(amount: float, currency: str) -> str:
    """An amount of money as people say it."""
    return money(round_said(amount), currency)


def said(value: float) -> str:
    """A number as people say it, without its unit."""
    return f"{round_said(value):,.0f}"


def exact(value: float, decimals: int = 0) -> str:
    """A number to its last shown digit; never a minus zero."""
    return f"{round(value, decimals) + 0.0:,.{decimals}f}"


def one_line(text: str) -> str:
    """Text as print and screen show it: degrees as a sign, a space before a per cent sign, no
    control characters."""
    clean = "".join(c if c.isprintable() else " " for c in text)
    clean = re.sub(r"(?<=\d)%", " %", clean.replace("degC", " °C"))
    return " ".join(clean.split())


def listed(items: list[str], word: str) -> str:
    """``a, b and c`` with the word that joins the last."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {word} {items[-1]}"
