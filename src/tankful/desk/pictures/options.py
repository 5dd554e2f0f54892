"""The options side by side, and one option looked at: its money, its year, its bills."""

from __future__ import annotations

from tankful.advice.wording import control_sentence, money, years
from tankful.clock import dates_of_year
from tankful.desk.pictures.sheet import Picture, Sheet, picture, table
from tankful.model.answer import Answer, OptionResult
from tankful.model.picture import YearPicture
from tankful.model.result import Waterfall, monthly
from tankful.report.charts import choices_chart, money_axis, waterfall_chart
from tankful.report.charts_energy import bills_chart, months_chart
from tankful.report.look import DEFAULT_ACCENT, OTHER_DARK
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
    inputs = inputs_at(scene.home)
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
    bars = [
        (name_of(o), o.upfront.total, o.net_present_cost, o.id in tops, bar_end(answer, o))
        for o in answer.options
    ]
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
            f"{o.rank}{'=' if o.tied_with_best else ''}. {name_of(o)}",
            money(o.upfront.total, answer.currency),
            money(o.year_one.total, answer.currency),
            money(o.net_present_cost, answer.currency),
            years(o.payback_years),
            "" if o.emissions_kg is None else said(o.emissions_kg),
            str(o.sums.cold_draws),
        )
        for o in answer.options
    ]
    first = answer.best
    return picture(
        "choices",
        "What each option costs",
        choices_chart(bars, currency=answer.currency, accent=DEFAULT_ACCENT),
        alt=f"{len(rows)} bars, cheapest first. The first is {name_of(first)} with "
        f"{money(first.net_present_cost, answer.currency)}.",
        tables=(table("What each option costs", heads, rows),),
        caption=" ".join(
            [say("choices.intro", years=answer.horizon_years)]
            + [say("choices.note_last")] * any(is_last(answer, o) for o in answer.options)
        ),
    )


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
        pictures=tuple(item for item in found if item is not None),
        sentences=(one_line(setting),) if setting else (),
    )


def _waterfall(answer: Answer, option: OptionResult) -> Picture | None:
    """From the base to the option; the base itself is set against the best."""
    ends = _ends(answer, option)
    if ends is None:
        return None
    waterfall, start, end = ends
    steps = waterfall_steps(waterfall, start, end)
    currency = answer.currency
    rows = [
        (words, money(b if kind in ("start", "end") else b - a, currency), money(b, currency))
        for words, a, b, kind in steps
    ]
    return picture(
        "waterfall",
        "Where the money goes",
        waterfall_chart(steps, currency=currency, accent=DEFAULT_ACCENT),
        alt=f"From {start} at {money(waterfall.start, currency)} in {len(steps) - 2} steps to "
        f"{end} at {money(waterfall.end, currency)}.",
        tables=(table("Where the money goes", ("Step", "Adds", "Then"), rows),),
        caption=f"Costs over {answer.horizon_years} years in today's money, from "
        f"“{start}” to “{end}”.",
    )


def _ends(answer: Answer, option: OptionResult) -> tuple[Waterfall, str, str] | None:
    best, base = answer.best, base_of(answer)
    if option is not base:
        return option.waterfall, name_of(base), name_of(option)
    other = option if option is not best else next(iter(answer.options[1:]), None)
    if other is None:
        return None
    return other.waterfall_from_best, name_of(best), name_of(other)


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
    return picture(
        "months",
        "The year by month",
        months_chart(year, {**words, "month_axis": words["axis"]}, months(short=True)),
        alt=f"Twelve bars of what heats the water. In the year: {items}.",
        tables=(table(f"What heats the water: {name_of(option)}", heads, rows),),
        caption=say("year.caption", text=most_and_least(year)),
    )


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
    return picture(
        "bills",
        say("year.bills"),
        bills_chart(bills, months(short=True), money_axis(currency)),
        alt=f"Bars of the home's bills by month. In the year: {sums}.",
        tables=(table(say("year.bills"), ("Month", *(b[0] for b in bills)), rows),),
        caption=say("year.bills_caption"),
    )
