"""How the best option works: two days and the year by month."""

from __future__ import annotations

import math

from tankful.model.picture import DayPicture, YearPicture
from tankful.model.result import monthly
from tankful.report.charts import money_axis
from tankful.report.charts_energy import bills_chart, days_chart, months_chart
from tankful.report.document import Chart, Paragraph, Point, Points, Section
from tankful.report.look import OTHER_DARK
from tankful.report.say import said
from tankful.report.subject import Subject, name_of
from tankful.report.words_of import day_short, months, say, section_words

TINY_KWH = 0.05


def days_section(subject: Subject) -> Section | None:
    """A summer and a winter day of the home with the best option."""
    days = subject.facts.days
    if not days:
        return None
    titled = [(day, say(f"days.{day.season}", day=day_short(day.date))) for day in days]
    has_tank = not any(math.isnan(value) for day in days for value in day.tank_c)
    chart = Chart(
        id="days",
        spec=days_chart(titled, section_words("days"), has_tank=has_tank),
        alt=say("days.alt") + " " + " ".join(_day_text(day) for day in days),
    )
    points = tuple(Point(day_sentences(day), lead=title) for day, title in titled)
    blocks = (
        Paragraph(say("days.intro", name=name_of(subject.best))),
        chart,
        Points(points),
    )
    return Section("days", say("days.title"), blocks)


def _day_text(day: DayPicture) -> str:
    return say(f"days.{day.season}_text", text=day_sentences(day))


def day_sentences(day: DayPicture) -> str:
    """What the day was like, in short sentences."""
    electric, bought, gas, roof = (
        sum(values) * day.hours
        for values in (day.electric_kw, day.bought_kw, day.gas_kw, day.collector_kw)
    )
    own = electric - bought
    texts = []
    if gas > TINY_KWH:
        texts.append(say("days.gas_used", kwh=f"{gas:.1f}"))
    elif electric <= TINY_KWH:
        texts.append(say("days.electric_none"))
    elif own / electric >= 0.01:
        share = round(100.0 * own / electric)
        texts.append(say("days.electric", kwh=f"{electric:.1f}", share=share))
    else:
        texts.append(say("days.electric_grid", kwh=f"{electric:.1f}"))
    texts[0] = texts[0][0].upper() + texts[0][1:]
    if roof > TINY_KWH:
        texts.append(say("days.roof", kwh=f"{roof:.1f}"))
    tank = [value for value in day.tank_c if not math.isnan(value)]
    if tank:
        texts.append(say("days.tank", low=f"{min(tank):.0f}"))
    texts.append(say("days.litres", litres=said(sum(day.drawn_l))))
    return " ".join(texts)


def year_section(subject: Subject) -> Section | None:
    """Where the energy of hot water comes from in each month."""
    year = subject.facts.year
    if year is None:
        return None
    words = section_words("year")
    sums = {
        "own": sum(year.own_sun_kwh),
        "collector": sum(year.collector_kwh),
        "gas": sum(year.gas_kwh),
        "grid": sum(year.grid_kwh),
    }
    total = sum(sums.values())
    if total <= 0.0:
        return None
    items = [
        say("year.alt_item", name=words[key], kwh=said(value))
        for key, value in sums.items()
        if value > 0.002 * total
    ]
    spec_words = {**words, "month_axis": words["axis"]}
    blocks = [
        Chart(
            id="year",
            spec=months_chart(year, spec_words, months(short=True)),
            alt=say("year.alt", list="; ".join(items)),
            caption=say("year.caption", text=most_and_least(year)),
        ),
        *_bills(subject),
    ]
    return Section("year", say("year.title"), tuple(blocks))


def most_and_least(year: YearPicture) -> str:
    """The months in which hot water takes most and least."""
    parts = (year.own_sun_kwh, year.collector_kwh, year.gas_kwh, year.grid_kwh)
    totals = [sum(values) for values in zip(*parts, strict=True)]
    names = months()
    most, least = totals.index(max(totals)), totals.index(min(totals))
    return say("year.winter_more", month=names[most], least=names[least])


def _bills(subject: Subject) -> tuple[Chart, ...]:
    """The home's bills by month with the best option and with its rival."""
    rival, best = subject.rival, subject.best
    if rival is None:
        return ()
    with_best = monthly(best.electricity_bill, best.gas_bill)
    with_rival = monthly(rival.electricity_bill, rival.gas_bill)
    bills = [
        (say("year.bill_with"), with_best, subject.accent),
        (say("year.bill_base", base=subject.rival_name), with_rival, OTHER_DARK),
    ]
    return (
        Chart(
            id="bills",
            title=say("year.bills"),
            spec=bills_chart(bills, months(short=True), money_axis(subject.answer.currency)),
            alt=say(
                "year.bills_alt",
                first=subject.money(sum(with_best)),
                second=subject.money(sum(with_rival)),
                base=subject.rival_name,
            ),
            caption=say("year.bills_caption"),
        ),
    )
