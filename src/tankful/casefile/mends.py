"""Guesses at what was meant: the slip behind a refused value, and how to write it right.

All are in words with marks, as what only a case file says is no help in a form."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, datetime, time
from difflib import get_close_matches
from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from tankful.casefile import moments
from tankful.casefile.quantities import is_fraction, quantity, says_none
from tankful.marked import marks_of
from tankful.model.fields import FieldRow, choices_in, tables_in

_ROUGHLY = re.compile(
    r"^(?:about|around|approx(?:imately|\.)?|roughly|circa|ca\.?|nearly|almost|maybe|[~≈])\s*"
    r"|\s*(?:or so|maybe|perhaps|\(?inc(?:l|luding)?\.? (?:gst|tax|vat)\)?)$"
)
"""Words around a number that do not change it."""


def section(path: str) -> str:
    """A table of the case, to be given."""
    return f"`a section [{path}]|<{path}>`"


def add_section(path: str) -> str:
    return f"`add a section [{path}]|fill in <{path}>`"


ADD_PANELS = (
    "`add a section [[electricity.arrays]] with kw|add the panels under <electricity.arrays>`"
)


def close_match(word: str, words: list[str]) -> str | None:
    """The word that was probably meant."""
    plain = word.lower().replace("-", "_").replace(" ", "_")
    return next(iter(get_close_matches(plain, words, n=1, cutoff=0.6)), None)


def unknown_key(name: str, table: type[BaseModel], root: type[BaseModel]) -> str:
    """A key that the table does not have: a near miss, or one that lives elsewhere."""
    names = list(table.model_fields)
    near = close_match(name, names)
    if near:
        return f"did you mean {near}?"
    homes = [path for path, inner in _sections(root, "") if name in inner.model_fields]
    if homes:
        return f"it belongs in {' or '.join(homes[:3])}"
    return f"remove it; known here: {', '.join(names)}"


def _sections(table: type[BaseModel], path: str) -> Iterator[tuple[str, type[BaseModel]]]:
    yield f"[{path}]" if path else "the top of the file", table
    for name, info in table.model_fields.items():
        for inner in tables_in(info.annotation):
            yield from _sections(inner, f"{path}.{name}" if path else name)


def number(value: Any, row: FieldRow, *, whole: bool) -> str:
    """Something else where a number belongs."""
    if isinstance(value, float) and value.is_integer():
        return f"write it without a point: {value:.0f}"
    if isinstance(value, int | float) and not isinstance(value, bool):
        return "write a whole number" if whole else "write a plain number"
    if not isinstance(value, str):
        return "write a plain number"
    if says_none(value, row):
        return _none(row)
    meant = _meant(value, row)
    if meant and "%" in value and is_fraction(row):
        return f"write it as a fraction`, without quotes|`: {meant}"
    if meant:
        return f"write only the number`, without quotes|`: {meant}"
    hot = re.fullmatch(r"\s*([0-9]{2,3}) ?°?F\s*", value) if row.unit == "degC" else None
    return in_range(float(hot[1]), row, "") if hot else "write a plain number`, without quotes|`"


def _meant(text: str, row: FieldRow) -> str | None:
    """The number that a text most likely means, in the unit of the field."""
    text = _ROUGHLY.sub("", text.strip().casefold())
    read = quantity(text, row)
    return read.number if read else None


def _is_alone(row: FieldRow) -> bool:
    """Whether zero in a field says that a whole thing is not there, not that a row is wrong."""
    return "[" not in row.path or row.path.startswith("electricity.arrays[")


def _none(row: FieldRow) -> str:
    """Where there is none of what is asked."""
    if re.fullmatch(r"electricity\.arrays\[[0-9]+\]\.kw", row.path):
        return "remove `this section|these panels` if there are none"
    if fits(0, row.allowed):
        return "write 0 for nothing, or `remove the line|leave it open`"
    return "`remove it|leave it open` if there is none"


def in_range(value: float | date, row: FieldRow, name: str) -> str:
    """A number outside its range: often the right one in another unit."""
    if isinstance(value, date):
        return "give a day in the allowed range"
    if name == "latitude" and abs(value) <= 90:
        return "south of the equator is negative, as in -33.9"
    if value == 0 and re.match("more than 0(?:,|$)", row.allowed) and _is_alone(row):
        return _none(row)
    if abs(value) > 1e15:
        return "give a value in the allowed range"
    for factor, words in _unit_slips(row, name):
        if fits(value * factor, row.allowed):
            return words.format(value=value, right=f"{value * factor:g}")
    if row.unit == "degC" and value > 80 and fits((value - 32) / 1.8, row.allowed):
        return f"{value:g} degF is {(value - 32) / 1.8:.0f} degC"
    return "give a value in the allowed range"


def _unit_slips(row: FieldRow, name: str) -> Iterator[tuple[float, str]]:
    if row.unit == "kW":
        yield 0.001, "{value:g} W is {right} kW"
    if row.unit.startswith("money/"):
        yield 0.01, "{value:g} cents is {right}"
    if is_fraction(row):
        yield 0.01, "write {value:g} % as the fraction {right}"
    if row.unit == "kWh":
        yield 0.001, "{value:g} Wh is {right} kWh"


def fits(value: float, allowed: str) -> bool:
    """Whether a number lies inside limits written as ``at least 0, at most 5`` or ``from 0 to
    5``."""
    between = re.search(r"from (-?[\d.]+) to (-?[\d.]+)", allowed)
    if between and not float(between[1]) <= value <= float(between[2]):
        return False
    for words, limit in re.findall(
        r"(at least|more than|at most|less than) (\S+?)(?:,|$)", allowed
    ):
        bound = float(limit)
        inside = {
            "at least": value >= bound,
            "more than": value > bound,
            "at most": value <= bound,
            "less than": value < bound,
        }
        if not inside[words]:
            return False
    return True


def true_or_false(value: Any) -> str:
    """Something else where true or false belongs."""
    word = value.strip().lower() if isinstance(value, str) else ""
    if value == 1 or word in ("true", "yes", "on", "1"):
        return "`write true, without quotes|choose “yes”`"
    if value == 0 or word in ("false", "no", "off", "0"):
        return "`write false, without quotes|choose “no”`"
    return "`write true or false, without quotes|choose “yes” or “no”`"


def day(value: Any) -> str:
    """Something else where a date belongs."""
    if isinstance(value, datetime):
        return f"write only the day: {value.date().isoformat()}"
    meant = moments.day(value) if isinstance(value, str) else None
    if meant:
        return f"write it` without quotes|`: {meant.isoformat()}"
    return (
        "`write year-month-day without quotes, such as 2026-11-25|write a day such as 25/11/2026`"
    )


def choice(value: Any, info: FieldInfo | None) -> str:
    """A word that is not among the choices."""
    choices = list(choices_in(info.annotation)) if info else []
    words = [item for item in choices if isinstance(item, str)]
    near = close_match(value, words) if isinstance(value, str) else None
    if near:
        return f'did you mean `"{near}"`?'
    return (
        "`choose one of the allowed words|choose one of the list`"
        if words
        else "`choose one of the allowed numbers|choose one of the list`"
    )


def pattern(value: str, row: FieldRow) -> str:
    """A text of the wrong form."""
    upper = value.strip().upper()
    if (
        "capital" in row.allowed
        and upper != value
        and upper.isascii()
        and upper.isalpha()
        and len(upper) in (2, 3)
    ):
        return f'write it in capitals: `"{upper}"|{upper}`'
    return f"write {marks_of(row.allowed)}"


def hours(value: Any, name: str) -> str:
    """Something else where clock hours belong."""
    spans = moments.spans(value) if isinstance(value, str) else None
    if spans:
        tables = ", ".join(moments.span_toml(span) for span in spans)
        return f"`write {name} = [{tables}]|write them as {', '.join(spans)}`"
    in_file = f'write {name} = [{{ start = "22:00", end = "07:00" }}] with the hours meant'
    return f"`{in_file}|write hours such as 22:00 to 07:00`"


def text(value: Any, row: FieldRow) -> str:
    """Something else where a text belongs."""
    if isinstance(value, time):
        return _in_quotes(value.strftime("%H:%M"))
    if isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= 9999:
        digits = f"{value:04d}" if "digits" in row.allowed else str(value)
        return _in_quotes(digits)
    return '`write a text in quotes: "..."|write it in words`'


def _in_quotes(text: str) -> str:
    return f'`write it in quotes: "{text}"|write {text}`'
