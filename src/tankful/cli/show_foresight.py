"""Always on, best setting and bound of each option, on a terminal of 80 columns."""

from __future__ import annotations

from collections.abc import Sequence

from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from tankful.advice.wording import money
from tankful.cli.tables import broken, plain_console
from tankful.model.answer import Foresight

NOTE = (
    "What hot water adds to the first year's electricity bill, the export payment given up "
    "included. Bound: nobody who serves the same hot water can go below it, even knowing every "
    "shower, cloud and price of the year ahead. It is reckoned for a tank and a heater kinder "
    "than real ones, so that a part of the gap is out of reach: the tank keeps just what the "
    "next tap needs, is never heated through against germs, and takes any power. Collectors "
    "work as if their water were always cold, which makes their bound low; a battery is run "
    "with the same foresight. Share reached: of the step from always on to the bound."
)

BEHIND = (
    " A minus: the setting is the best over all the years compared, cold showers weighed, but not "
    "in the first year alone, as where a feed-in contract ends."
)


def show_foresight(found: Sequence[Foresight], currency: str) -> None:
    """Print the table, the settings and what the bound leaves out."""
    out = plain_console()
    out.print(Text("What hot water costs in the first year, and could at least\n", style="bold"))
    table = Table(box=None, pad_edge=False, padding=(0, 1), header_style="bold")
    table.add_column("Option", ratio=1)
    for head in ("Always\non", "Best\nsetting", "Bound", "Share\nreached"):
        table.add_column(head, justify="right", no_wrap=True)
    for item in found:
        costs = (item.always_cost, item.best_cost, item.bound_cost)
        share = "-" if item.reached is None else f"{item.reached:.0%}"
        table.add_row(broken(item.label), *(money(cost, currency) for cost in costs), share)
    out.print(table)
    behind = any(item.reached is not None and item.reached < 0.0 for item in found)
    out.print(Padding(Text(NOTE + BEHIND * behind, style="dim"), (0, 0, 0, 2)))
