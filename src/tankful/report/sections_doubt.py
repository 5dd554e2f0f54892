"""What would change the answer: flips in words, futures as a picture."""

from __future__ import annotations

from tankful.model.currency import CENTS, money
from tankful.model.whatif import Crossing, Flip, Futures, OptionFuture
from tankful.report.charts_doubt import futures_chart
from tankful.report.document import Block, Chart, Paragraph, Point, Points, Section
from tankful.report.say import listed, one_line, said, said_money
from tankful.report.subject import Subject, name_of
from tankful.report.words_of import say

FLIPS_TOLD = 5
OPTIONS_SHOWN = 7
DRIVERS_TOLD = 3
DRIVER_SHARE = 0.05
"""An input with less of the spread than this is not told (judgement)."""


def flips_section(subject: Subject) -> Section | None:
    """The nearest flips, a sentence each."""
    flips = subject.facts.flips
    if flips is None:
        return None
    points = tuple(
        Point(crossing_text(subject, flip, nearest), lead=lever_name(flip))
        for flip, nearest in nearest_flips(subject)[:FLIPS_TOLD]
    )
    blocks: tuple[Block, ...] = (
        (Paragraph(say("flips.intro")), Points(points))
        if points
        else (Paragraph(say("flips.none")),)
    )
    return Section("flips", say("flips.title"), blocks)


def nearest_flips(subject: Subject) -> list[tuple[Flip, Crossing]]:
    """Inputs that can turn the answer, with the nearer of their two ways."""
    flips = subject.facts.flips
    found = []
    for flip in flips.flips if flips is not None else ():
        ways = [c for c in (flip.below, flip.above) if c is not None]
        if ways:
            found.append((flip, min(ways, key=lambda c: abs(c.value - flip.today))))
    return found


def lever_name(flip: Flip) -> str:
    """What is turned, to begin a sentence; a price as quotes give it, which are compared so."""
    name = one_line(flip.label)
    if flip.key.startswith("price:"):
        name = say("flips.price", price=name)
    return f"{name[:1].upper()}{name[1:]}"


def crossing_text(subject: Subject, flip: Flip, to: Crossing) -> str:
    """One flip in a sentence, without what it is about."""
    currency = subject.answer.currency
    return say(
        "flips.above" if to.value > flip.today else "flips.below",
        now=amount_text(flip.today, flip.unit, currency),
        value=amount_text(to.value, flip.unit, currency),
        winner=one_line(to.option_label),
    )


def amount_text(value: float, unit: str, currency: str) -> str:
    """An amount of an input as people say it."""
    head, slash, per = unit.partition("/")
    if unit == currency:
        return said_money(value, currency)
    if head == currency and slash:
        return say("flips.per", amount=_price(value, currency), unit=per)
    if unit == "a year":
        return say("flips.per_year", percent=f"{100.0 * value:.1f}")
    if unit.startswith("%"):
        return f"{value:.0f} {unit}"
    number = said(value) if abs(value) >= 100 else f"{value:.2g}"
    return f"{number} {unit}".strip()


def _price(value: float, currency: str) -> str:
    """The price of a kWh, a MJ or a day: in cents where it has some and is below one unit."""
    if currency in CENTS and abs(value) < 1.0:
        return f"{100.0 * value:.2g} {CENTS[currency]}"
    return money(value, currency, decimals=2)


def futures_section(subject: Subject) -> Section | None:
    """How often each option is the best, and the range of what it saves."""
    futures = subject.facts.futures
    if futures is None:
        return None
    shown = _shown(futures)
    names = {option.id: name_of(option) for option in subject.answer.options}
    rows = [
        (
            names.get(option.id, one_line(option.label)),
            option.saving_p10,
            option.saving_p50,
            option.saving_p90,
            say("futures.chance", chance=round(100 * option.best_share)),
            option.id == subject.best.id,
        )
        for option in shown
    ]
    items = [
        say(
            "futures.alt_item",
            name=name,
            low=subject.money(low),
            high=subject.money(high),
            chance=round(100 * option.best_share),
        )
        for (name, low, _, high, _, _), option in zip(rows, shown, strict=True)
    ]
    blocks: list[Block] = [
        Paragraph(say("futures.intro", count=futures.draws)),
        Chart(
            id="futures",
            spec=futures_chart(
                rows,
                currency=subject.answer.currency,
                accent=subject.accent,
                title=say("futures.axis", years=subject.years),
            ),
            alt=say("futures.alt", list="; ".join(items)),
            caption=say("futures.caption"),
        ),
    ]
    drivers = [d.label for d in futures.drivers[:DRIVERS_TOLD] if d.share >= DRIVER_SHARE]
    if drivers:
        things = listed([one_line(label) for label in drivers], say("page.and"))
        blocks.append(Paragraph(say("futures.drivers", things=things)))
    return Section("futures", say("futures.title"), tuple(blocks))


def _shown(futures: Futures) -> list[OptionFuture]:
    """The options that are the best most often; what savings count against saves nothing."""
    others = [o for o in futures.options if o.id != futures.base_id or o.best_share > 0]
    return others[:OPTIONS_SHOWN]


def best_chance(subject: Subject) -> tuple[int, int] | None:
    """In how many of 100 futures the answer's best is the best, and how many were tried."""
    futures = subject.facts.futures
    found = next((o for o in futures.options if o.id == subject.best.id), None) if futures else None
    if futures is None or found is None:
        return None
    return round(100 * found.best_share), futures.draws
