"""The picture of a table of homes: today's heater and the best option, home by home."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tankful.report.charts import money_axis, names_axis, wrapped
from tankful.report.document import Spec
from tankful.report.look import FAINT, OTHER_DARK, SOFT, WIDTH
from tankful.report.say import one_line

LABEL_LETTERS = 26
"""Homes' names are wrapped to lines of this length."""

LETTER_PX = 5.6
"""A letter's usual width, somewhat more than it is on average."""

MARGIN_PX = 48.0
"""Around the chart, between names and dots, and between dots and words."""


def homes_chart(
    homes: Sequence[tuple[str, float, float | None, str]],
    *,
    currency: str,
    accent: str,
    title: str,
    axis_title: str,
) -> Spec:
    """Each home's costs: ``(name, best option's, today's heater's or none, words)``.

    A filled dot is the best option, a ring today's heater; the words stand right of them.
    """
    rows: list[dict[str, Any]] = [
        {
            "home": f"{i}|{wrapped(one_line(name), LABEL_LETTERS)}",
            "best": round(best),
            "today": None if today is None else round(today),
            "end": round(max(best, best if today is None else today)),
            "words": one_line(words),
        }
        for i, (name, best, today, words) in enumerate(homes)
    ]
    least = min(0, *(row["best"] for row in rows))
    most = max(1, *(row["end"] for row in rows))
    y = names_axis("home", [row["home"] for row in rows], most_px=240)
    x = {
        "field": "best",
        "type": "quantitative",
        "scale": {"domain": [least, least + _span(rows, least)], "nice": False},
        "axis": {
            "title": axis_title,
            "titleAnchor": "start",
            "labelExpr": money_axis(currency),
            "values": ticks(most),
            "domain": False,
        },
    }
    lines = max(str(row["home"]).count("\n") for row in rows) + 1
    return {
        "title": {"text": one_line(title), "subtitle": LEGEND, "subtitleColor": SOFT},
        "padding": 12,
        "width": WIDTH,
        "height": {"step": max(26, 16 * lines + 4)},
        "autosize": {"type": "fit-x", "contains": "padding"},
        "data": {"values": rows},
        "layer": _marks(x, y, accent),
    }


def _span(rows: Sequence[dict[str, Any]], least: float) -> float:
    """What the axis must span so that every row's words fit right of its dots."""
    names = (line for row in rows for line in row["home"].partition("|")[2].split("\n"))
    plot_px = max(WIDTH / 3, WIDTH - MARGIN_PX - LETTER_PX * max(map(len, names)))
    shares = (min(0.8, LETTER_PX * len(row["words"]) / plot_px) for row in rows)
    spans = ((row["end"] - least) / (1.0 - share) for row, share in zip(rows, shares, strict=True))
    return float(max(1.0, *spans))


LEGEND = "Filled dot: the best option, named at the right. Ring: keeping today's heater."


def ticks(most: float) -> list[float]:
    """Round values from 0 up to ``most``, at most six, for an axis that goes on beyond it."""
    step = 10.0 ** (len(str(int(most))) - 1)
    step = next(s for s in (step / 5, step / 2, step, 2 * step) if most / s <= 5.5)
    return [i * step for i in range(int(most / step) + 1)]


def _marks(x: dict[str, Any], y: dict[str, Any], accent: str) -> list[dict[str, Any]]:
    there = {"filter": "datum.today !== null"}
    today = {"field": "today", "type": "quantitative"}
    point = {"size": 110, "opacity": 1}
    return [
        {
            "transform": [there],
            "mark": {"type": "rule", "color": FAINT, "strokeWidth": 4},
            "encoding": {"y": y, "x": x, "x2": {"field": "today"}},
        },
        {
            "transform": [there],
            "mark": {
                "type": "point",
                "filled": True,
                "fill": "white",
                "stroke": OTHER_DARK,
                "strokeWidth": 2,
                **point,
            },
            "encoding": {"y": y, "x": today},
        },
        {
            "mark": {"type": "point", "filled": True, "color": accent, **point},
            "encoding": {"y": y, "x": x},
        },
        {
            "mark": {"type": "text", "align": "left", "baseline": "middle", "dx": 11},
            "encoding": {
                "y": y,
                "x": {"field": "end", "type": "quantitative"},
                "text": {"field": "words"},
            },
        },
    ]
