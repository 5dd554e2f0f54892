"""Two cases beside each other, on a terminal of 80 columns."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Group
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from tankful.advice.headline import headline
from tankful.advice.versus import ruled_out, signed
from tankful.advice.wording import money
from tankful.casefile.differing import with_unit
from tankful.casefile.read import printable
from tankful.casefile.typed import field_at, kind_of
from tankful.casefile.words import FAMILIES
from tankful.cli.show_reasons import mark
from tankful.cli.tables import WIDTH, broken, listed, plain_console
from tankful.model.answer import Answer, OptionResult
from tankful.model.versus import CasesCompared, Differing, Versus

WHICH = ("First", "Second")
LONGEST = 48
"""Letters of a field's path that stand on one line."""


def show_versus(found: CasesCompared) -> None:
    """Print the outcome, both answers, every option, and what the cases say otherwise."""
    out = plain_console()
    versus = found.versus
    outcome, *others = versus.sentences
    out.print(Text(printable(outcome), style="bold"))
    for sentence in others:
        out.print(Text(printable(sentence)))
    out.print(_answers(versus))
    out.print(Text("\nWhat each option costs", style="bold"))
    out.print(_costs(versus))
    out.print(_cost_notes(versus))
    if ruled_out(versus):
        out.print(Text("\nRuled out in one of the two", style="bold"))
        out.print(listed([("-", sentence) for sentence in ruled_out(versus)]))
    out.print(Text("\nEntered differently", style="bold"))
    out.print(_entered(found.differing) if found.differing else "Nothing.")
    out.print(Text("\nPlease note", style="bold"))
    out.print(listed([("-", remark) for remark in versus.remarks]))


def _answers(versus: Versus) -> Padding:
    """What each case is called, and its answer in a few words."""
    grid = Table.grid(padding=(0, 2))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for which, name, answer in zip(WHICH, versus.names, versus.answers, strict=True):
        title = f"{name}: {answer.case_name}, over {answer.horizon_years} years"
        grid.add_row(Text(which, style="bold"), Text(printable(title)))
        grid.add_row("", Text(printable(" ".join(headline(answer)))))
    return Padding(grid, (1, 0, 0, 0))


def _entered(differing: Sequence[Differing]) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 1), header_style="bold")
    field = min(max(len(item.path) for item in differing), LONGEST)
    table.add_column("Field", overflow="fold", width=max(field, WIDTH // 3))
    for which in WHICH:
        table.add_column(which, overflow="fold", max_width=(WIDTH - 4 - field) // 2)
    for item in differing:
        about = Padding(Text(item.about, style="dim"), (0, 0, 0, 2))
        table.add_row(Group(item.path, about), *(Text(_said(item, which)) for which in (0, 1)))
    return table


def _said(item: Differing, which: int) -> str:
    """What one of the cases says, in words."""
    text, info = item.texts[which], field_at(item.path)
    if not text:
        return "left open"
    kind = kind_of(info) if info is not None else ""
    if kind == "truth":
        return "yes" if text == "true" else "no"
    words = FAMILIES.get(text, text) if kind == "choice" else text
    return printable(with_unit(words, item.units[which]))


def _costs(versus: Versus) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 1), header_style="bold")
    table.add_column("Option", ratio=1, overflow="fold")
    for which in WHICH:
        table.add_column("", justify="right", no_wrap=True)
        table.add_column(which, justify="right", no_wrap=True)
    table.add_column("Difference", justify="right", no_wrap=True)
    for pair in versus.pairs:
        cells = _cost(pair.first, versus.first), _cost(pair.second, versus.second)
        gap = "-" if pair.gap is None else signed(pair.gap, versus.first.currency)
        table.add_row(Text(broken(printable(pair.label))), *cells[0], *cells[1], gap)
    return table


def _cost(option: OptionResult | None, answer: Answer) -> tuple[str, str]:
    """An option's place and cost."""
    if option is None:
        return "", "-"
    cold = "" if option.choice.usable else "!"
    return f"{mark(option)}{cold}", money(option.net_present_cost, answer.currency)


def _cost_notes(versus: Versus) -> Padding:
    text = (
        "Before each cost, over the years in today's money, stands the option's place in its "
        "case; = is a tie. Difference: the second less the first; a minus is cheaper in the "
        "second."
    )
    if any(not option.choice.usable for answer in versus.answers for option in answer.options):
        text += " A ! stands behind the others, whatever it costs, for too many cold showers."
    return Padding(Text(text, style="dim"), (0, 0, 0, 2))
