"""The picture of flips: how far each input may go before another option is the cheapest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from tankful.report.charts import names_axis, wrapped
from tankful.report.document import Spec
from tankful.report.look import INK, OTHER_DARK, SOFT, SUN

LANE_WIDTH = 360
"""Of the line on which a flip is shown, in pixels."""


@dataclass(frozen=True)
class Lane:
    """One input on its line from ``low`` to ``high``, with where other options begin to win."""

    label: str
    low: float
    today: float
    high: float
    below: float | None
    above: float | None
    today_text: str
    below_text: str
    above_text: str


def flips_chart(lanes: Sequence[Lane]) -> Spec:
    """A line an input: dark where today's best stays the cheapest, bright where it does not;
    a tick at today's value."""
    rows, texts = [], []
    for i, lane in enumerate(lanes):
        name = f"{i}|{wrapped(lane.label, 40)}"
        below, above = _share(lane, lane.below), _share(lane, lane.above)
        ends = [(0.0, below, SUN), (below or 0.0, 1.0 if above is None else above, OTHER_DARK)]
        ends.append((1.0 if above is None else above, 1.0, SUN))
        rows += [
            {"lane": name, "a": a, "b": b, "c": colour}
            for a, b, colour in ends
            if b is not None and b > a
        ]
        at = _share(lane, lane.today)
        assert at is not None
        side = "left" if at < 0.12 else "right" if at > 0.88 else "center"
        texts.append({"lane": name, "at": at, "text": lane.today_text, "side": side, "dy": -18})
        if below is not None:
            side = "left" if below < 0.2 else "right"
            texts.append({"lane": name, "at": below, "text": lane.below_text, "side": side})
        if above is not None:
            side = "right" if above > 0.8 else "left"
            texts.append({"lane": name, "at": above, "text": lane.above_text, "side": side})
    return _lanes(rows, texts)


def _share(lane: Lane, value: float | None) -> float | None:
    """Where a value lies between the ends, 0..1."""
    return None if value is None else (value - lane.low) / (lane.high - lane.low)


def _lanes(rows: list[dict[str, Any]], texts: list[dict[str, Any]]) -> Spec:
    names = list(dict.fromkeys(row["lane"] for row in rows))
    y = names_axis("lane", names, most_px=300)
    x = {"type": "quantitative", "scale": {"domain": [0, 1]}, "axis": None}
    bar = _layer(
        rows,
        {"type": "bar", "height": 9, "cornerRadius": 2},
        {
            "y": y,
            "x": {**x, "field": "a"},
            "x2": {"field": "b"},
            "color": {"field": "c", "scale": None},
        },
    )
    ticks = [text for text in texts if "dy" in text]
    marks = _layer(
        ticks,
        {"type": "tick", "thickness": 4, "height": 20, "color": INK},
        {"y": y, "x": {**x, "field": "at"}},
    )
    layers = [bar, marks]
    for side in ("left", "center", "right"):
        for dy in (-18, 16):
            found = [t for t in texts if t["side"] == side and t.get("dy", 16) == dy]
            if found:
                colour, weight = (SOFT, 400) if dy < 0 else (INK, 600)
                mark = {"type": "text", "align": side, "dy": dy, "fontWeight": weight}
                place = {"y": y, "x": {**x, "field": "at"}, "text": {"field": "text"}}
                layers.append(_layer(found, {**mark, "color": colour}, place))
    return {"width": LANE_WIDTH, "height": {"step": 54}, "layer": layers}


def _layer(rows: list[dict[str, Any]], mark: Any, encoding: dict[str, Any]) -> dict[str, Any]:
    return {"data": {"values": rows}, "mark": mark, "encoding": encoding}
