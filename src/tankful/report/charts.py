"""The charts of money as Vega-Lite dictionaries, with their data inside."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from textwrap import wrap
from typing import Any

from tankful.model.currency import SIGNS
from tankful.report.document import Spec
from tankful.report.look import INK, MORE, OTHER, OTHER_DARK, SOFT, WIDE, Room, tint
from tankful.report.say import said_money

LINE_PX = 15
"""Height of a line of a name."""

_LIFT = {
    "condition": [
        {"test": f"length(split(datum.label, '\\n')) == {lines}", "value": -8 * (lines - 1)}
        for lines in range(2, 8)
    ],
    "value": 0,
}
"""A name on several lines stands with its middle at the bar."""


def names_axis(field: str, names: Sequence[str], *, most_px: int = 340) -> dict[str, Any]:
    """An upright axis of names in their order, numbered to keep them apart: ``3|two\\nlines`` is
    shown without its number."""
    return {
        "field": field,
        "type": "nominal",
        "sort": list(names),
        "axis": {
            "title": None,
            "labelExpr": "split(slice(datum.label, indexof(datum.label, '|') + 1), '\\n')",
            "labelLimit": most_px,
            "labelOffset": _LIFT,
            "labelColor": INK,
            "domain": False,
            "ticks": False,
        },
    }


def wrapped(label: str, width: int = WIDE.characters) -> str:
    """A name on as many lines as it takes; the name of a quote begins one of its own."""
    parts = [label] if len(label) <= width else label.replace(" (", "\n(", 1).split("\n")
    lines = [line for part in parts for line in wrap(part, width, break_long_words=True)]
    return "\n".join(lines) or label


def money_axis(currency: str) -> str:
    """Vega expression that labels an axis of money."""
    sign = SIGNS.get(currency, "")
    tail = "" if sign else f" {currency}"
    return f"(datum.value < 0 ? '-' : '') + '{sign}' + format(abs(datum.value), ',') + '{tail}'"


def lanes_chart(names: Sequence[str], least_px: int, room: Room, **content: Any) -> Spec:
    """A chart with a lane for each name, at least ``least_px`` high."""
    return {
        "width": room.width,
        "height": {"step": lane_px(names, least_px)},
        "autosize": {"type": "fit-x", "contains": "padding"},
        **content,
    }


def own(field: str) -> dict[str, Any]:
    """An encoding by colours that stand in the rows themselves."""
    return {"field": field, "scale": None}


def words_at(y: dict[str, Any], x: str, words: str) -> dict[str, Any]:
    """Where words in the rows stand: in their lane, at a value of theirs."""
    return {"y": y, "x": {"field": x, "type": "quantitative"}, "text": {"field": words}}


def choices_chart(
    options: Sequence[tuple[str, float, float, bool, str]],
    *,
    currency: str,
    accent: str,
    room: Room = WIDE,
) -> Spec:
    """Each option's cost over the years: ``(name, up front, total, is among the best,
    what stands at its end)``.

    A bar is what is paid at the start (dark) and in the years after (light).
    """
    rows: list[dict[str, Any]] = []
    totals: list[dict[str, Any]] = []
    for i, (name, upfront, total, best, end) in enumerate(options):
        label = f"{i}|{wrapped(name, room.characters)}"
        dark, light = (accent, tint(accent, 0.45)) if best else (OTHER_DARK, OTHER)
        rows += [
            {"option": label, "part": 0, "money": round(upfront), "c": dark},
            {"option": label, "part": 1, "money": round(total - upfront), "c": light},
        ]
        most = round(max(total, upfront))
        totals.append({"option": label, "end": most, "text": end, "best": best})
    names = [row["option"] for row in totals]
    y = names_axis("option", names)
    # the widest text must end before the picture does
    most = max((row["end"] / (1.0 - room.letter * len(row["text"])) for row in totals), default=1)
    least = min(0, *(round(row["money"]) for row in rows))
    x = {
        "field": "money",
        "type": "quantitative",
        "stack": "zero",
        "scale": {"domain": [least, most], "nice": False},
        "axis": {**money_axis_of(currency, room), "grid": False},
    }
    bars = {
        "data": {"values": rows},
        "mark": {"type": "bar", "height": {"band": 0.68}},
        "encoding": {"y": y, "x": x, "color": own("c"), "order": {"field": "part"}},
    }
    ends = (
        {
            "data": {"values": [row for row in totals if row["best"] == best]},
            "mark": end_text(weight),
            "encoding": words_at(y, "end", "text"),
        }
        for best, weight in ((True, 600), (False, 400))
    )
    least_px = 30 if len(names) <= 8 else 26 if len(names) <= 12 else 20
    return lanes_chart(names, least_px, room, layer=[bars, *ends])


def lane_px(names: Sequence[str], least: int) -> int:
    """Height in which each of some names has room, in pixels."""
    return max(least, LINE_PX * (max(name.count("\n") for name in names) + 1) + 2)


def money_axis_of(currency: str, room: Room) -> dict[str, Any]:
    """An axis along the bottom with amounts of money."""
    ticks = {"tickCount": room.ticks, "domain": False}
    return {"title": None, "labelExpr": money_axis(currency), **ticks}


def end_text(weight: int) -> dict[str, Any]:
    """The mark of words behind the end of a bar."""
    return {"type": "text", "align": "left", "baseline": "middle", "dx": 5, "fontWeight": weight}


def waterfall_chart(
    steps: Sequence[tuple[str, float, float, str]],
    *,
    currency: str,
    accent: str,
    amount: Callable[[float, str], str] = said_money,
    room: Room = WIDE,
) -> Spec:
    """Steps from one total to another: ``(words, from, to, kind)``, kind start, end, less or
    more."""
    shades = {"start": OTHER_DARK, "end": accent, "less": tint(accent, 0.45), "more": MORE}
    rows: list[dict[str, Any]] = [
        {
            "step": f"{i}|{wrapped(words, room.characters)}",
            "a": round(min(a, b)),
            "b": round(max(a, b)),
            "c": shades[kind],
            "text": amount(b - a, currency)
            if kind in ("start", "end")
            else f"{'+' if b > a else '−'}{amount(abs(b - a), currency)}",
        }
        for i, (words, a, b, kind) in enumerate(steps)
    ]
    names = [row["step"] for row in rows]
    y = names_axis("step", names)
    most = max(row["b"] for row in rows)
    least = min(0, *(row["a"] for row in rows))
    scale = {"domain": [least, most * (1.0 + room.ends)], "nice": False}
    axis = money_axis_of(currency, room)
    x = {"field": "a", "type": "quantitative", "scale": scale, "axis": axis}
    bars = {
        "mark": {"type": "bar", "height": {"band": 0.66}},
        "encoding": {"y": y, "x": x, "x2": {"field": "b"}, "color": own("c")},
    }
    ends = {"mark": {**end_text(400), "color": SOFT}, "encoding": words_at(y, "b", "text")}
    return lanes_chart(names, 24, room, data={"values": rows}, layer=[bars, ends])
