"""The options side by side, and where the money of the best one goes."""

from __future__ import annotations

from collections.abc import Callable

from tankful.model.answer import Answer, OptionResult
from tankful.model.quotes import QuotesCompared
from tankful.model.result import Waterfall
from tankful.report.charts import choices_chart, waterfall_chart
from tankful.report.document import (
    Block,
    Chart,
    Column,
    Heading,
    Paragraph,
    Point,
    Points,
    Section,
    Table,
)
from tankful.report.say import listed, one_line, said, said_money
from tankful.report.subject import Subject, name_of
from tankful.report.words_of import say

STEPS_SHOWN = 8


BARS_SHOWN = 12
"""With more bars and the table, picture and numbers do not fit one page."""


def choices_section(subject: Subject, *, short: bool = False) -> Section:
    """Bars and a table of every option; the table alone where it is to be ``short``."""
    answer = subject.answer
    note = say("choices.note", base=_base_name(subject))
    if any(not o.choice.comfort_kept for o in answer.options):
        note += " " + say("choices.note_mark")
    if any(is_last(answer, o) for o in answer.options):
        note += " " + say("choices.note_last")
    blocks: list[Block] = [
        *(Paragraph(_quotes_text(subject, kind)) for kind in answer.quotes if kind.standings[1:]),
        *(() if short else _bars(subject)),
        _table(subject),
        Paragraph(note, style="note"),
    ]
    if answer.excluded:
        names = "; ".join(one_line(f"{x.label}: {x.reason}") for x in answer.excluded)
        blocks.append(Paragraph(say("choices.ruled_out", list=names), style="note"))
    return Section("choices", say("choices.title"), tuple(blocks))


def _bars(subject: Subject) -> tuple[Paragraph, Chart]:
    """The first options and what they are measured against as bars, and how to read them."""
    answer = subject.answer
    options = answer.options[:BARS_SHOWN]
    left_out = len(answer.options) - len(options)
    intro = say("choices.intro", years=subject.years)
    if subject.base not in options:
        options = (*options[:-1], subject.base)
    if left_out:
        intro += " " + say("choices.intro_more", count=left_out)
    items = [say("choices.alt_item", name=name_of(o), money=bar_end(answer, o)) for o in options]
    chart = Chart(
        id="choices",
        spec=choices_chart(
            [
                (
                    name_of(o),
                    o.upfront.total,
                    o.net_present_cost,
                    subject.is_top(o),
                    bar_end(answer, o),
                )
                for o in options
            ],
            currency=answer.currency,
            accent=subject.accent,
        ),
        alt=say("choices.alt", count=len(items), list="; ".join(items)),
    )
    return Paragraph(intro), chart


def is_last(answer: Answer, option: OptionResult) -> bool:
    """Behind all others for its cold showers, however cheap."""
    return answer.best.choice.usable and not option.choice.usable


def bar_end(
    answer: Answer, option: OptionResult, amount: Callable[[float, str], str] = said_money
) -> str:
    """What stands at the end of a bar: the money, and why a short one may stand last."""
    money = amount(option.net_present_cost, answer.currency)
    return say("choices.last", money=money) if is_last(answer, option) else money


def _quotes_text(subject: Subject, kind: QuotesCompared) -> str:
    """The quotes of one kind, each run at its best, in the order they stand."""
    first, *others = kind.standings
    told = []
    for other in others:
        gap = other.net_present_cost - first.net_present_cost
        key = "quote_close" if gap <= subject.answer.tie_margin else "quote_behind"
        key = "quote_same" if round(gap) == 0 else key
        key = "quote_cold" if first.usable and not other.usable else key
        told.append(say(f"choices.{key}", name=one_line(other.name), money=subject.money(gap)))
    intro = say("choices.quotes", kind=kind.words, name=one_line(first.name), years=subject.years)
    if kind.alike:
        key = "quotes_alike" if kind.apart else "quotes_same"
        alike, apart = (listed(list(w), say("page.and")) for w in (kind.alike, kind.apart))
        told.append(say(f"choices.{key}", alike=alike, apart=apart))
    return " ".join((intro, *told))


def _base_name(subject: Subject) -> str:
    return say("page.today_heater" if subject.base.id == "keep" else "page.plain_tank")


