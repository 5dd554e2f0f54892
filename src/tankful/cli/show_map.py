"""The decision map in letters, on a terminal of 80 columns."""

from __future__ import annotations

from collections.abc import Iterable
from string import ascii_uppercase

import numpy as np
from rich.console import Console
from rich.text import Text

from tankful.advice.lever_words import amount
from tankful.advice.wording import money
from tankful.cli.tables import listed, plain_console
from tankful.model.whatif import Axis, DecisionMap

ROWS, COLUMNS = 20, 60
MARK_W = 14
"""Room for the marks of the upright axis."""


def show_map(found: DecisionMap, *, console: Console | None = None) -> None:
    """Print the map: rows from high to low, a capital for the cheapest option, the small letter
    where the next is within the tie margin, ``+`` today."""
    out = console or plain_console()
    out.print(Text(f"{found.case_name}: which option is the cheapest where", style="bold"))
    out.print(Text(f"\n{found.y.label} (up), {found.x.label} (along)\n"))
    rows = _spread(found.y.values.size, ROWS)
    columns = _spread(found.x.values.size, COLUMNS)
    today = (_nearest(found.y, rows), _nearest(found.x, columns))
    for place in reversed(range(rows.size)):
        letters = "".join(
            "+" if (place, at) == today else _letter(found, int(rows[place]), int(column))
            for at, column in enumerate(columns)
        )
        marked = place in (0, rows.size - 1) or place == today[0]
        value = amount(float(found.y.values[rows[place]]), found.y.unit, found.currency)
        out.print(Text(f"{value if marked else '':>{MARK_W}} {letters}"), no_wrap=True)
    low, high = (amount(float(found.x.values[i]), found.x.unit, found.currency) for i in (0, -1))
    gap = max(1, columns.size - len(low) - len(high))
    out.print(Text(f"{'':>{MARK_W}} {low}{' ' * gap}{high}\n"))
    shown = list(zip(ascii_uppercase, found.option_labels, strict=False))
    out.print(listed(shown))
    margin = money(found.tie_margin, found.currency)
    note = (
        f"\nSmall letters: the next option is within {margin}. "
        "+ marks today, where the map holds it."
    )
    if found.x.simulated or found.y.simulated:
        note += (
            " Far from today an option may fall out for cold showers under the few settings "
            "tried, which a new answer for such a home would set anew."
        )
    out.print(Text(note, style="dim"))


def show_inputs(inputs: Iterable[tuple[str, str]], *, console: Console | None = None) -> None:
    """Print the inputs that a map can have."""
    out = console or plain_console()
    for key, label in inputs:
        out.print(Text(f"{key:<30} {label}"))


def _letter(found: DecisionMap, row: int, column: int) -> str:
    letter = ascii_uppercase[int(found.winner[row, column]) % len(ascii_uppercase)]
    return letter.lower() if found.tie[row, column] else letter


def _spread(count: int, most: int) -> np.ndarray:
    """Indices of at most ``most`` of ``count`` values, evenly."""
    return np.unique(np.linspace(0, count - 1, min(count, most)).round().astype(int))


def _nearest(axis: Axis, shown: np.ndarray) -> int | None:
    """Which of the shown values is nearest to today's; ``None`` where the axis misses it."""
    if not axis.values.min() <= axis.today <= axis.values.max():
        return None
    return int(np.argmin(np.abs(axis.values[shown] - axis.today)))
