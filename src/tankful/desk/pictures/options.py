"""The options side by side, and one option looked at: its money, its year, its bills."""

from __future__ import annotations

from dataclasses import replace

from tankful.advice.headline import headline
from tankful.advice.reasons import largest_remainder
from tankful.advice.why import told_steps
from tankful.advice.wording import control_sentence, money, years
from tankful.clock import dates_of_year
from tankful.desk.pictures.sheet import Picture, Sheet, picture, table
from tankful.model.answer import Answer, OptionResult
from tankful.model.picture import YearPicture
from tankful.model.result import Waterfall, monthly
from tankful.report.charts import choices_chart, money_axis, waterfall_chart
from tankful.report.charts_energy import bills_chart, months_chart
from tankful.report.document import Spec
from tankful.report.look import DEFAULT_ACCENT, OTHER_DARK, Room
from tankful.report.say import exact, one_line, said
from tankful.report.sections_choices import bar_end, is_last, waterfall_steps
from tankful.report.sections_system import most_and_least
from tankful.report.subject import base_of, name_of
from tankful.report.words_of import months, say, section_words
from tankful.service.scene import Scene, option_of, usual_days, year_of
from tankful.service.what_if import inputs_at

FIRST_AXES = ("feed-in", "price:heat_pump", "usage", "hot-water")
"""Inputs that a map has at first, if the home has them."""


def answer_sheet(scene: Scene) -> Sheet:
    """Every option in one picture, and what the controls of the page offer."""
    answer = scene.answer
    best, base = answer.best, base_of(answer)
    days = dates_of_year(scene.home.clock.year)
    inputs = [(key, label[:1].upper() + label[1:]) for key, label in inputs_at(scene.home)]
    known = {key for key, _ in inputs}
    axes = [key for key in FIRST_AXES if key in known] + [key for key, _ in inputs]
    facts = {
        "options": [(option.id, f"{option.rank}. {name_of(option)}") for option in answer.options],
        "best": best.id,
        "beside": base.id if base is not best else "",
        "first_day": days[0].isoformat(),
        "last_day": days[-1].isoformat(),
        "days": [day.isoformat() for day in usual_days(scene, best.id)],
        "inputs": inputs,
        "axes": list(dict.fromkeys(axes))[:2],
        "horizon": answer.horizon_years,
    }
    return Sheet(pictures=(_choices(answer),), facts=facts)


def _choices(answer: Answer) -> Picture:
    tops = {answer.best.id, *(option.id for option in answer.tied)}
    base = base_of(answer)
    heads = (
        say("choices.option"),
        say("choices.upfront"),
        say("choices.first_year"),
        say("choices.total", years=answer.horizon_years),
        say("choices.payback"),
        say("choices.carbon"),
        say("choices.cold"),
    )
    rows = [
        (
            f"{o.rank}{'=' if o.tied_with_best else ''}. {_marked(answer, o)}",
            money(o.upfront.total, answer.currency),
            money(o.year_one.total, answer.currency),
            money(o.net_present_cost, answer.currency),
            say("choices.base_payback") if o is base else years(o.payback_years),
            "" if o.emissions_kg is None else said(o.emissions_kg),
            str(o.sums.cold_draws),
        )
        for o in answer.options
    ]
    first = answer.best
    found, lead = map(one_line, headline(answer))

    def chart(room: Room) -> Spec:
        bars = []
        for o in answer.options:
            name, end = name_of(o), bar_end(answer, o, money)
            if room.is_narrow:
                name, end = _marked(answer, o), money(o.net_present_cost, answer.currency)
            bars.append((name, o.upfront.total, o.net_present_cost, o.id in tops, end))
        return choices_chart(bars, currency=answer.currency, accent=DEFAULT_ACCENT, room=room)

    return picture(
        "choices",
        found,
        chart,
        alt=f"{len(rows)} bars, cheapest first. The first is {name_of(first)} with "
        f"{money(first.net_present_cost, answer.currency)}.",
        tables=(table("What each option costs", heads, rows),),
        caption=" ".join(
            [lead, say("choices.intro", years=answer.horizon_years)]
            + [say("choices.note_last")] * any(is_last(answer, o) for o in answer.options)
        ),
    )


def _marked(answer: Answer, option: OptionResult) -> str:
    """An option's name, with why it may stand behind dearer ones."""
    name = name_of(option)
    return say("choices.last", money=name) if is_last(answer, option) else name


def option_sheet(scene: Scene, option_id: str) -> Sheet:
    """One option: the way to its cost, where its energy comes from, the home's bills with it."""
    option = option_of(scene, option_id)
    found = (
        _waterfall(scene.answer, option),
        _months(year_of(scene, option_id), option),
        _bills(scene.answer, option),
    )
    setting = control_sentence(option, scene.answer.currency)
    return Sheet(
        lead=(one_line(setting),) if setting else (),
        pictures=tuple(item for item in found if item is not None),
    )


