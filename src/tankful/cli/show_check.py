"""What was understood of a case, on a terminal of 80 columns."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from tankful.cli.tables import listed, plain_console, show_assumptions
from tankful.model.result import Assumption

DEFAULTS_SHOWN = 20


def show_check(
    name: str,
    understood: Mapping[str, Sequence[str]],
    notes: Sequence[str],
    assumed: Sequence[Assumption],
    *,
    all_sources: bool = False,
    console: Console | None = None,
) -> None:
    """Print the verdict, what was understood, the notes, and the defaults that usually weigh
    most, or all, with their sources."""
    out = console or plain_console()
    out.print(Text(f"{name}: the case is sound.", style="bold"))
    out.print(_understood(understood))
    if notes:
        out.print(Text("\nPlease note", style="bold"))
        out.print(listed([("-", note) for note in notes]))
    if not assumed:
        out.print("\nNothing is left to a default.")
        return
    at_most = None if all_sources else DEFAULTS_SHOWN
    show_assumptions(out, "Left to defaults, those that usually weigh most first", assumed, at_most)


def _understood(understood: Mapping[str, Sequence[str]]) -> Table:
    grid = Table.grid(padding=(0, 2))
    grid.add_column(no_wrap=True)
    grid.add_column()
    for topic, lines in understood.items():
        for i, line in enumerate(lines):
            grid.add_row(Text(topic if i == 0 else "", style="bold"), Text(line))
    return grid
