"""The case form as data: sections, groups and fields, made from the one field table."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from tankful.casefile.labels import FOLDS, LISTS, NOTHING_ASSUMED, any_row, named, raised, signs
from tankful.casefile.naming import choices_of, on_form, slot_of
from tankful.casefile.typed import Typed, kind_of, read_as, typed_text
from tankful.data.store import cite
from tankful.desk.layout import FILE_FIELDS, SECTIONS, Section
from tankful.errors import Fault
from tankful.model.case import Case, Wishes
from tankful.model.currency import SIGNS
from tankful.model.fields import FieldRow, field_row, tables_in

CURRENCY = str(Wishes.model_fields["currency"].default)
MOST_ROWS = 50
"""Rows of one list that the form shows."""
MOST_IN_CHOICE = 20
"""Letters of a default that a choice can show."""


@dataclass(frozen=True)
class FormField:
    """One input as the page shows it. ``default`` is what holds when it is left open, ``read``
    how the value was understood where that is not plain."""

    path: str
    label: str
    remark: str
    kind: str
    unit: str
    allowed: str
    default: str
    source: str
    required: bool
    value: str
    read: str
    faults: tuple[Fault, ...]
    choices: tuple[tuple[str, str], ...]

    @property
    def shows_default(self) -> bool:
        """Whether the choice "left open" has room for the default."""
        return bool(self.choices) and len(self.default) <= MOST_IN_CHOICE


@dataclass(frozen=True)
class Group:
    """A table of the case with what it holds. ``row`` is the path of a list's entry, ``adds``
    the path of the entry that could be added next, ``one`` what an entry is called."""

    path: str
    title: str
    about: str
    faults: tuple[Fault, ...]
    items: tuple[FormField | Group, ...]
    row: str = ""
    adds: str = ""
    one: str = ""

    @property
    def is_given(self) -> bool:
        """Whether anything in it was typed, opened or is at fault."""
        if self.faults or self.row:
            return True
        return any(
            item.is_given if isinstance(item, Group) else bool(item.value or item.faults)
            for item in self.items
        )


@dataclass(frozen=True)
class FormSection:
    """A section: what it asks at once, and what is folded away."""

    section: Section
    asked: tuple[FormField | Group, ...]
    more: tuple[FormField | Group, ...]


@dataclass(frozen=True)
class Source:
    """What the form is made from. ``opened`` are empty rows that the page has added."""

    typed: Typed
    faults: Mapping[str, tuple[Fault, ...]]
    opened: tuple[str, ...] = ()
    skip: tuple[str, ...] = ()


def form_of(
    typed: Typed, faults: Iterable[Fault], opened: Iterable[str] = ()
) -> tuple[FormSection, ...]:
    """The whole form."""
    slots = by_slot(faults)
    form = []
    for section in SECTIONS:
        plain = Source(typed, slots, tuple(opened))
        others = [path for other in SECTIONS if other is not section for path in other.owns]
        rest = Source(typed, slots, tuple(opened), skip=(*section.asks, *others))
        asked = [item_at(path, plain) for path in section.asks]
        more = [item_at(path, rest) for path in section.owns if path not in section.asks]
        form.append(FormSection(section, tuple(asked), tuple(filter(_holds, more))))
    return tuple(form)


def _holds(item: FormField | Group) -> bool:
    """Not a table of which everything is asked elsewhere."""
    return isinstance(item, FormField) or bool(item.items or item.adds)


def by_slot(faults: Iterable[Fault]) -> dict[str, tuple[Fault, ...]]:
    """Faults by the field or table at which the form shows them."""
    slots: dict[str, tuple[Fault, ...]] = {}
    for fault in faults:
        slot = slot_of(fault.field)
        slots[slot] = (*slots.get(slot, ()), fault)
    return slots


def item_at(path: str, source: Source) -> FormField | Group:
    """The field or table at a path of the case, such as ``electricity.tariff`` or
    ``quotes[2].family``. KeyError when there is none."""
    table: type[BaseModel] = Case
    info: FieldInfo | None = None
    for name in path.split("."):
        info = table.model_fields[name.partition("[")[0]]
        table = next(tables_in(info.annotation), table)
    assert info is not None
    return _item(info, path, source)


def _item(info: FieldInfo, path: str, source: Source) -> FormField | Group:
    kind = kind_of(info)
    if kind == "table":
        return _group(info, path, _title(info, path), source)
    return _rows(info, path, source) if kind == "tables" else _field(info, path, kind, source)


def _group(info: FieldInfo, path: str, title: str, source: Source, row: str = "") -> Group:
    """A table with what it holds, but for what is asked elsewhere."""
    table = next(tables_in(info.annotation))
    items = {
        name: _item(inner, f"{path}.{name}", source)
        for name, inner in table.model_fields.items()
        if f"{path}.{name}" not in source.skip
    }
    folds = [
        Group(f"{path}.{n}", fold, "", (), tuple(items.pop(name) for name in names))
        for n, (fold, names) in enumerate(FOLDS.get(any_row(path), {}).items(), 1)
    ]
    about = " ".join((table.__doc__ or "").split("\n\n")[0].split())
    held = (*items.values(), *folds)
    return Group(path, title, about, source.faults.get(path, ()), held, row=row)


def _rows(info: FieldInfo, path: str, source: Source) -> Group:
    """A list of tables: the rows that hold something, and the one that may be added."""
    names = (*source.typed, *source.opened)
    numbers = [int(match[1]) for name in names if (match := re.match(_row_mark(path), name))]
    count = min(max(numbers, default=0), MOST_ROWS)
    title, one = LISTS[any_row(path)]
    rows = tuple(
        _group(info, f"{path}[{n}]", f"{raised(one)} {n}", source, row=f"{path}[{n}]")
        for n in range(1, count + 1)
    )
    about = "" if title.startswith(_title(info, path)) else f"{_title(info, path)}."
    adds = f"{path}[{count + 1}]"
    return Group(path, title, about, source.faults.get(path, ()), rows, adds=adds, one=one)


def _row_mark(path: str) -> str:
    return re.escape(path) + r"\[(\d+)\]"


def _field(info: FieldInfo, path: str, kind: str, source: Source) -> FormField:
    row = field_row(path, info)
    value = source.typed.get(path, "")
    label, remark = named(any_row(path), on_form(row.about, path))
    return FormField(
        path=path,
        label=label,
        remark=remark,
        kind="file" if path in FILE_FIELDS else kind,
        unit=_unit(row.unit, source),
        allowed=_allowed(kind, row),
        default=_default(row),
        source=cite(row.source) if row.source else "",
        required=row.required,
        value=value,
        read=_unit(read_as(value, info), source),
        faults=source.faults.get(path, ()),
        choices=choices_of(path),
    )


def _unit(words: str, source: Source) -> str:
    """Words with units as people write them, and the sign of the money of the case."""
    code = source.typed.get("wishes.currency") or CURRENCY
    return signs(words).replace("money", SIGNS.get(code, code))


def _allowed(kind: str, row: FieldRow) -> str:
    if kind == "windows":
        return "Hours such as 10pm to 7am, or 22:00 to 07:00, 10:00 to 15:00 weekday"
    if kind == "date":
        return "A day such as 25/11/2026, or 25 Nov 2026"
    if kind in ("choice", "truth"):
        return ""
    return raised(on_form(row.allowed, row.path))


def _default(row: FieldRow) -> str:
    if (row.required and not row.when_absent) or any_row(row.path) in NOTHING_ASSUMED:
        return ""
    open_words = "none" if row.default in (None, "", ()) else typed_text(row.default)
    words = row.when_absent or open_words
    return dict(choices_of(row.path)).get(words) or on_form(words, row.path)


def _title(info: FieldInfo, path: str) -> str:
    return raised(on_form(info.description or "", path))


def anchor(path: str) -> str:
    """A path as the id of an element."""
    return "f-" + re.sub(r"[^a-z0-9]+", "-", path.lower()).strip("-")