def _waterfall(answer: Answer, option: OptionResult) -> Picture | None:
    """From the base to the option; the base itself is set against the best."""
    ends = _ends(answer, option)
    if ends is None:
        return None
    waterfall = _whole(*ends)
    start, end = map(name_of, ends[1:])
    steps = waterfall_steps(waterfall, start, end)
    currency = answer.currency
    rows = [
        (words, money(b if kind in ("start", "end") else b - a, currency), money(b, currency))
        for words, a, b, kind in steps
    ]
    gap = round(waterfall.end) - round(waterfall.start)
    way = "dearer" if gap > 0 else "cheaper"
    words, before, after, _ = max(steps[1:-1], key=lambda s: abs(s[2] - s[1]), default=steps[-1])
    most = f"{'+' if after > before else '−'}{money(abs(after - before), currency)}"

    def chart(room: Room) -> Spec:
        look = {"currency": currency, "accent": DEFAULT_ACCENT}
        return waterfall_chart(steps, **look, amount=money, room=room)

    return picture(
        "waterfall",
        f"{end}: {money(abs(gap), currency)} {way} than “{start}”",
        chart,
        alt=f"From {start} at {money(waterfall.start, currency)} in {len(steps) - 2} steps to "
        f"{end} at {money(waterfall.end, currency)}.",
        tables=(table("Where the money goes", ("Step", "Adds", "Then"), rows),),
        caption=f"Step by step from the one to the other, over {answer.horizon_years} years in "
        f"today's money. The largest step: {words}, {most}.",
    )


def _whole(waterfall: Waterfall, first: OptionResult, last: OptionResult) -> Waterfall:
    """The waterfall from one option to another in the whole units of money that the answer tells,
    which add up."""
    told = told_steps(waterfall)
    start, end = round(first.net_present_cost), round(last.net_present_cost)
    amounts = [step.amount for step in told]
    if len(told) < len([step for step in waterfall.steps if step.amount_cents]):
        amounts.append(waterfall.gap - sum(amounts))
    whole = largest_remainder(amounts, end - start) if amounts else []
    steps = tuple(
        replace(step, amount_cents=100 * amount) for step, amount in zip(told, whole, strict=False)
    )
    return replace(waterfall, start_cents=100 * start, end_cents=100 * end, steps=steps)


def _ends(
    answer: Answer, option: OptionResult
) -> tuple[Waterfall, OptionResult, OptionResult] | None:
    """The waterfall of an option, from what, and to what."""
    best, base = answer.best, base_of(answer)
    if option is not base:
        return option.waterfall, base, option
    other = option if option is not best else next(iter(answer.options[1:]), None)
    if other is None:
        return None
    return other.waterfall_from_best, best, other


def _months(year: YearPicture, option: OptionResult) -> Picture:
    words = section_words("year")
    parts = {
        "own": year.own_sun_kwh,
        "collector": year.collector_kwh,
        "gas": year.gas_kwh,
        "grid": year.grid_kwh,
    }
    shown = {words[key]: values for key, values in parts.items() if any(values)}
    heads = ("Month", *(f"{name}, kWh" for name in shown), "Heat at the taps, kWh")
    rows = [
        (name, *(exact(values[i]) for values in shown.values()), exact(year.tap_kwh[i]))
        for i, name in enumerate(months())
    ]
    items = "; ".join(f"{name} {said(sum(values))} kWh" for name, values in shown.items())
    labels = {**words, "month_axis": words["axis"]}
    return picture(
        "months",
        _main_source({name: sum(values) for name, values in shown.items()}),
        lambda room: months_chart(year, labels, months(short=True), room),
        alt=f"Twelve bars of what heats the water. In the year: {items}.",
        tables=(table(f"What heats the water: {name_of(option)}", heads, rows),),
        caption=say("year.caption", text=most_and_least(year)),
    )


def _main_source(kwh: dict[str, float]) -> str:
    """What brings most of the energy."""
    if not kwh:
        return say("year.title")
    name = max(kwh, key=lambda name: kwh[name])
    return f"{name} brings {kwh[name] / sum(kwh.values()):.0%} of the energy for hot water"


def _bills(answer: Answer, option: OptionResult) -> Picture:
    base = base_of(answer)
    shown = [(option, DEFAULT_ACCENT)] + ([(base, OTHER_DARK)] if base is not option else [])
    bills = [(name_of(o), monthly(o.electricity_bill, o.gas_bill), colour) for o, colour in shown]
    currency = answer.currency
    rows = [
        (month, *(money(values[i], currency, decimals=2) for _, values, _ in bills))
        for i, month in enumerate(months())
    ]
    sums = "; ".join(f"{name} {money(sum(values), currency)}" for name, values, _ in bills)
    totals = [money(sum(values), currency) for _, values, _ in bills]
    beside = f", {totals[1]} with “{name_of(base)}”" if len(totals) > 1 else ""
    return picture(
        "bills",
        f"{say('year.bills')}: {totals[0]} a year{beside}",
        lambda room: bills_chart(bills, months(short=True), money_axis(currency), room),
        alt=f"Bars of the home's bills by month. In the year: {sums}.",
        tables=(table(say("year.bills"), ("Month", *(b[0] for b in bills)), rows),),
        caption=say("year.bills_caption"),
    )
