"""Flips and futures on a terminal of 80 columns."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from tankful.advice.lever_words import amount, flip_sentences, future_sentences, weighty_drivers
from tankful.advice.wording import money
from tankful.cli.tables import broken, listed, plain_console
from tankful.model.whatif import Flips, Futures

MOST_DRIVERS = 10


def show_flips(found: Flips, *, console: Console | None = None) -> None:
    """Print each flip as a sentence, nearest first, then what flips nothing."""
    out = console or plain_console()
    out.print(Text(f"{found.case_name}: what would change the answer", style="bold"))
    out.print(Text(f"Cheapest today: {found.best_label}.\n"))
    if not found.flipping:
        out.print(Text("No input on its own changes that within reason."))
    rows = [
        (f"{i}", sentence)
        for i, flip in enumerate(found.flipping, start=1)
        for sentence in flip_sentences(flip, found.currency)
    ]
    out.print(listed(rows))
    if found.steady:
        names = "; ".join(flip.label for flip in found.steady)
        out.print(Text("\nDoes not flip within reason", style="bold"))
        out.print(Text(f"{names}."))
    margin = money(found.tie_margin, found.currency)
    note = (
        f"One input at a time, all else as it is. Clearly: by more than {margin}, the tie "
        "margin. Prices are settled exactly, each option with the setting that is then the "
        "best. Use, panels and the yield of heat pumps are simulated: their flips lie between "
        "new answers on both sides, with the settings searched anew. --json tells how far each "
        "input was turned."
    )
    out.print(Padding(Text(note, style="dim"), (1, 0, 0, 0)))


def show_futures(found: Futures, *, console: Console | None = None) -> None:
    """Print how sure the answer is, option by option, and what it hangs on."""
    out = console or plain_console()
    title = f"{found.case_name}: {found.draws} futures over {found.horizon_years} years"
    out.print(Text(title, style="bold"))
    for sentence in future_sentences(found):
        out.print(Text(sentence))
    out.print(_options(found))
    out.print(_drivers(found))
    note = (
        f"Low and high: one future in ten lies below, one above. Regret: what the option costs "
        "more than the cheapest of the same future, in the mean. Too cold: more than one cold "
        "shower a week beyond those of always on, at today's setting. Moves: share of the "
        "spread of the best option's saving that goes with the input (rank correlation, "
        f"squared); of {len(found.drivers)} that bear on it the weightiest are shown. Their ranges "
        "are the developers' judgement; --json gives each with its reason. Settings stay as they "
        "are best today."
    )
    out.print(Padding(Text(note, style="dim"), (1, 0, 0, 0)))


def _options(found: Futures) -> Padding:
    table = Table(box=None, pad_edge=False, padding=(0, 1), header_style="bold")
    table.add_column(f"Saving over {found.horizon_years} years", ratio=1)
    for head in ("Best\nin", "Low", "Middle", "High", "Mean\nregret", "Too\ncold"):
        table.add_column(head, justify="right", no_wrap=True)
    for option in found.options:
        is_base = option.id == found.base_id
        savings = (option.saving_p10, option.saving_p50, option.saving_p90)
        table.add_row(
            broken(option.label),
            f"{option.best_share:.0%}",
            *("-" if is_base else money(value, found.currency) for value in savings),
            money(option.regret_mean, found.currency),
            f"{option.unusable_share:.0%}" if option.unusable_share else "-",
        )
    return Padding(table, (1, 0, 0, 0))


def _drivers(found: Futures) -> Padding:
    table = Table(box=None, pad_edge=False, padding=(0, 1), header_style="bold")
    table.add_column("What the saving hangs on", ratio=1)
    for head in ("Low", "High", "Moves"):
        table.add_column(head, justify="right", no_wrap=True)
    for driver in weighty_drivers(found)[:MOST_DRIVERS]:
        table.add_row(
            driver.label,
            amount(driver.p10, driver.unit, found.currency),
            amount(driver.p90, driver.unit, found.currency),
            f"{'+' if driver.rises else '-'}{driver.share:.0%}",
        )
    return Padding(table, (1, 0, 0, 0))
