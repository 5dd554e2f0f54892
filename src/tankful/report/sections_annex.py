"""The details: exact numbers, the home, the assumptions, the sources, the method."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tankful.casefile.labels import signs
from tankful.casefile.naming import name_of as name_of_field
from tankful.casefile.naming import on_form
from tankful.model.answer import OptionResult
from tankful.model.result import Bill
from tankful.report.document import (
    Block,
    Column,
    Heading,
    Paragraph,
    Point,
    Points,
    Section,
    Table,
)
from tankful.report.say import exact, one_line
from tankful.report.sections_doing import caution_points
from tankful.report.subject import Subject, name_of
from tankful.report.words_of import day_text, say, section_words

ASSUMED_SHORT = 10
"""So many of the assumptions, which come weightiest first, stand in a short report."""


def annex_sections(subject: Subject) -> tuple[Section, ...]:
    """Every section of the back matter that has something to say."""
    found = (
        *_asides(subject),
        _exact(subject),
        _years(subject),
        _notes(subject),
        _other_cautions(subject),
        _home(subject),
        _assumed(subject),
        _method(subject),
    )
    return tuple(section for section in found if section is not None)


def _section(name: str, title: str, blocks: Iterable[Block], *, new_page: bool = False) -> Section:
    return Section(name, title, tuple(blocks), new_page=new_page, back_matter=True)


def _asides(subject: Subject) -> list[Section]:
    """Studies beside the ranking: sizes, bills, new panels."""
    return [
        _section(
            aside.key,
            say(f"asides.{aside.key}"),
            [Paragraph(one_line(text)) for text in aside.sentences],
        )
        for aside in subject.facts.asides
    ]


def _exact(subject: Subject) -> Section:
    options = subject.answer.options
    blocks = (
        Heading(say("annex.costs", currency=subject.answer.currency)),
        _exact_costs(options),
        Paragraph(say("annex.credits_note", years=subject.years), style="note"),
        Heading(say("annex.energy")),
        _exact_energy(options),
    )
    return _section("exact", say("annex.exact"), blocks)


def _exact_costs(options: Sequence[OptionResult]) -> Table:
    rows = (
        (
            exact(o.upfront.installed + o.upfront.leaving_gas, 2),
            exact(o.upfront.certificate_value + o.upfront.rebate, 2),
            exact(o.upfront.total, 2),
            exact(o.year_one.total, 2),
            exact(o.net_present_cost, 2),
            exact(o.cost_per_kwh, 3) if o.cost_per_kwh < 1e6 else "",
        )
        for o in options
    )
    columns = (
        "annex.installed",
        "annex.credits",
        "choices.upfront",
        "choices.first_year",
        "annex.net",
        "annex.per_kwh",
    )
    return _by_option(options, columns, rows)


def _exact_energy(options: Sequence[OptionResult]) -> Table:
    sums = (
        (
            o.sums.purchased_kwh,
            o.sums.controlled_kwh,
            o.sums.own_sun_kwh,
            o.sums.gas_kwh,
            o.sums.collector_kwh,
            o.sums.heat_delivered_kwh,
            o.sums.standing_loss_kwh,
        )
        for o in options
    )
    columns = ("grid", "off_peak", "own", "gas", "roof", "tap", "loss")
    rows = (tuple(map(exact, values)) for values in sums)
    return _by_option(options, tuple(f"annex.{key}" for key in columns), rows)


def _by_option(
    options: Sequence[OptionResult], columns: Sequence[str], rows: Iterable[tuple[str, ...]]
) -> Table:
    """A row of numbers for each option, by rank."""
    return Table(
        columns=(
            Column(""),
            Column(say("choices.option"), "left", 1.0),
            *(Column(say(key)) for key in columns),
        ),
        rows=tuple((str(o.rank), name_of(o), *row) for o, row in zip(options, rows, strict=True)),
        small=True,
    )


def _years(subject: Subject) -> Section:
    best, currency = subject.best, subject.answer.currency
    keys = ("year", "equipment", "power", "sold", "gas", "care", "residual", "sum", "discounted")
    rows = tuple(
        (
            str(c.year),
            *(
                exact(value, 2)
                for value in (
                    c.equipment,
                    c.electricity,
                    c.feed_in_lost,
                    c.gas,
                    c.maintenance,
                    c.residual,
                    c.total,
                    c.discounted,
                )
            ),
        )
        for c in best.costs
    )
    columns = tuple(Column(say(f"annex.{key}"), width=1.0) for key in keys)
    blocks: list[Block] = [Table(columns, rows, small=True)]
    bills = [*_bill_rows(best.electricity_bill), *_bill_rows(best.gas_bill)]
    if bills:
        heads = (
            Column(say("annex.charge"), "left", 1.0),
            Column(say("annex.quantity")),
            Column(say("annex.amount")),
        )
        blocks += [
            Heading(say("annex.bill", currency=currency)),
            Table(heads, tuple(bills), small=True),
        ]
    return _section("years", say("annex.years", currency=currency), blocks)


def _bill_rows(bill: Bill) -> list[tuple[str, str, str]]:
    return [
        (
            one_line(line.name),
            f"{exact(line.quantity)} {line.unit}" if line.unit else "",
            exact(line.amount, 2),
        )
        for line in bill.lines
    ]


def _notes(subject: Subject) -> Section | None:
    answer = subject.answer
    if not answer.notes:
        return None
    points = Points(tuple(Point(one_line(on_form(note))) for note in answer.notes), small=True)
    return _section("notes", say("annex.notes"), (points,))


def _other_cautions(subject: Subject) -> Section | None:
    others = tuple(c for c in subject.answer.cautions if c not in subject.cautions)
    if not others:
        return None
    return _section("other-care", say("care.others"), (caution_points(others),))


def _home(subject: Subject) -> Section | None:
    given = subject.facts.given
    if not given:
        return None
    rows = tuple(
        (
            one_line(name_of_field(item.path)),
            one_line(f"{plain_value(item.value)} {signs(item.unit)}"),
        )
        for item in given
    )
    columns = (Column(say("annex.field"), "left", 1.0), Column(say("annex.value"), "left", 1.0))
    blocks: list[Block] = [Paragraph(say("annex.home_intro")), Table(columns, rows, small=True)]
    return _section("home", say("annex.home"), blocks)


def _assumed(subject: Subject) -> Section | None:
    if not subject.answer.assumptions:
        return None
    blocks = (Paragraph(say("annex.assumed_intro")), *_assumed_blocks(subject))
    return _section("assumed", say("annex.assumed"), blocks)


def short_assumed_section(subject: Subject) -> Section:
    """The assumptions that weigh most, and where the rest and all details stand."""
    count = len(subject.answer.assumptions)
    blocks: list[Block] = []
    if count:
        told = min(count, ASSUMED_SHORT)
        intro = say("annex.assumed_short", told=told, count=count)
        blocks += [Paragraph(intro), *_assumed_blocks(subject, ASSUMED_SHORT)]
    blocks.insert(0, Paragraph(say("annex.more")))
    return Section("assumed", say("annex.assumed"), tuple(blocks))


def _assumed_blocks(subject: Subject, at_most: int | None = None) -> tuple[Block, ...]:
    """Assumed values, the first ``at_most`` or all, and their sources, each once."""
    assumed = subject.answer.assumptions[:at_most]
    about, said = subject.facts.about or {}, subject.facts.said or {}
    sources = list(dict.fromkeys(item.source for item in assumed))
    number = {source: str(i) for i, source in enumerate(sources, start=1)}
    rows = tuple(
        (
            one_line(on_form(about.get(item.path, item.path))),
            one_line(f"{_value(said.get(item.path, item.value))} {signs(item.unit)}"),
            number[item.source],
        )
        for item in assumed
    )
    columns = (
        Column(say("annex.field"), "left", 2.0),
        Column(say("annex.value"), "left", 1.0),
        Column(say("annex.source")),
    )
    listing = Points(tuple(Point(one_line(s)) for s in sources), style="number", small=True)
    return Table(columns, rows, small=True), Heading(say("annex.sources")), listing


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:,.6g}" if isinstance(value, float) else plain_value(str(value))


def plain_value(text: str) -> str:
    """A value that the program names by a word of its own, in people's words."""
    return section_words("values").get(text, text)


def _method(subject: Subject) -> Section:
    answer = subject.answer
    facts = {"years": subject.years, "day": day_text(answer.as_of)}
    steps = [say(f"annex.method_{i}", **facts) for i in range(1, 7)]
    versions = ", ".join(f"{name} {version}" for name, version in answer.versions.items())
    texts = [
        *steps,
        say("annex.place", text=one_line(answer.place_text)),
        say("annex.weather", text=one_line(answer.weather_text)),
        say("annex.made_with", versions=versions),
    ]
    return _section("method", say("annex.method"), [Paragraph(text) for text in texts])
