"""The picture of the first page: money paid over the years."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tankful.report.charts import end_text, money_axis, own, wrapped
from tankful.report.document import Spec
from tankful.report.look import INK, WIDTH
from tankful.report.say import said_money

HEIGHT, LOW_HEIGHT = 250, 160
LABEL_PX = 48
"""Height of a line's words."""


def running_cost_chart(
    lines: Sequence[tuple[str, Sequence[float], str]],
    *,
    paid_back: tuple[float, float, str] | None,
    currency: str,
    year_title: str,
    height: int = HEIGHT,
) -> Spec:
    """Money spent from the start, year by year: ``(name, sums, colour)`` for each of two lines.

    ``paid_back`` is where they meet: year, sum, words.
    """
    years = len(lines[0][1]) - 1
    rows: list[dict[str, Any]] = [
        {"year": year, "sum": round(total), "name": name}
        for name, sums, _ in lines
        for year, total in enumerate(sums)
    ]
    ends: list[dict[str, Any]] = [
        {"year": years, "sum": round(sums[-1]), "name": wrapped(name, 22), "c": colour, "key": name}
        for name, sums, colour in lines
    ]
    _part(ends, max(row["sum"] for row in rows), LABEL_PX / height)
    for end in ends:
        end["text"] = f"{end['name']}\n{said_money(float(end['sum']), currency)}"
    x = {
        "field": "year",
        "type": "quantitative",
        "scale": {"domain": [0, years * 1.34], "nice": False},
        "axis": {
            "values": [y for y in range(years + 1) if y % _year_step(years) == 0],
            "format": "d",
            "grid": False,
            "title": year_title,
            "titleAnchor": "start",
        },
    }
    y = {
        "field": "sum",
        "type": "quantitative",
        "axis": {"title": None, "labelExpr": money_axis(currency), "tickCount": 5, "domain": False},
    }
    layers = [_paid(rows, lines, {"x": x, "y": y}), _names(ends)]
    if paid_back is not None:
        layers += _meeting_point(*paid_back)
    return {"width": WIDTH, "height": height, "autosize": _FIT, "layer": layers}


def _paid(
    rows: list[dict[str, Any]],
    lines: Sequence[tuple[str, Sequence[float], str]],
    place: dict[str, Any],
) -> dict[str, Any]:
    """The lines, told apart by colour and by dashes."""
    names = [name for name, _, _ in lines]
    colours = {"domain": names, "range": [colour for _, _, colour in lines]}
    dashes = {"domain": names, "range": [[1, 0], [7, 4]]}
    return {
        "data": {"values": rows},
        "mark": {"type": "line", "strokeWidth": 3},
        "encoding": {
            **place,
            "color": {"field": "name", "scale": colours, "legend": None},
            "strokeDash": {"field": "name", "scale": dashes, "legend": None},
        },
    }


def _names(ends: list[dict[str, Any]]) -> dict[str, Any]:
    """Each line's words at its end."""
    return {
        "data": {"values": ends},
        "mark": {**end_text(600), "dx": 8, "lineBreak": "\n"},
        "encoding": {
            "x": {"field": "year", "type": "quantitative"},
            "y": {"field": "place", "type": "quantitative"},
            "text": {"field": "text"},
            "color": own("c"),
        },
    }


def _part(ends: list[dict[str, Any]], most: float, room: float) -> None:
    """Give each line's end a place for its words; those too near each other move apart.
    ``room`` is the height of a line's words as a share of the chart's."""
    gap = room * most
    low, high = sorted(ends, key=lambda end: float(end["sum"]))[:: len(ends) - 1 or 1]
    apart = max(0.0, gap - (high["sum"] - low["sum"])) / 2.0
    low["place"] = max(low["sum"] - apart, 0.0)
    high["place"] = max(high["sum"] + apart, low["place"] + gap)


_FIT = {"type": "fit", "contains": "padding"}


def _year_step(years: int) -> int:
    return 1 if years <= 8 else 5 if years <= 30 else 10


def _meeting_point(year: float, total: float, words: str) -> list[dict[str, Any]]:
    place = {
        "x": {"field": "year", "type": "quantitative"},
        "y": {"field": "sum", "type": "quantitative"},
    }
    data = {"values": [{"year": year, "sum": round(total), "text": words}]}
    return [
        {
            "data": data,
            "mark": {"type": "point", "filled": True, "size": 90, "color": INK, "opacity": 1},
            "encoding": place,
        },
        {
            "data": data,
            "mark": {"type": "text", "align": "left", "dx": 10, "dy": 16, "color": INK},
            "encoding": {**place, "text": {"field": "text"}},
        },
    ]
