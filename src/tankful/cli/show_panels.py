"""New panels on a terminal of 80 columns: each account size by size."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from tankful.advice.panel_words import covering_sentence, new_panels, panel_sentences, plain
from tankful.advice.wording import money
from tankful.cli.tables import listed, plain_console, show_assumptions
from tankful.model.panel_study import HeaterBySize, HotWater, PanelStudy
from tankful.model.result import Assumption

HEADS = {
    "keep": "Today's\nheater",
    "timed": "Tank on\na timer",
    "diverter": "Tank with\ndiverter",
    "heat_pump": "Heat\npump",
    "best": "Today's\nbest",
}
"""Column heads by kind of heater."""

CARE = (
    "Panels and their inverter are work for an accredited installer with fall protection; the "
    "roof must carry them. Ask the network first what it lets the home export. Local codes and "
    "the licensed trades come before anything here."
)


def show_panels(
    name: str,
    study: PanelStudy,
    assumed: Sequence[Assumption],
    *,
    console: Console | None = None,
) -> None:
    """Print both accounts by size, the next kilowatt, the sun share and the settings."""
    out = console or plain_console()
    span = f"{study.horizon_years}-year"
    out.print(Text(f"{name}: new panels and hot water", style="bold"))
    for sentence in panel_sentences(study):
        out.print(Text(sentence))
    _alone(out, study, span)
    _by_size(
        out,
        study,
        f"Panels and hot water together, {span} cost",
        lambda row, best: money(row.total, study.currency) + ("*" if best else " "),
        "* the cheapest size for that heater. Row 0 is without new panels.",
    )
    _by_size(
        out,
        study,
        f"Of it hot water alone, {span} cost",
        lambda row, best: money(row.net_present_cost, study.currency) + " ",
        "With the heater, its renewals and what it adds to the bills of the same house.",
    )
    _steps(out, study, span)
    _by_size(
        out,
        study,
        "Share of hot water's energy from own sun",
        lambda row, best: f"{row.sun_share:.0%} ",
        covering_sentence(study),
    )
    out.print(Text("\nBest size and setting of each", style="bold"))
    out.print(listed([("-", _setting(heater)) for heater in study.heaters]))
    out.print(Text("\nTake care", style="bold"))
    out.print(Text(CARE))
    show_assumptions(out, "Assumed of the panels, as the case does not say", assumed)


def _table(first: str) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 1), header_style="bold")
    table.add_column(first, justify="right", no_wrap=True)
    return table


def _print(out: Console, title: str, table: Table, note: str) -> None:
    out.print(Text(f"\n{title}", style="bold"))
    out.print(table)
    if note:
        out.print(Padding(Text(note, style="dim"), (0, 0, 0, 2)))


def _alone(out: Console, study: PanelStudy, span: str) -> None:
    table = _table("New\nkW")
    for head in (
        "Price\nnow",
        "Certi-\nficates",
        "Made,\nkWh/yr",
        "First\nyear",
        f"{span}\ncost",
    ):
        table.add_column(head, justify="right", no_wrap=True)
    for panels in study.alone[1:]:
        table.add_row(
            f"{panels.kw:g}",
            money(panels.upfront, study.currency),
            f"{panels.certificates}",
            f"{panels.made_kwh:,.0f}",
            money(panels.year_one, study.currency),
            money(panels.net_present_cost, study.currency),
        )
    note = (
        "As a house without hot water would have them. Price now: after certificates and "
        f"rebate. First year: what they change on its bill. {span} cost: price, renewals and "
        "upkeep less what they save; with a minus they pay by themselves."
    )
    _print(out, "The panels alone", table, note)


def _by_size(
    out: Console,
    study: PanelStudy,
    title: str,
    cell: Callable[[HotWater, bool], str],
    note: str,
) -> None:
    table = _table("New\nkW")
    for heater in study.heaters:
        table.add_column(HEADS[heater.key], justify="right", no_wrap=True)
    for panels in study.alone:
        cells = []
        for heater in study.heaters:
            row = next((row for row in heater.sizes if row.kw == panels.kw), None)
            cells.append("- " if row is None else cell(row, row.kw == heater.best_kw))
        table.add_row(f"{panels.kw:g}", *cells)
    _print(out, title, table, note)


def _steps(out: Console, study: PanelStudy, span: str) -> None:
    table = _table("From-to\nkW")
    table.add_column("Costs the\nhouse", justify="right", no_wrap=True)
    for heater in study.heaters:
        table.add_column(HEADS[heater.key], justify="right", no_wrap=True)
    ends = [(a.kw, b.kw) for a, b in zip(study.alone, study.alone[1:], strict=False)]
    by_size = {panels.kw: panels for panels in study.alone}
    for small, large in ends:
        found = [
            next((s for s in heater.steps if s.to_kw == large), None) for heater in study.heaters
        ]
        cost = by_size[large].net_present_cost - by_size[small].net_present_cost
        table.add_row(
            f"{small:g}-{large:g}",
            money(cost / (large - small), study.currency),
            *(
                "-" if s is None else money(s.hot_water_saving_per_kw, study.currency)
                for s in found
            ),
        )
    note = (
        "Each kW on the way from one size to the next: what it costs the house beyond what it "
        "saves it, then what it takes off the cost of hot water with each heater. It pays for "
        "hot water where that is more than it costs the house; where it costs the house less "
        "than nothing, it pays anyway."
    )
    _print(out, f"One kilowatt more, {span} money", table, note)


def _setting(heater: HeaterBySize) -> str:
    best = heater.best
    warm = "" if best.usable else "; more than one cold shower a week"
    return f"{heater.label}: {new_panels(best.kw)}, {plain(best.label)}; {best.control_text}{warm}."
