"""Two answers beside each other as a Vega-Lite dictionary: each option's cost in both."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tankful.report.charts import (
    end_text,
    lane_px,
    lanes_chart,
    money_axis_of,
    names_axis,
    words_at,
    wrapped,
)
from tankful.report.document import Spec
from tankful.report.look import DEFAULT_ACCENT, OTHER_DARK, WIDE, Room

COLOURS = OTHER_DARK, DEFAULT_ACCENT
"""Of the first case and of the second."""
LANE_PX = 34
BAND = 0.74
"""Share of a lane that its two bars fill."""


def pair_chart(
    options: Sequence[tuple[str, float, float, str]],
    names: tuple[str, str],
    *,
    currency: str,
    room: Room = WIDE,
) -> Spec:
    """Each option's cost in the first case (upper bar) and in the second (lower bar):
    ``(name, first, second, what stands at the end)``; ``names`` is what the two are called."""
    lanes: list[str] = []
    rows: list[dict[str, Any]] = []
    ends: list[dict[str, Any]] = []
    for i, (name, *costs, end) in enumerate(options):
        lane = f"{i}|{wrapped(name, room.characters)}"
        lanes.append(lane)
        rows += [
            {"option": lane, "which": which, "place": place, "money": round(cost)}
            for place, (which, cost) in enumerate(zip(names, costs, strict=True))
        ]
        ends.append({"option": lane, "end": max(map(round, costs)), "text": end})
    y = names_axis("option", lanes)
    # the widest text must end before the picture does
    most = max((row["end"] / (1.0 - room.letter * len(row["text"])) for row in ends), default=1)
    least = min(0, *(round(row["money"]) for row in rows))
    x: dict[str, Any] = {
        "field": "money",
        "type": "quantitative",
        "scale": {"domain": [least, most], "nice": False},
        "axis": {**money_axis_of(currency, room), "grid": False},
    }
    which = {
        "field": "which",
        "type": "nominal",
        "scale": {"domain": list(names), "range": list(COLOURS)},
        "legend": {"direction": "vertical" if room.is_narrow else "horizontal", "labelLimit": 0},
    }
    offset = {"field": "place", "type": "nominal", "scale": {"paddingOuter": (1.0 - BAND) / 2.0}}
    bars = {
        "data": {"values": rows},
        "mark": {"type": "bar", "height": {"band": 0.92}},
        "encoding": {"y": y, "x": x, "yOffset": offset, "color": which},
    }
    words = {
        "data": {"values": ends},
        "mark": end_text(400),
        "encoding": words_at(y, "end", "text"),
    }
    height = {"step": lane_px(lanes, LANE_PX), "for": "position"}
    return lanes_chart(lanes, LANE_PX, room, layer=[bars, words], height=height)
