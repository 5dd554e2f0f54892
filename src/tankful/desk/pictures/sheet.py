"""What is drawn at one go, as data that can be kept."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

from tankful.desk.pictures.ink import inked
from tankful.report.document import Column, Spec, Table
from tankful.report.draw import to_svg
from tankful.report.look import NARROW, WIDE, Room


@dataclass(frozen=True)
class Picture:
    """A drawing, for wide pages and for narrow ones, and the tables behind it; its title says
    what is to be seen. ``pointer`` is what a pointer on it can read out."""

    id: str
    title: str
    wide: str
    narrow: str
    caption: str
    tables: tuple[Table, ...]
    pointer: dict[str, Any] | None = None


@dataclass(frozen=True)
class Sheet:
    """Pictures of one kind, with what is said before and after them; ``facts`` is what the page's
    controls need of it."""

    lead: tuple[str, ...] = ()
    pictures: tuple[Picture, ...] = ()
    sentences: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()
    facts: dict[str, Any] = field(default_factory=dict)


def picture(
    name: str,
    title: str,
    chart: Callable[[Room], Spec],
    *,
    alt: str,
    tables: tuple[Table, ...],
    caption: str = "",
    keep: tuple[str, ...] = (),
) -> Picture:
    """Draw a chart for each room in the page's colours but for those to ``keep``."""
    wide, narrow = (
        inked(to_svg(chart(room)), name=f"{short}-{name}", title=title, alt=alt, keep=keep)
        for short, room in (("w", WIDE), ("n", NARROW))
    )
    return Picture(name, title, wide, narrow, caption, tables)


def sheet_as_json(sheet: Sheet) -> dict[str, Any]:
    """A sheet as plain data."""
    return asdict(sheet)


def sheet_from_json(data: dict[str, Any]) -> Sheet:
    """The sheet that ``sheet_as_json`` was given. KeyError or TypeError for anything else."""
    pictures = tuple(
        Picture(**{**item, "tables": _tables(item["tables"])}) for item in data["pictures"]
    )
    tables = _tables(data["tables"])
    lead, sentences = tuple(data["lead"]), tuple(data["sentences"])
    return Sheet(lead, pictures, sentences, tables, dict(data["facts"]))


def _tables(rows: list[dict[str, Any]]) -> tuple[Table, ...]:
    return tuple(
        Table(
            columns=tuple(Column(**column) for column in row["columns"]),
            rows=tuple(tuple(cells) for cells in row["rows"]),
            bold=tuple(row["bold"]),
            small=row["small"],
            caption=row["caption"],
        )
        for row in rows
    )


def table(caption: str, heads: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> Table:
    """A table whose first column names its rows and whose others are numbers."""
    columns = (Column(heads[0], "left"), *(Column(head) for head in heads[1:]))
    return Table(columns, tuple(rows), caption=caption)
