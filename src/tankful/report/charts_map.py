"""The decision map as a picture: areas in shades that differ in grey, each with its letter."""

from __future__ import annotations

from collections.abc import Iterator
from string import ascii_uppercase
from typing import Any

import numpy as np

from tankful.clock import BoolArray, FloatArray
from tankful.model.whatif import Axis, DecisionMap
from tankful.report.charts import own
from tankful.report.document import Spec
from tankful.report.look import INK, SOFT, WIDE, WIDTH, Room, luminance, tint
from tankful.report.say import one_line, said_money

SHADES = ("#e6ebee", "#8ab5ba", "#f0c46c", "#23406e", "#c9793f", "#4f7f99", "#b9c4a8", "#6b5b73")
"""Areas from the largest on; neighbours in the list differ in lightness."""

HEIGHT = 420
INSET = 0.02
"""Of letters from the rim, as a share of the plane."""
CENTS = ("AUD", "NZD", "USD", "CAD", "EUR")


def letter_of(option: int) -> str:
    """What a winner is called on the map."""
    return ascii_uppercase[option % len(ascii_uppercase)]


def shade_of(option: int) -> str:
    """The colour of a winner's area."""
    return SHADES[option % len(SHADES)]


def map_chart(found: DecisionMap, *, bare: bool = False, room: Room = WIDE) -> Spec:
    """The map with a mark for today; pale where the two cheapest are within the tie margin.

    A ``bare`` one leaves title and key to what stands around it.
    """
    names = [f"{letter_of(i)}  {label}" for i, label in enumerate(found.option_labels)]
    shades = [shade_of(i) for i in range(len(names))]
    x_factor, x_title = axis_words(found.x, found.currency)
    y_factor, y_title = axis_words(found.y, found.currency)
    x_edges, y_edges = _edges(found.x.values * x_factor), _edges(found.y.values * y_factor)
    areas = [
        {**box, "option": names[winner]} for box, winner in _boxes(found.winner, x_edges, y_edges)
    ]
    tied = _boxes(np.where(found.tie, found.winner, -1), x_edges, y_edges)
    ties = [{**box, "c": tint(shades[winner], 0.5)} for box, winner in tied if winner >= 0]
    borders = list(_borders(found.winner, found.winner, x_edges, y_edges))
    soft = list(_borders(found.tie.astype(int), found.winner, x_edges, y_edges, within=True))
    place = {
        "x": _axis("x", x_title, x_edges, 4 if room.is_narrow else 7),
        "x2": {"field": "x2"},
        "y": _axis("y", y_title, y_edges, 7),
        "y2": {"field": "y2"},
    }
    colour = {
        "field": "option",
        "type": "nominal",
        "scale": {"domain": names, "range": shades},
        "legend": None if bare else _KEY,
    }
    coloured = {**place, "color": colour, "stroke": {**colour, "legend": None}}
    box = {"type": "rect", "strokeWidth": 0.8}
    line = {"type": "rule", "color": INK, "strokeWidth": 1, "opacity": 0.7}
    return {
        **({} if bare else {"title": _heading(found)}),
        "width": room.width,
        "height": room.width if room.is_narrow else HEIGHT,
        "autosize": {"type": "fit-x", "contains": "padding"},
        "layer": [
            _layer(areas, box, coloured),
            _layer(ties, box, {**place, "color": own("c"), "stroke": own("c")}),
            _layer(borders, line, place),
            _layer(soft, {**line, "strokeDash": [2, 3]}, place),
            *(_letter(found, i, shades[i], x_edges, y_edges, place) for i in range(len(names))),
            *_today(found, x_factor, y_factor, place),
        ],
    }


_KEY = {"orient": "bottom", "columns": 1, "title": None, "labelLimit": WIDTH}


def _heading(found: DecisionMap) -> dict[str, Any]:
    margin = said_money(found.tie_margin, found.currency)
    return {
        "text": f"{one_line(found.case_name)}: which option is the cheapest where",
        "subtitle": f"Pale: the next option is within {margin}. Ring: today.",
        "subtitleColor": SOFT,
        "subtitleFontSize": 12,
        "offset": 12,
    }


def axis_words(axis: Axis, currency: str) -> tuple[float, str]:
    """What to multiply an axis' values with, and its title with the unit."""
    unit = axis.unit
    if unit == "a year":
        return 100.0, f"{axis.label} [%]"
    if unit.startswith("%"):
        return 1.0, f"{axis.label} [{unit}]"
    if unit.startswith(f"{currency}/") and currency in CENTS and not unit.endswith("day"):
        return 100.0, f"{axis.label} [c{unit.removeprefix(currency)}]"
    return 1.0, f"{axis.label} [{unit}]"


def _axis(channel: str, title: str, edges: FloatArray, ticks: int) -> dict[str, Any]:
    return {
        "field": channel,
        "type": "quantitative",
        "scale": {"domain": [edges[0], edges[-1]], "nice": False, "zero": False},
        "axis": {"title": title, "titleAnchor": "start", "grid": False, "tickCount": ticks},
    }


