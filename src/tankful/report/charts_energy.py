"""The charts of a day and a year of the home."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

from tankful.model.picture import DayPicture, YearPicture
from tankful.report.document import Spec
from tankful.report.look import GAS, GRID, HALO, HOUSE, INK, ROOF, SUN, TAPS, WATER, WIDE, Room

HOURS = {
    "field": "hour",
    "type": "quantitative",
    "scale": {"domain": [0, 24], "nice": False},
}
DAY_WIDTH = 268


def days_chart(
    days: Sequence[tuple[DayPicture, str]],
    words: dict[str, str],
    *,
    has_tank: bool,
    width: int = DAY_WIDTH,
    stacked: bool = False,
) -> Spec:
    """Days side by side or ``stacked``, each with its title and ``width``: power, then the tank,
    then the taps."""
    shown = [key for key in _SERIES if any(any(_values(day, key)) for day, _ in days)]
    most_kw = max(0.5, *(max(_values(day, key)) for day, _ in days for key in shown))
    most_l = max(1.0, *(max(day.drawn_l) for day, _ in days))
    rows: list[list[dict[str, Any]]] = [[], [], []]
    for i, (day, title) in enumerate(days):
        first = i == 0 or stacked
        power = _power(day, shown, words, most_kw, first=first, columns=2 if stacked else 0)
        rows[0].append({**power, "title": {"text": title.split("\n"), "offset": 8}})
        if has_tank:
            rows[1].append(_tank(day, words, first=first))
        rows[2].append(_taps(day, words, most_l, first=first))
    for part in (part for row in rows for part in row):
        part["width"] = width
    if stacked:
        columns = zip(*(row for row in rows if row), strict=True)
        return {"vconcat": [{"vconcat": [*column], "spacing": 14} for column in columns]}
    return {
        "vconcat": [{"hconcat": row, "spacing": 30} for row in rows if row],
        "spacing": 14,
    }


_SERIES = {
    "sun": ("sun_kw", SUN),
    "collector": ("collector_kw", ROOF),
    "gas": ("gas_kw", GAS),
    "heater": ("electric_kw", GRID),
    "house": ("house_kw", HOUSE),
}
"""Word key to the series of a day and its colour, from back to front."""


def _values(day: DayPicture, key: str) -> tuple[float, ...]:
    values: tuple[float, ...] = getattr(day, _SERIES[key][0])
    return values


def _power(
    day: DayPicture,
    shown: list[str],
    words: dict[str, str],
    most_kw: float,
    *,
    first: bool,
    columns: int,
) -> dict[str, Any]:
    """Sun, heat and house. ``columns`` of the key, 0 for as many as it takes."""
    y = {
        "field": "kw",
        "type": "quantitative",
        "stack": None,
        "scale": {"domain": [0, most_kw * 1.05], "nice": False},
        "axis": _side_axis(words["power_axis"], first, tickCount=4),
    }
    colours = {
        "domain": [words[key] for key in shown],
        "range": [_SERIES[key][1] for key in shown],
    }
    layers = []
    for key in shown:
        place = {"x": {**HOURS, "axis": _hour_axis(labels=False)}, "y": y}
        colour: dict[str, Any] = {"field": "what", "scale": colours, "sort": None}
        if columns:
            colour["legend"] = {"columns": columns}
        data = {"values": _rows(day, key, words[key])}
        for mark, more in _marks(key, colour):
            layers.append({"data": data, "mark": mark, "encoding": {**place, **more}})
    return {"height": 128, "layer": layers}


def _marks(key: str, colour: dict[str, Any]) -> Iterator[tuple[dict[str, Any], dict[str, Any]]]:
    """Marks of a series from back to front; a line has a halo, as it crosses areas."""
    line = {"type": "line", "interpolate": "monotone"}
    if key == "house":
        yield {**line, "strokeWidth": 4.5, "color": HALO}, {}
        yield {**line, "strokeWidth": 2}, {"color": colour}
    else:
        yield {"type": "area", "interpolate": "step-after"}, {"color": colour}


def _side_axis(title: str, first: bool, **settings: Any) -> dict[str, Any]:
    """The axis of amounts: named and labelled on the first day only."""
    return {
        "title": title if first else None,
        "labels": first,
        "ticks": False,
        "domain": False,
        "minExtent": 34 if first else 0,
        "maxExtent": 34 if first else 0,
        **settings,
    }


def _rows(day: DayPicture, key: str, what: str) -> list[dict[str, Any]]:
    values = _values(day, key)
    rows = [
        {"hour": minute / 60.0, "kw": round(value, 3), "what": what}
        for minute, value in zip(day.minute, values, strict=True)
    ]
    return [*rows, {"hour": 24.0, "kw": round(values[-1], 3), "what": what}]


def _hour_axis(*, labels: bool) -> dict[str, Any]:
    return {
        "values": [0, 6, 12, 18, 24],
        "title": None,
        "grid": False,
        "labels": labels,
        "labelExpr": "datum.value + ':00'",
        "ticks": labels,
    }


def _taps(day: DayPicture, words: dict[str, str], most_l: float, *, first: bool) -> dict[str, Any]:
    """Litres at the taps, as bars."""
    rows = [
        {"hour": minute / 60.0, "end": minute / 60.0 + day.hours, "l": round(litres, 1)}
        for minute, litres in zip(day.minute, day.drawn_l, strict=True)
        if litres >= 0.5
    ]
    return {
        "height": 42,
        "data": {"values": rows},
        "mark": {"type": "rect", "color": TAPS},
        "encoding": {
            "x": {**HOURS, "axis": _hour_axis(labels=True)},
            "x2": {"field": "end"},
            "y": {
                "field": "l",
                "type": "quantitative",
                "scale": {"domain": [0, most_l], "nice": False},
                "axis": _side_axis(words["taps_axis"], first, tickCount=2),
            },
            "y2": {"datum": 0},
        },
    }


def _tank(day: DayPicture, words: dict[str, str], *, first: bool) -> dict[str, Any]:
    """Temperature of the tank's upper part."""
    values = [
        {"hour": minute / 60.0 + day.hours, "c": round(value, 1)}
        for minute, value in zip(day.minute, day.tank_c, strict=True)
        if not math.isnan(value)
    ]
    top_c = max([80.0, *(value["c"] for value in values)])
    low_c = min([20.0, *(value["c"] for value in values)])
    return {
        "height": 66,
        "data": {"values": values},
        "mark": {"type": "line", "color": WATER, "strokeWidth": 2.6},
        "encoding": {
            "x": {**HOURS, "axis": _hour_axis(labels=False)},
            "y": {
                "field": "c",
                "type": "quantitative",
                "scale": {"domain": [low_c, top_c], "nice": False},
                "axis": _side_axis(words["tank_axis"], first, values=[20, 40, 60, 80]),
            },
        },
    }


