"""What a typed text says in a field: as a case file writes it, and how it was read."""

from __future__ import annotations

import re
from dataclasses import dataclass

from tankful.casefile import moments
from tankful.casefile.quantities import EVEN_BLANKS, quantity
from tankful.marked import Marked
from tankful.model.fields import FieldRow
from tankful.model.window import CLOCK

_TIGHT, _PARTED = re.compile("[0-9],[0-9]"), re.compile(r"[0-9]\s+[-+.0-9]")
"""A comma between two digits, and numbers parted by blanks alone."""


@dataclass(frozen=True)
class Read:
    """``toml`` is the value; ``words`` say what was understood where that is more than the same
    digits, and are empty elsewhere."""

    toml: str
    words: str = ""


def reading(text: str, row: FieldRow, kind: str) -> Read | None:
    """A text typed into a field of a ``kind`` that is no text; ``None`` when it is not such."""
    text = text.translate(EVEN_BLANKS).strip()
    if kind == "number":
        return _numbers([text], row)
    if kind == "numbers":
        months = moments.months(text) if row.allowed == "numbers from 1 to 12" else None
        if months:
            return Read(f"[{months}]", months)
        inside = text.strip("[],; ")
        if ";" not in inside and _TIGHT.search(inside) and _PARTED.search(inside):
            return None  # "0,1 0,2" is two numbers or four
        parts = r"\s*;\s*" if ";" in inside else r"\s*,[,\s]*|\s+(?=[-+.0-9])"
        read = _numbers(re.split(parts, inside), row)
        if read and row.unit and re.search("[0-9],[0-9]", inside):  # might be decimal commas
            return Read(f"[{read.toml}]", f"{read.toml} {row.unit}")
        return Read(f"[{read.toml}]", read.words) if read else None
    if kind == "truth":
        word = {"yes": "true", "no": "false"}.get(text.lower(), text.lower())
        return Read(word) if word in ("true", "false") else None
    if kind == "date":
        return _day(text)
    if kind == "windows":
        return _windows(text)
    return _time(text) if row.allowed == Marked(CLOCK) else None


def _numbers(texts: list[str], row: FieldRow) -> Read | None:
    found = [quantity(text, row) for text in texts]
    toml = ", ".join(one.number for one in found if one)
    if not all(found):
        return None
    as_typed = all(one.as_typed for one in found if one)
    return Read(toml, "" if as_typed else f"{toml} {row.unit}".strip())


def _day(text: str) -> Read | None:
    day = moments.day(text)
    if day is None:
        return None
    iso, words = day.isoformat(), moments.day_words(day)
    return Read(iso, "" if text.casefold() in (iso, words.casefold()) else words)


def _windows(text: str) -> Read | None:
    spans = moments.spans(text)
    if spans is None:
        return None
    tables = ", ".join(moments.span_toml(span) for span in spans)
    same = re.findall(r"[0-9]+:[0-9]+", text) == re.findall(r"[0-9]+:[0-9]+", " ".join(spans))
    return Read(f"[{tables}]", "" if same else ", ".join(spans))


def _time(text: str) -> Read | None:
    time = moments.clock(text)
    return Read(f'"{time}"', "" if time == text else time) if time else None
