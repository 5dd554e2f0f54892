"""The report as data: sections of blocks. Both renderings are made from this and nothing else.

All text is plain: nothing in it is ever read as markup.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass
from datetime import date
from typing import Any, Literal

Spec = dict[str, Any]
"""A chart as a Vega-Lite specification with its data inside."""

Style = Literal["body", "lead", "note"]
Align = Literal["left", "right"]


@dataclass(frozen=True)
class Paragraph:
    text: str
    style: Style = "body"


@dataclass(frozen=True)
class Point:
    """One entry of a list; ``lead`` stands out before the text."""

    text: str
    lead: str = ""


@dataclass(frozen=True)
class Points:
    items: tuple[Point, ...]
    style: Literal["dot", "number", "box"] = "dot"
    small: bool = False


@dataclass(frozen=True)
class Headline:
    """What to do, in one breath."""

    text: str
    detail: str = ""


@dataclass(frozen=True)
class Figure:
    """One number that matters: what it is, the number, what it hangs on."""

    label: str
    value: str
    note: str


@dataclass(frozen=True)
class Figures:
    items: tuple[Figure, ...]


@dataclass(frozen=True)
class Chart:
    """A picture with its text alternative; ``id`` is unique in the document."""

    id: str
    spec: Spec
    alt: str
    caption: str = ""
    title: str = ""
    low_spec: Spec | None = None
    """The same in less height, for print where the page must hold more."""


@dataclass(frozen=True)
class Column:
    """A column of a table; ``width`` is its share of the room beside the others."""

    head: str
    align: Align = "right"
    width: float = 0.0
    """Zero: as wide as what stands in it."""


@dataclass(frozen=True)
class Table:
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    bold: tuple[int, ...] = ()
    """Rows that stand out."""
    small: bool = False
    caption: str = ""
    whole: bool = False
    """Never parted by the end of a page."""


@dataclass(frozen=True)
class Heading:
    """A heading inside a section."""

    text: str


@dataclass(frozen=True)
class Pair:
    """Two blocks of text side by side, each with its heading."""

    left_title: str
    left: tuple[Paragraph | Points, ...]
    right_title: str
    right: tuple[Paragraph | Points, ...]


Block = Paragraph | Points | Headline | Figures | Chart | Table | Heading | Pair


@dataclass(frozen=True)
class Section:
    id: str
    title: str
    blocks: tuple[Block, ...]
    new_page: bool = False
    back_matter: bool = False


@dataclass(frozen=True)
class Document:
    title: str
    subtitle: str
    lang: str
    day: date
    day_text: str
    running_head: str
    footer: str
    sections: tuple[Section, ...]
    words: dict[str, str]
    """The few words that the renderings themselves need."""

    @property
    def charts(self) -> tuple[Chart, ...]:
        """Every picture, in order."""
        blocks = [block for section in self.sections for block in section.blocks]
        return tuple(block for block in blocks if isinstance(block, Chart))


def plain(value: Any) -> Any:
    """A document or a part of it as plain data; every block carries its ``kind``."""
    if is_dataclass(value) and not isinstance(value, type):
        data = {field.name: plain(getattr(value, field.name)) for field in fields(value)}
        return {"kind": type(value).__name__.lower(), **data}
    if isinstance(value, tuple | list):
        return [plain(item) for item in value]
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    return value.isoformat() if isinstance(value, date) else value
