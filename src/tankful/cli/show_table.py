"""A table of homes on a terminal of 80 columns."""

from __future__ import annotations

from collections.abc import Sequence

from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from tankful.batch.values import GROUPS, HOME_WORDS, OPTION_WORDS, Reading
from tankful.casefile.read import printable
from tankful.cli.tables import plain_console
from tankful.cli.write_table import notes, shown
from tankful.model.table import HomesTable


def show_table(table: HomesTable, columns: Sequence[Reading]) -> None:
    """Print a row a home; a label like the one above it is not said again."""
    out = plain_console()
    out.print(Text(printable(table.name), style="bold"))
    grid = Table(box=None, pad_edge=False, padding=(0, 1), header_style="bold")
    for head in table.heads:
        grid.add_column(Text(printable(head)), overflow="fold")
    for column in columns:
        right = column.kind != "text"
        words = Text(column.text[:1].upper() + column.text[1:])
        grid.add_column(words, justify="right" if right else "left", overflow="fold")
    above: tuple[str, ...] = ()
    for home in table.homes:
        labels = [
            "" if home.labels[: i + 1] == above[: i + 1] else printable(label)
            for i, label in enumerate(home.labels)
        ]
        cells = [printable(shown(column, home, table.currency)) for column in columns]
        grid.add_row(*(Text(cell) for cell in (*labels, *cells)))
        above = home.labels
    out.print(grid)
    for note in notes(table, columns):
        out.print(Padding(Text(note, style="dim"), (0, 0, 0, 2)))


def show_words() -> None:
    """Print the words that columns and rules may hold."""
    out = plain_console()
    heaters = ", ".join(["best", *GROUPS])
    for title, words in (
        ("Of the home", HOME_WORDS),
        ('Of an option, such as "cost of heat pump"; alone, of the best', OPTION_WORDS),
    ):
        out.print(Text(title, style="bold"))
        grid = Table.grid(padding=(0, 2))
        for word, entry in words.items():
            grid.add_row(f"  {word}", entry.kind, entry.about)
        out.print(grid)
    out.print(Text("Options to name after of: the cheapest of", style="bold"))
    out.print(Padding(Text(f"{heaters}; or the id of one option"), (0, 0, 0, 2)))
