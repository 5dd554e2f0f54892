"""Why the options stand as they do, on a terminal of 80 columns."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from tankful.advice.why import apart_text, behind_text, parts_sentence, waterfall_rows
from tankful.advice.wording import control_sentence, money, sun_sentence
from tankful.cli.tables import listed
from tankful.model.answer import Answer, Caution, OptionResult


def mark(option: OptionResult) -> str:
    """An option's place, with a sign of a tie."""
    return f"{option.rank}{'=' if option.tied_with_best else ''}"


def in_full(answer: Answer) -> tuple[OptionResult, ...]:
    """Options told in full: the best and its ties, today's heater, and where that is best the
    next one."""
    base = answer.best.waterfall.base_id
    first = answer.options[:2] if answer.best.id == base else answer.options[:1]
    told = {option.id for option in (*first, *answer.tied)} | {base}
    return tuple(option for option in answer.options if option.id in told)


def show_reasons(out: Console, answer: Answer, *, everything: bool = False) -> None:
    """Print the reasons: in full for the options that matter, a line each for the others."""
    told = answer.options if everything else in_full(answer)
    if answer.tied:
        out.print("What sets the tied ones apart:")
        for option in answer.tied:
            _line(out, option, apart_text(option, answer.currency))
        out.print()
    for option in answer.options:
        if option in told:
            _show_one(out, answer, option)
        else:
            _line(out, option, behind_text(option, answer.currency))
    if len(told) < len(answer.options):
        out.print(Text("--reasons tells every option in full.", style="dim"))


def _line(out: Console, option: OptionResult, words: str) -> None:
    out.print(_hanging(mark(option), Text.assemble((option.label, "bold"), f": {words}.")))


def _hanging(left: str, words: Text, *, width: int = 3, justify: str = "left") -> Table:
    """Words beside a mark, wrapped under themselves."""
    grid = Table.grid(padding=(0, 1))
    grid.add_column(width=width, justify="right" if justify == "right" else "left", no_wrap=True)
    grid.add_column(overflow="fold")
    grid.add_row(left, words)
    return grid


def _show_one(out: Console, answer: Answer, option: OptionResult) -> None:
    """One option: what the sun brings, step by step to its cost, and its setting."""
    out.print(Text(f"{mark(option):3} {option.label}", style="bold"))
    if option.id == option.waterfall.base_id:
        sentences = [parts_sentence(option, answer.horizon_years, answer.currency)]
    else:
        out.print(_steps(answer, option))
        sentences = [sun_sentence(option)]
    for sentence in (*sentences, control_sentence(option, answer.currency)):
        if sentence:
            out.print(Padding(sentence, (0, 0, 0, 4)))


def _steps(answer: Answer, option: OptionResult) -> Padding:
    """The waterfall as a column of money that adds up, and what each line is about."""
    waterfall, currency = option.waterfall, answer.currency
    base = waterfall.base_name
    grid = Table.grid(padding=(0, 1))
    grid.add_column(justify="right", no_wrap=True)
    grid.add_column(overflow="fold")
    grid.add_row(
        money(waterfall.start, currency),
        Text(f"{base[0].upper()}{base[1:]}, over {answer.horizon_years} years in today's money"),
    )
    for amount, words in waterfall_rows(option, waterfall, currency):
        sign = "+" if amount > 0 else ""
        grid.add_row(f"{sign}{money(amount, currency)}", Text(words))
    grid.add_row(money(option.net_present_cost, currency), Text("This option", style="bold"))
    return Padding(grid, (0, 0, 0, 4))


def show_cautions(out: Console, answer: Answer, *, everything: bool = False) -> None:
    """Print the cautions of the best option and its ties in full, and name those of others."""
    chosen = {answer.best.id, *(option.id for option in answer.tied)}
    told = answer.cautions if everything else answer.cautions_of(*chosen)
    whom = "all options" if everything else f"option {'1=' if answer.tied else '1'}"
    out.print(Text(f"\nTake care ({whom})", style="bold"))
    out.print(listed([("-", f"{_topic(answer, c, everything)}: {c.text}") for c in told]))
    others: dict[str, set[str]] = {}
    for caution in answer.cautions:
        if caution not in told:
            others.setdefault(caution.topic, set()).update(caution.options)
    if others:
        named = "; ".join(f"{topic} ({_places(answer, ids)})" for topic, ids in others.items())
        out.print("Other options have more, told by --reasons:")
        out.print(Padding(f"{named}.", (0, 0, 0, 4)))


def _topic(answer: Answer, caution: Caution, everything: bool) -> str:
    """A caution's topic, with the options it concerns where not all that are told of are."""
    if everything:
        everyone = len(caution.options) == len(answer.options)
        whose = "" if everyone else _places(answer, set(caution.options))
    else:
        concerned = [option.label for option in answer.tied if option.id in caution.options]
        whose = "" if len(concerned) == len(answer.tied) else "; ".join(concerned)
    return f"{caution.topic} ({whose})" if whose else caution.topic


def _places(answer: Answer, ids: set[str]) -> str:
    """The places of some options in the ranking, each once."""
    return ", ".join(dict.fromkeys(mark(o) for o in answer.options if o.id in ids))
