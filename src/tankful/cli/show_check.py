"""What was understood of a case, on a terminal of 80 columns."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from tankful.model.result import Assumption

WIDTH = 80


def show_check(
    name: str,
    understood: Mapping[str, Sequence[str]],
    notes: Sequence[str],
    assumed: Sequence[Assumption],
    *,
    console: Console | None = None,
) -> None:
    """Print the verdict, what was understood, the notes, and every default with its source."""
    out = console or Console(highlight=False, markup=False)
    if not out.is_terminal or out.width > WIDTH:
        out.width = WIDTH
    out.print(Text(f"{name}: the case is sound.", style="bold"))
    out.print(_understood(understood))
    if notes:
        out.print(Text("\nPlease note", style="bold"))
        out.print(_listed([("-", note) for note in notes]))
    if not assumed:
        out.print("\nNothing is left to a default.")
        return
    out.print(Text("\nLeft to defaults, those that usually weigh most first", style="bold"))
    sources = list(dict.fromkeys(item.source for item in assumed))
    out.print(_assumed(assumed, sources))
    out.print(Text("\nSources", style="bold"))
    out.print(_listed([(f"{i}", source) for i, source in enumerate(sources, start=1)]))


def _understood(understood: Mapping[str, Sequence[str]]) -> Table:
    grid = Table.grid(padding=(0, 2))
    grid.add_column(no_wrap=True)
    grid.add_column()
    for topic, lines in understood.items():
        for i, line in enumerate(lines):
            grid.add_row(Text(topic if i == 0 else "", style="bold"), Text(line))
    return grid


def _listed(rows: Sequence[tuple[str, str]]) -> Table:
    grid = Table.grid(padding=(0, 1))
    grid.add_column(width=3, justify="right", no_wrap=True)
    grid.add_column()
    for mark, words in rows:
        grid.add_row(mark, Text(words))
    return grid


def _assumed(assumed: Sequence[Assumption], sources: Sequence[str]) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 1), header_style="bold")
    table.add_column("Field", no_wrap=True)
    table.add_column("Value")
    table.add_column("Source", justify="right", no_wrap=True)
    for item in assumed:
        value = f"{_short(item.value)} {item.unit}".strip()
        table.add_row(item.path, Text(value), f"{sources.index(item.source) + 1}")
    return table


def _short(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:,g}" if isinstance(value, float) else str(value)
