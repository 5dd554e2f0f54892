"""Tables and lists that several commands print, at 80 columns."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from tankful.casefile.read import printable
from tankful.model.result import Assumption

WIDTH = 80


def plain_console() -> Console:
    """A console of 80 columns that takes user text as text, never as markup."""
    out = Console(highlight=False, markup=False)
    out.width = WIDTH
    return out


def show_assumptions(
    out: Console, title: str, assumed: Sequence[Assumption], at_most: int | None = None
) -> None:
    """Print assumed values, the first ``at_most`` or all, and below them their sources, each
    once."""
    shown = assumed[:at_most]
    sources = list(dict.fromkeys(item.source for item in shown))
    if len(shown) < len(assumed):
        title += f" ({len(shown)} of {len(assumed)}; --all-sources lists all)"
    out.print(Text(f"\n{title}", style="bold"))
    out.print(_assumed(shown, sources))
    out.print(Text("\nSources", style="bold"))
    out.print(listed([(f"{i}", source) for i, source in enumerate(sources, start=1)]))


def listed(rows: Sequence[tuple[str, str]]) -> Table:
    """Marks and what they stand for; words from input files may hold anything."""
    grid = Table.grid(padding=(0, 1))
    grid.add_column(width=3, justify="right", no_wrap=True)
    grid.add_column(overflow="fold")
    for mark, words in rows:
        grid.add_row(mark, Text(printable(words)))
    return grid


def broken(label: str) -> str:
    """An option's label for a table, the name of its quote on a line of its own."""
    return label.replace(" (", "\n(", 1)


def _assumed(assumed: Sequence[Assumption], sources: Sequence[str]) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 1), header_style="bold")
    table.add_column("Field", no_wrap=True)
    table.add_column("Value")
    table.add_column("Source", justify="right", no_wrap=True)
    for item in assumed:
        value = f"{short(item.value)} {item.unit}".strip()
        table.add_row(item.path, Text(value), f"{sources.index(item.source) + 1}")
    return table


def short(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:,g}" if isinstance(value, float) else str(value)