def months_chart(
    year: YearPicture, words: dict[str, str], months: Sequence[str], room: Room = WIDE
) -> Spec:
    """Twelve stacked bars: where the energy for hot water comes from."""
    parts = {
        "own": (year.own_sun_kwh, SUN),
        "collector": (year.collector_kwh, ROOF),
        "gas": (year.gas_kwh, GAS),
        "grid": (year.grid_kwh, GRID),
    }
    total = sum(sum(values) for values, _ in parts.values())
    shown = {key: part for key, part in parts.items() if sum(part[0]) > 0.002 * total}
    rows = [
        {"month": name, "kwh": round(value, 1), "what": words[key], "order": i}
        for i, (key, (values, _)) in enumerate(shown.items())
        for name, value in zip(months, values, strict=True)
    ]
    return {
        "width": room.width,
        "height": 180 if room.is_narrow else 140,
        "autosize": {"type": "fit", "contains": "padding"},
        "data": {"values": rows},
        "mark": {"type": "bar", "width": {"band": 0.7}},
        "encoding": {
            "x": _months_axis(months, room),
            "y": {
                "field": "kwh",
                "type": "quantitative",
                "axis": {"title": words["month_axis"], "tickCount": 4, "domain": False},
            },
            "color": {
                "field": "what",
                "sort": None,
                "scale": {
                    "domain": [words[key] for key in shown],
                    "range": [colour for _, colour in shown.values()],
                },
                "legend": {"columns": 2} if room.is_narrow else {},
            },
            "order": {"field": "order"},
        },
    }


def _months_axis(months: Sequence[str], room: Room) -> dict[str, Any]:
    """Where there is little room, months are their first letters."""
    words = {"labelExpr": "slice(datum.label, 0, 1)"} if room.is_narrow else {}
    return {
        "field": "month",
        "type": "ordinal",
        "sort": list(months),
        "axis": {"title": None, "labelAngle": 0, "ticks": False, "labelColor": INK, **words},
    }


def bills_chart(
    bills: Sequence[tuple[str, Sequence[float], str]],
    months: Sequence[str],
    money_label: str,
    room: Room = WIDE,
) -> Spec:
    """The home's bills by month, side by side: ``(name, twelve sums, colour)``."""
    rows = [
        {"month": month, "money": round(value, 2), "what": name}
        for name, values, _ in bills
        for month, value in zip(months, values, strict=True)
    ]
    names = [name for name, _, _ in bills]
    return {
        "width": room.width,
        "height": 200 if room.is_narrow else 125,
        "autosize": {"type": "fit", "contains": "padding"},
        "data": {"values": rows},
        "mark": {"type": "bar"},
        "encoding": {
            "x": _months_axis(months, room),
            "xOffset": {"field": "what", "sort": names},
            "y": {
                "field": "money",
                "type": "quantitative",
                "axis": {
                    "title": None,
                    "labelExpr": money_label,
                    "tickCount": 3,
                    "domain": False,
                },
            },
            "color": {
                "field": "what",
                "sort": None,
                "scale": {"domain": names, "range": [colour for _, _, colour in bills]},
                "legend": {"labelLimit": 400, "columns": 1 if room.is_narrow else 2},
            },
        },
    }
