"""The picture of flips: how far each input may go before another option is the cheapest."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from tankful.report.charts import lane_px, names_axis, wrapped
from tankful.report.document import Spec
from tankful.report.look import INK, OTHER_DARK, SOFT, SUN, WIDE, Room

LANE_WIDTH = 360
"""Of the line on which a flip is shown, in pixels."""
NARROW_LANE = 200
"""The same where there is little room."""
CHARACTER_PX = 8


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


def flips_chart(lanes: Sequence[Lane], room: Room = WIDE) -> Spec:
    """A line an input: dark where today's best stays the cheapest, bright where it does not;
    a tick at today's value."""
    rows, texts = [], []
    width = NARROW_LANE if room.is_narrow else LANE_WIDTH
    for i, lane in enumerate(lanes):
        name = f"{i}|{wrapped(lane.label, min(room.characters, 40))}"
        below, above = _share(lane, lane.below), _share(lane, lane.above)
        ends = [(0.0, below, SUN), (below or 0.0, 1.0 if above is None else above, OTHER_DARK)]
        ends.append((1.0 if above is None else above, 1.0, SUN))
        rows += [
            {"lane": name, "a": a, "b": b, "c": colour}
            for a, b, colour in ends
            if b is not None and b > a
        ]
        texts += [{"lane": name, **text} for text in _texts(lane, below, above, width)]
    return _lanes(rows, texts, width)


def _texts(
    lane: Lane, below: float | None, above: float | None, width: int
) -> Iterator[dict[str, Any]]:
    """Values over and under a line: today's with its tick, and those where it turns, each at the
    side where it turns as far as there is room."""

    def size(text: str) -> float:
        return (len(text) + 1) * CHARACTER_PX / width

    at = _share(lane, lane.today)
    assert at is not None
    half = size(lane.today_text) / 2.0
    side = "left" if at < half else "right" if at > 1.0 - half else "center"
    yield {"at": at, "text": lane.today_text, "side": side, "dy": -18}
    start = 1.0 if above is None else min(above, 1.0 - size(lane.above_text))
    end = 0.0
    if below is not None:
        end = max(min(below, start), size(lane.below_text))
        yield {"at": end, "text": lane.below_text, "side": "right"}
    if above is not None:
        yield {"at": max(start, end), "text": lane.above_text, "side": "left"}


def _share(lane: Lane, value: float | None) -> float | None:
    """Where a value lies between the ends, 0..1."""
    return None if value is None else (value - lane.low) / (lane.high - lane.low)


def _lanes(rows: list[dict[str, Any]], texts: list[dict[str, Any]], width: int) -> Spec:
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
    return {"width": width, "height": {"step": lane_px(names, 54)}, "layer": layers}


def _layer(rows: list[dict[str, Any]], mark: Any, encoding: dict[str, Any]) -> dict[str, Any]:
    return {"data": {"values": rows}, "mark": mark, "encoding": encoding}
