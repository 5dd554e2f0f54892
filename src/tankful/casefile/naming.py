"""What people call a field, a table or a choice, and words with marks as a form says them."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from functools import cache

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from tankful.casefile.labels import CHOICES, LABELS, LISTS, OF_FILES, any_row, raised, signs
from tankful.casefile.typed import field_at, kind_of, split_path
from tankful.casefile.words import FAMILIES, KINDS
from tankful.marked import MARK, Marked
from tankful.model.case import Case
from tankful.model.fields import choices_in, field_table, tables_in


def slot_of(path: str) -> str:
    """The field that a path lies in: its own, or that of the list or window around it; for a
    table the table; empty for the case as a whole."""
    while path:
        if field_at(path) is not None or table_at(path) is not None:
            return path
        cut = max(path.rfind("."), path.rfind("["))
        path = path[:cut] if cut > 0 else ""
    return ""


def table_at(path: str) -> FieldInfo | None:
    """The declaration of the table, or list of tables, that a path leads to, if any."""
    table: type[BaseModel] = Case
    info = None
    for name, row in split_path(path) or [("", None)]:
        info = table.model_fields.get(name)
        inner = next(tables_in(info.annotation), None) if info else None
        kinds = ("table", "tables") if row is None else ("tables",)
        if info is None or inner is None or kind_of(info) not in kinds:
            return None
        table = inner
    return info


def name_of(path: str) -> str:
    """What the form calls a field or table: ``quotes[2].tank_l`` is "Quote 2: Tank volume".
    So are columns of files of weather."""
    slot = slot_of(path)
    if not slot:
        column, comma, where = path.partition(",")
        return f"{OF_FILES.get(column, column)}{comma}{where}"
    around = raised(", ".join(_rows_of(slot)))
    if slot.endswith("]"):
        return around
    label = label_of(slot)
    if not around and label in _of_several():
        around = label_of(slot.rpartition(".")[0])
    return f"{around}: {label}" if around else label


@cache
def _of_several() -> frozenset[str]:
    """Labels that say too little alone: several tables bear them, or many lists."""
    paths = [row.path for row in field_table(Case)]
    tables = Counter(label_of(path) for path in paths if "[]" not in path)
    everywhere = Counter(label_of(path) for path in paths)
    return frozenset(label for label, times in everywhere.items() if times > 2 or tables[label] > 1)


def _rows_of(path: str) -> Iterator[str]:
    """The rows of lists on the way to a path, by name and number."""
    for found in re.finditer(r"\[(\d+)\]", path):
        lists = any_row(path[: found.start()])
        if lists in LISTS:
            yield f"{LISTS[lists][1]} {found[1]}"


def label_of(slot: str) -> str:
    """The name of a field or table within its row."""
    path = any_row(slot)
    if path in LABELS or path in LISTS:
        return LABELS.get(path) or LISTS[path][0]
    info = field_at(slot) or table_at(slot)
    words = str(info.description or "") if info else slot
    return raised(words.partition(";")[0])


def choices_of(path: str) -> tuple[tuple[str, str], ...]:
    """Values of a select and their words; none where a field has no choices."""
    info = field_at(path)
    if info is None:
        return ()
    if kind_of(info) == "truth":
        return (("true", "yes"), ("false", "no"))
    words: Mapping[str, str] = CHOICES.get(any_row(path).rpartition(".")[2], {})
    if path == "heater.kind":
        words = KINDS
    elif path.endswith(".family"):
        words = FAMILIES
    texts = (str(choice) for choice in choices_in(info.annotation))
    return tuple((text, words.get(text, text.replace("_", " "))) for text in texts)


def on_form(words: str, near: str = "") -> str:
    """Words as the form says them; ``near`` is the path of the field at which they stand."""
    if not isinstance(words, Marked):
        return signs(words)
    place = words.near or near
    return signs(MARK.sub(lambda found: _said(found[1], found[2], place), words.marks))


def _said(in_file: str, on_page: str | None, near: str) -> str:
    if on_page is not None:
        return re.sub("<(.+?)>", lambda name: _called(name[1], near), on_page)
    for shape, say in SHAPES.items():
        if found := re.fullmatch(shape, in_file):
            return say(found, near)
    return _choice(in_file, near) or _called(in_file, near)


SHAPES: Mapping[str, Callable[[re.Match[str], str], str]] = {
    r"write (\S+) = (\S+)": lambda found, near: (
        f"set {_called(found[1], near)} to {_value(found[2], found[1], near)}"
    ),
    r"remove (\S+)": lambda found, near: f"leave {_called(found[1], near)} open",
    r'(\w+) "(\w+)"': lambda found, near: (
        f"{_called(found[1], near)} set to {_value(found[2], found[1], near)}"
    ),
    r'(\w+) is "(\w+)"': lambda found, near: (
        f"{_called(found[1], near)} is {_value(found[2], found[1], near)}"
    ),
    r'"(\w+)"': lambda found, near: _choice(found[1], near) or found[1],
}
"""What a case file says, and how the form says it by its labels and choices."""


def _value(text: str, name: str, near: str) -> str:
    text = text.strip('"')
    return _choice(text, path_of(name, near)) or text


def _choice(text: str, path: str) -> str:
    words = dict(choices_of(path)).get(text)
    return f"“{words}”" if words else ""


def _called(name: str, near: str) -> str:
    """The label of a field or table; with its row where it is named by its whole path."""
    path = path_of(name, near)
    if not path:
        return name
    return f"“{name_of(path) if name == path else label_of(path)}”"


def path_of(name: str, near: str) -> str:
    """The path of a field or table that is named beside the field ``near``: by its whole path, or
    by what it is called in the same table or one around it."""
    name, around = name.strip("[]"), near
    while around:
        path = f"{around}.{name}"
        if slot_of(path) == path:
            return path
        around = around.rpartition(".")[0]
    return name if slot_of(name) == name else ""
