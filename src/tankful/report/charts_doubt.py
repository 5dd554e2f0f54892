"""The picture of many futures."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tankful.report.charts import (
    end_text,
    lanes_chart,
    money_axis,
    names_axis,
    own,
    words_at,
    wrapped,
)
from tankful.report.document import Spec
from tankful.report.look import OTHER, OTHER_DARK, SOFT, WIDE, Room, tint

NAME_CHARACTERS = 38
"""Fewer than usual: words stand at the ends of the bars as well."""


def futures_chart(
    options: Sequence[tuple[str, float, float, float, str, bool]],
    *,
    currency: str,
    accent: str,
    title: str,
    room: Room = WIDE,
) -> Spec:
    """What each option saves: ``(name, low, middle, high, words, is the best)``.

    The bar runs from the low end to the high one, the mark is the middle, the words stand at
    its end.
    """
    rows: list[dict[str, Any]] = [
        {
            "option": f"{i}|{wrapped(name, min(room.characters, NAME_CHARACTERS))}",
            "low": round(low),
            "mid": round(middle),
            "high": round(high),
            "words": words,
            "bar": tint(accent, 0.45) if best else OTHER,
            "mark": accent if best else OTHER_DARK,
        }
        for i, (name, low, middle, high, words, best) in enumerate(options)
    ]
    names = [row["option"] for row in rows]
    y = names_axis("option", names)
    x = _savings_axis(rows, currency, title, room)
    bars = {
        "mark": {"type": "bar", "height": {"band": 0.55}, "cornerRadius": 2},
        "encoding": {"y": y, "x": x, "x2": {"field": "high"}, "color": own("bar")},
    }
    zero = {
        "data": {"values": [{"zero": 0}]},
        "mark": {"type": "rule", "color": SOFT},
        "encoding": {"x": {"field": "zero", "type": "quantitative"}},
    }
    middles = {
        "mark": {"type": "tick", "thickness": 4, "band": 0.8},
        "encoding": {
            "y": y,
            "x": {"field": "mid", "type": "quantitative"},
            "color": own("mark"),
        },
    }
    ends = {
        "mark": {**end_text(400), "dx": 6, "color": SOFT},
        "encoding": words_at(y, "high", "words"),
    }
    layers = [bars, zero, middles, ends]
    return lanes_chart(names, 26, room, data={"values": rows}, layer=layers)


def _savings_axis(
    rows: Sequence[dict[str, Any]], currency: str, title: str, room: Room
) -> dict[str, Any]:
    """From the least to the most that an option may save, with room for words behind."""
    least = min(0, *(row["low"] for row in rows))
    most = max(0, *(row["high"] for row in rows))
    ends = 0.3 * (most - least)
    return {
        "field": "low",
        "type": "quantitative",
        "scale": {"domain": [least, most + ends], "nice": False},
        "axis": {
            "title": title,
            "titleAnchor": "start",
            "labelExpr": money_axis(currency),
            "tickCount": room.ticks,
            "domain": False,
        },
    }