def _layer(
    rows: list[dict[str, Any]], mark: dict[str, Any], encoding: dict[str, Any]
) -> dict[str, Any]:
    return {"data": {"values": rows}, "mark": mark, "encoding": encoding}


def _edges(values: FloatArray) -> FloatArray:
    """Borders of the cells about evenly spaced values, the outer ones at the ends."""
    middle = (values[:-1] + values[1:]) / 2.0
    return np.concatenate([values[:1], middle, values[-1:]])


def _runs(row: np.ndarray) -> Iterator[tuple[int, int, Any]]:
    """Stretches of equal items: first place, place after the last, item."""
    starts = np.flatnonzero(np.concatenate([[True], row[1:] != row[:-1]]))
    ends = np.concatenate([starts[1:], [row.size]])
    yield from zip(starts.tolist(), ends.tolist(), row[starts].tolist(), strict=True)


def _boxes(
    values: np.ndarray, x_edges: FloatArray, y_edges: FloatArray
) -> Iterator[tuple[dict[str, float], int]]:
    """Rectangles of equal values that cover a grid: runs of a row, joined with equal ones of the
    rows that follow."""
    open_runs: dict[tuple[int, int, int], int] = {}
    for row in range(values.shape[0] + 1):
        runs = list(_runs(values[row])) if row < values.shape[0] else []
        for run, first in list(open_runs.items()):
            if run not in runs:
                start, end, value = run
                sides = {"x": x_edges[start], "x2": x_edges[end]}
                yield {**sides, "y": y_edges[first], "y2": y_edges[row]}, value
                del open_runs[run]
        for run in runs:
            open_runs.setdefault(run, row)


def _borders(
    values: np.ndarray,
    winner: np.ndarray,
    x_edges: FloatArray,
    y_edges: FloatArray,
    *,
    within: bool = False,
) -> Iterator[dict[str, Any]]:
    """Lines between cells of unlike ``values``, or only those ``within`` one winner's area."""
    upright = values[:, 1:] != values[:, :-1]
    across = values[1:, :] != values[:-1, :]
    if within:
        upright &= winner[:, 1:] == winner[:, :-1]
        across &= winner[1:, :] == winner[:-1, :]
    for column, along in enumerate(upright.T, start=1):
        for start, end, is_border in _runs(along):
            if is_border:
                x = x_edges[column]
                yield {"x": x, "x2": x, "y": y_edges[start], "y2": y_edges[end]}
    for row, along in enumerate(across, start=1):
        for start, end, is_border in _runs(along):
            if is_border:
                y = y_edges[row]
                yield {"x": x_edges[start], "x2": x_edges[end], "y": y, "y2": y}


def _inset(value: float, edges: FloatArray) -> float:
    """A place along an axis, moved off its ends."""
    least, most = edges[0], edges[-1]
    rim = INSET * (most - least)
    return float(np.clip(value, least + rim, most - rim))


def _letter(
    found: DecisionMap,
    option: int,
    shade: str,
    x_edges: FloatArray,
    y_edges: FloatArray,
    place: dict[str, Any],
) -> dict[str, Any]:
    """The option's letter where its area is widest."""
    row, column = _innermost(found.winner == option)
    spot = {
        "x": _inset((x_edges[column] + x_edges[column + 1]) / 2.0, x_edges),
        "y": _inset((y_edges[row] + y_edges[row + 1]) / 2.0, y_edges),
        "letter": letter_of(option),
    }
    ink = "white" if luminance(shade) < 0.2 and not found.tie[row, column] else INK
    mark = {"type": "text", "fontSize": 18, "fontWeight": 700, "color": ink}
    encoding = {"x": place["x"], "y": place["y"], "text": {"field": "letter"}}
    return _layer([spot], mark, encoding)


def _innermost(inside: BoolArray) -> tuple[int, int]:
    """The cell of an area farthest from its border."""
    from scipy.ndimage import distance_transform_edt

    depth = distance_transform_edt(np.pad(inside, 1))[1:-1, 1:-1]
    row, column = np.unravel_index(int(np.argmax(depth)), inside.shape)
    return int(row), int(column)


def _today(
    found: DecisionMap, x_factor: float, y_factor: float, place: dict[str, Any]
) -> Iterator[dict[str, Any]]:
    """A ring where the home is today; none where the map misses it."""
    for axis in (found.x, found.y):
        if not axis.values.min() <= axis.today <= axis.values.max():
            return
    spot = [{"x": found.x.today * x_factor, "y": found.y.today * y_factor, "word": "today"}]
    encoding = {"x": place["x"], "y": place["y"]}
    ring = {"type": "point", "shape": "circle", "size": 130, "filled": False}
    yield _layer(spot, {**ring, "color": "white", "strokeWidth": 5}, encoding)
    yield _layer(spot, {**ring, "color": INK, "strokeWidth": 2}, encoding)
