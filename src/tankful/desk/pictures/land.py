"""The decision map, what its pointer reads out, and its table."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from tankful.advice.lever_words import amount
from tankful.advice.wording import money
from tankful.desk.pictures.ink import plane_of
from tankful.desk.pictures.sheet import Sheet, picture
from tankful.model.currency import SIGNS
from tankful.model.whatif import Axis, DecisionMap
from tankful.report.charts_map import SHADES, letter_of, map_chart, shade_of
from tankful.report.document import Column, Table
from tankful.report.look import INK
from tankful.report.say import one_line

TABLE_ROWS, TABLE_COLUMNS = 9, 7


def map_sheet(found: DecisionMap, names: dict[str, str]) -> Sheet:
    """A map; ``names`` are the labels of all options by id."""
    labels = [one_line(label) for label in found.option_labels]
    most = ", ".join(f"{letter_of(i)} {label}" for i, label in enumerate(labels))
    drawn = picture(
        "map",
        "Which option is the cheapest where",
        map_chart(found, bare=True),
        alt=f"Along: {found.x.label}. Up: {found.y.label}. From the largest area to the "
        f"smallest: {most}.",
        tables=(_table(found),),
        caption=f"Pale: the next option is within {money(found.tie_margin, found.currency)}. "
        "Ring: today.",
        keep=(INK, *SHADES),  # letters stand on areas that are the same in light and dark
    )
    legend = [(letter_of(i), label, shade_of(i)) for i, label in enumerate(labels)]
    pointer = {**_pointer(found, names), "plane": plane_of(drawn.svg)}
    facts = {"legend": legend, "x": found.x.key, "y": found.y.key}
    return Sheet(pictures=(replace(drawn, pointer=pointer),), facts=facts)


def _pointer(found: DecisionMap, names: dict[str, str]) -> dict[str, Any]:
    """Every cell in the words that are read out. Rows follow ``y``'s values, low to high."""
    ids = list(dict.fromkeys((*found.option_ids, *(i for row in found.runner_up for i in row))))
    number = {option_id: i for i, option_id in enumerate(ids)}
    sign = SIGNS.get(found.currency, "")
    return {
        "x": _axis(found.x, found.currency),
        "y": _axis(found.y, found.currency),
        "names": [one_line(names[option_id]) for option_id in ids],
        "letters": [letter_of(i) for i in range(len(found.option_ids))],
        "winner": found.winner.tolist(),
        "next": [[number[option_id] for option_id in row] for row in found.runner_up],
        "tie": found.tie.astype(int).tolist(),
        "margin": [
            [round(value) if np.isfinite(value) else None for value in row]
            for row in found.margin.tolist()
        ],
        "before": sign,
        "after": "" if sign else f" {found.currency}",
    }


def _axis(axis: Axis, currency: str) -> dict[str, Any]:
    return {
        "label": axis.label[:1].upper() + axis.label[1:],
        "values": [amount(float(value), axis.unit, currency) for value in axis.values],
        "today": int(np.argmin(np.abs(axis.values - axis.today))),
    }


def _table(found: DecisionMap) -> Table:
    """Some rows and columns of the map, from high to low as it is drawn."""
    rows = _spread(found.y.values.size, TABLE_ROWS)[::-1]
    columns = _spread(found.x.values.size, TABLE_COLUMNS)
    currency = found.currency

    def said(axis: Axis, at: int) -> str:
        return amount(float(axis.values[at]), axis.unit, currency)

    body = tuple(
        (
            said(found.y, row),
            *(
                f"{letter_of(int(found.winner[row, at]))} by "
                f"{money(float(found.margin[row, at]), currency)}"
                for at in columns
            ),
        )
        for row in rows
    )
    heads = (
        Column(f"{found.y.label} (down), {found.x.label} (across)", "left"),
        *(Column(said(found.x, at)) for at in columns),
    )
    return Table(heads, body, caption="The cheapest option and by how much")


def _spread(count: int, most: int) -> list[int]:
    """At most ``most`` of ``count`` places, evenly."""
    places: list[int] = (
        np.unique(np.linspace(0, count - 1, min(count, most)).round()).astype(int).tolist()
    )
    return places
