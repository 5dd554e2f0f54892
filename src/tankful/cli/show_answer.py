"""The answer on a terminal of 80 columns."""

from __future__ import annotations

from calendar import month_name

from rich.console import Console, Group
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from tankful.advice.compare import BASES
from tankful.advice.headline import after_headline, headline
from tankful.advice.option import KEEP
from tankful.advice.panel_words import panel_sentences
from tankful.advice.search import COLD_DRAWS_MORE, COLD_DRAWS_TOO_MANY
from tankful.advice.wording import money, years
from tankful.casefile.bill_words import bill_sentences
from tankful.cli.show_reasons import mark, show_cautions, show_reasons
from tankful.cli.show_sizes import show_sizes
from tankful.cli.tables import broken, listed, plain_console, show_assumptions
from tankful.model.answer import Answer, OptionResult
from tankful.model.result import monthly

ASSUMPTIONS_SHOWN = 12


def show_answer(
    answer: Answer,
    *,
    all_sources: bool = False,
    bills: bool = False,
    reasons: bool = False,
    console: Console | None = None,
) -> None:
    """Print the ranking, the energy, the reasons, the cautions and the assumptions."""
    out = console or plain_console()
    out.print(_headline(answer))
    out.print(_costs(answer))
    out.print(_cost_notes(answer))
    out.print(_energy(answer))
    if bills:
        out.print(_bills(answer))
    _heading(out, "Why")
    show_reasons(out, answer, everything=reasons)
    if answer.panels is not None:
        _heading(out, "More panels")
        every = 'Every size and setting, which may find it cheaper still: "tankful panels" CASE.'
        words = (*panel_sentences(answer.panels), every)
        out.print(Padding(" ".join(words), (0, 0, 0, 2)))
    show_sizes(out, answer)
    if answer.excluded:
        _heading(out, "Ruled out")
        for item in answer.excluded:
            out.print(Padding(f"{item.label}: {item.reason}.", (0, 0, 0, 2)))
    if answer.calibration is not None:
        _heading(out, "From your bills")
        out.print(Padding(" ".join(bill_sentences(answer.calibration)), (0, 0, 0, 2)))
    if answer.notes:
        _heading(out, "Please note")
        out.print(listed([("-", note) for note in answer.notes]))
    show_cautions(out, answer, everything=reasons)
    at_most = None if all_sources else ASSUMPTIONS_SHOWN
    show_assumptions(out, "Assumed, as the case does not say", answer.assumptions, at_most)
    parts = [f"{name} {version}" for name, version in answer.versions.items()]
    out.print(Text("\nMade with " + ", ".join(parts) + ".", style="dim"))


def _heading(out: Console, words: str) -> None:
    out.print(Text(f"\n{words}", style="bold"))


def _headline(answer: Answer) -> Group:
    first, second = headline(answer)
    return Group(
        Text(f"{answer.case_name}: how to heat the water", style="bold"),
        Text(f"{answer.place_text}; advice of {answer.as_of:%d %B %Y}", style="dim"),
        Text(),
        Text(first, style="bold"),
        Text(second),
        *(Text(sentence) for sentence in after_headline(answer)),
    )


def _table() -> Table:
    return Table(box=None, pad_edge=False, padding=(0, 1), header_style="bold", expand=False)


def _too_cold(table: Table, answer: Answer, option: OptionResult) -> None:
    """A row that sets off the options that stand last for their cold showers."""
    unfit = [other for other in answer.options if not other.choice.usable]
    if unfit and option is unfit[0]:
        table.add_row("", Text("Last, for too many cold showers:", style="bold"))


def _base(answer: Answer) -> OptionResult:
    """What the others pay back against."""
    return next(o for name in BASES for o in answer.options if o.id == name)


def _costs(answer: Answer) -> Padding:
    base = _base(answer)
    table = _table()
    table.add_column("", no_wrap=True)
    table.add_column("Option", ratio=1)
    for head in (
        "Up\nfront",
        "First\nyear",
        f"{answer.horizon_years}-year\ncost",
        "Pays\nback",
        "Cold\ndraws",
    ):
        table.add_column(head, justify="right", no_wrap=True)
    for option in answer.options:
        _too_cold(table, answer, option)
        payback = "-" if option is base else years(option.payback_years)
        table.add_row(
            mark(option),
            broken(option.label),
            money(option.upfront.total, answer.currency),
            money(option.year_one.total, answer.currency),
            money(option.net_present_cost, answer.currency),
            payback,
            f"{option.sums.cold_draws}{'' if option.choice.comfort_kept else '!'}",
        )
    return Padding(table, (1, 0, 0, 0))


def _cost_notes(answer: Answer) -> Padding:
    against = "keeping today's heater" if _base(answer).id == KEEP else "a plain tank always on"
    text = (
        "Up front after certificates and rebates. First year: what hot water adds to the bills, "
        "with the export payment given up. "
        f"{answer.horizon_years}-year cost: everything in today's money, renewals included. "
        f"Pays back: against {against}; never, where the option is dearer over the years. "
        "Cold draws: showers and baths a year that come more than 2 degrees too cold."
    )
    if any(not option.choice.comfort_kept for option in answer.options):
        text += (
            f" A ! warns that there are over {COLD_DRAWS_MORE} a year more of them than if the "
            "heater were always on, or than none where it has no tank: ask whether the home can "
            f"live with that. Over {COLD_DRAWS_TOO_MANY} more, and the option stands last, "
            "whatever it costs."
        )
    return Padding(Text(text, style="dim"), (0, 0, 0, 2))


def _energy(answer: Answer) -> Padding:
    table = _table()
    table.add_column("", no_wrap=True)
    table.add_column("Energy a year, kWh", ratio=1)
    for head in (
        "From\ngrid",
        "of it\noff-peak",
        "Own\nsun",
        "Gas",
        "Heat\nat tap",
        "Tank\nloss",
        "Sun\nshare",
    ):
        table.add_column(head, justify="right", no_wrap=True)
    for option in answer.options:
        _too_cold(table, answer, option)
        s = option.sums
        table.add_row(
            mark(option),
            broken(option.label),
            *(
                f"{value:,.0f}"
                for value in (
                    s.purchased_kwh,
                    s.controlled_kwh,
                    s.own_sun_kwh,
                    s.gas_kwh,
                    s.heat_delivered_kwh,
                    s.standing_loss_kwh,
                )
            ),
            f"{s.solar_share:.0%}",
        )
    return Padding(table, (1, 0, 0, 0))


def _bills(answer: Answer) -> Padding:
    """The home's whole bills by month: without water heating, with the base, with the best."""
    shown = [answer.best, *(o for o in answer.options[1:] if o.id == "keep")]
    table = _table()
    table.add_column(f"The home's bills, {answer.currency}")
    table.add_column("Without\nhot water", justify="right")
    for option in shown:
        table.add_column(f"With option {option.rank}", justify="right")
    columns = [
        monthly(answer.electricity_bill_without, answer.gas_bill_without),
        *(monthly(option.electricity_bill, option.gas_bill) for option in shown),
    ]
    for month, *values in zip(month_name[1:], *columns, strict=True):
        table.add_row(month, *(f"{value:,.2f}" for value in values))
    table.add_row("Year", *(f"{sum(column):,.2f}" for column in columns), style="bold")
    return Padding(table, (1, 0, 0, 0))