def _table(subject: Subject) -> Table:
    options = subject.answer.options
    has_carbon = any(o.emissions_kg is not None for o in options)
    heads = [
        Column("", "left"),
        Column(say("choices.option"), "left", 1.0),
        Column(say("choices.upfront")),
        Column(say("choices.first_year")),
        Column(say("choices.total", years=subject.years)),
        Column(say("choices.payback")),
    ]
    if has_carbon:
        heads.append(Column(say("choices.carbon")))
    heads.append(Column(say("choices.cold")))
    rows = []
    for o in options:
        row = [
            f"{o.rank}{'=' if o.tied_with_best else ''}",
            name_of(o),
            subject.money(o.upfront.total),
            subject.money(o.year_one.total),
            subject.money(o.net_present_cost),
            _payback(subject, o),
        ]
        if has_carbon:
            row.append("" if o.emissions_kg is None else said(o.emissions_kg))
        row.append(f"{o.sums.cold_draws}{'' if o.choice.comfort_kept else '*'}")
        rows.append(tuple(row))
    bold = tuple(i for i, o in enumerate(options) if subject.is_top(o))
    return Table(tuple(heads), tuple(rows), bold=bold, small=True)


def _payback(subject: Subject, option: OptionResult) -> str:
    if option is subject.base:
        return say("choices.base_payback")
    if option.payback_years is None:
        return say("choices.never")
    if option.payback_years == 0.0:
        return say("choices.at_once")
    return say("choices.years_short", years=f"{option.payback_years:.1f}")


def money_section(subject: Subject) -> Section | None:
    """What sets the best option apart from the base, step by step, and why."""
    rival = subject.rival
    if rival is None:
        return None
    steps = _steps(subject, rival)
    listing = "; ".join(f"{words}: {subject.money(b - a)}" for words, a, b, _ in steps[1:-1])
    blocks: list[Block] = [
        Paragraph(
            say(
                "money.intro_best" if subject.best is subject.base else "money.intro",
                base=subject.rival_name,
                years=subject.years,
            )
        ),
        Chart(
            id="money",
            spec=waterfall_chart(steps, currency=subject.answer.currency, accent=subject.accent),
            alt=say("money.alt", start=steps[0][0], end=steps[-1][0], list=listing),
        ),
    ]
    if subject.facts.why:
        blocks += [Heading(say("money.why")), _why(subject)]
    if subject.facts.why_not:
        blocks += [Heading(say("money.why_not")), _why_not(subject)]
    return Section("money", say("money.title"), tuple(blocks))


def reasons_section(subject: Subject) -> Section | None:
    """Why the best option, and why not the next ones, without the picture."""
    if not subject.facts.why:
        return None
    blocks: list[Block] = [_why(subject)]
    if subject.facts.why_not:
        blocks += [Heading(say("money.why_not")), _why_not(subject)]
    return Section("reasons", say("money.why"), tuple(blocks))


def _why(subject: Subject) -> Points:
    return Points(tuple(Point(one_line(text)) for text in subject.facts.why))


def _why_not(subject: Subject) -> Points:
    return Points(
        tuple(Point(one_line(text), lead=one_line(name)) for name, text in subject.facts.why_not)
    )


def _steps(subject: Subject, rival: OptionResult) -> list[tuple[str, float, float, str]]:
    """From the base's cost over each thing that moves it to the best's.

    Where the best is the base itself, from it to the next choice.
    """
    is_base = subject.best is subject.base
    waterfall = rival.waterfall_from_best if is_base else subject.best.waterfall
    ends = ("end", "next") if is_base else ("start", "end")
    start, end = (say(f"money.{key}", base=subject.rival_name) for key in ends)
    return waterfall_steps(waterfall, start, end)


def waterfall_steps(
    waterfall: Waterfall, start: str, end: str
) -> list[tuple[str, float, float, str]]:
    """From the total called ``start`` to that called ``end``, for ``waterfall_chart``: the
    weightiest steps one by one, the others together."""
    moving = [step for step in waterfall.steps if abs(step.amount) >= 0.5]
    least = sorted((abs(step.amount) for step in moving), reverse=True)[:STEPS_SHOWN][-1:]
    shown = [step for step in moving if abs(step.amount) >= least[0]]
    at = waterfall.start
    steps = [(start, 0.0, at, "start")]
    for step in shown:
        to = at + step.amount
        steps.append((say(f"money.{step.key}"), at, to, "less" if to < at else "more"))
        at = to
    if abs(waterfall.end - at) >= 1.0:
        kind = "less" if waterfall.end < at else "more"
        steps.append((say("money.rest"), at, waterfall.end, kind))
    return [*steps, (end, 0.0, waterfall.end, "end")]
