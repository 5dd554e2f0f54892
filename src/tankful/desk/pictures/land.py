"""The decision map, what its pointer reads out, and its table."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from tankful.advice.along import Costs, Landscape
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


def map_sheet(found: DecisionMap, names: dict[str, str], gap: float) -> Sheet:
    """A map; ``names`` are the labels of all options by id, ``gap`` is by how much the best is
    ahead today, as the answer says it."""
    if _has_today(found):
        margin = found.margin.copy()
        margin[_today(found.y), _today(found.x)] = gap
        found = replace(found, margin=margin)
    labels = [one_line(label) for label in found.option_labels]
    most = ", ".join(f"{letter_of(i)} {label}" for i, label in enumerate(labels))
    drawn = picture(
        "map",
        _here(found, labels),
        lambda room: map_chart(found, bare=True, room=room),
        alt=f"Along: {found.x.label}. Up: {found.y.label}. From the largest area to the "
        f"smallest: {most}.",
        tables=(_table(found),),
        caption="Pale, within dashes: the next option is within "
        f"{money(found.tie_margin, found.currency)}. Ring: today.",
        keep=(INK, *SHADES),  # letters stand on areas that are the same in light and dark
    )
    legend = [(letter_of(i), label, shade_of(i)) for i, label in enumerate(labels)]
    planes = [plane_of(drawn.wide), plane_of(drawn.narrow)]
    pointer = {**_pointer(found, names), "planes": planes}
    facts = {"legend": legend, "x": found.x.key, "y": found.y.key}
    return Sheet(pictures=(replace(drawn, pointer=pointer),), facts=facts)


def _here(found: DecisionMap, labels: list[str]) -> str:
    """What wins at today's values, or on most of a map that misses them."""
    if not _has_today(found):
        share = float((found.winner == 0).mean())
        return f"{labels[0]} wins on {share:.0%} of the map"
    row, column = _today(found.y), _today(found.x)
    label = labels[int(found.winner[row, column])]
    margin = float(found.margin[row, column])
    if not np.isfinite(margin):
        return f"Today “{label}” wins; no other is usable"
    tie = ", no more than a tie" if found.tie[row, column] else ""
    return f"Today “{label}” wins by {money(margin, found.currency)}{tie}"


def gap_today(ground: Landscape) -> float:
    """What the next option costs more than the best, as their rounded costs differ."""
    fine = ground.fine
    first, second = np.sort(Costs(fine.cheapest(fine.trial_costs()), fine.usable).ranked)[:2]
    return float(np.rint(second) - np.rint(first))


def _has_today(found: DecisionMap) -> bool:
    return _is_within(found.x) and _is_within(found.y)


def _is_within(axis: Axis) -> bool:
    return bool(axis.values[0] <= axis.today <= axis.values[-1])


def _today(axis: Axis) -> int:
    """The place on an axis that is nearest to today's value, or is it."""
    return int(np.argmin(np.abs(axis.values - axis.today)))


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
    shares = (axis.values - axis.values[0]) / (axis.values[-1] - axis.values[0])
    return {
        "label": axis.label[:1].upper() + axis.label[1:],
        "values": [amount(float(value), axis.unit, currency) for value in axis.values],
        "at": [round(float(share), 4) for share in shares],
        "today": _today(axis),
        "exact": _is_within(axis),
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
