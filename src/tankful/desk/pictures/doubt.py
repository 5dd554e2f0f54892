"""What would turn the answer, and how the options fare in other futures."""

from __future__ import annotations

from tankful.advice.lever_words import amount, flip_sentences, future_sentences
from tankful.advice.wording import money
from tankful.desk.pictures.sheet import Sheet, picture, table
from tankful.model.whatif import Crossing, Flip, Flips, Futures, OptionFuture
from tankful.report.charts_doubt import futures_chart
from tankful.report.charts_flips import Lane, flips_chart
from tankful.report.document import Column, Spec, Table
from tankful.report.look import DEFAULT_ACCENT, Room
from tankful.report.say import one_line
from tankful.report.words_of import say

LANES = 12
"""So many inputs are drawn, those nearest to a flip; the table holds all."""
DRIVERS = 10


def flips_sheet(found: Flips) -> Sheet:
    """How far each input may go before another option is the cheapest."""
    lanes = [_lane(flip, found.currency) for flip in found.flipping[:LANES]]
    told = tuple(
        sentence for flip in found.flipping for sentence in flip_sentences(flip, found.currency)
    )
    if not lanes:
        steady = "No input on its own turns the answer within reason."
        return Sheet(sentences=(steady,), tables=(_flips_table(found),))
    drawn = picture(
        "flips",
        _nearest(found.flipping[0], found.currency),
        lambda room: flips_chart(lanes, room),
        alt=f"{len(lanes)} lines, the nearest to a turn first. {told[0]}",
        tables=(_flips_table(found),),
        caption=f"Each line is all that is within reason. The tick is today's value. On the dark "
        f"part “{one_line(found.best_label)}” stays the cheapest, on the bright part another is.",
    )
    return Sheet(pictures=(drawn,), sentences=told)


def _nearest(flip: Flip, currency: str) -> str:
    """Where the answer turns soonest."""
    ways = [(way, c) for way, c in (("below", flip.below), ("above", flip.above)) if c is not None]
    way, crossing = min(ways, key=lambda item: abs(item[1].value - flip.today))
    turn, today = (amount(v, flip.unit, currency) for v in (crossing.value, flip.today))
    return f"Nearest to a turn: {flip.label} {way} {turn} (today {today})"


def _lane(flip: Flip, currency: str) -> Lane:
    def said(crossing: Crossing | None) -> str:
        return amount(crossing.value, flip.unit, currency) if crossing else ""

    return Lane(
        label=flip.label[:1].upper() + flip.label[1:],
        low=flip.low,
        today=flip.today,
        high=flip.high,
        below=flip.below.value if flip.below else None,
        above=flip.above.value if flip.above else None,
        today_text=amount(flip.today, flip.unit, currency),
        below_text=said(flip.below),
        above_text=said(flip.above),
    )


def _flips_table(found: Flips) -> Table:
    heads = (
        ("Input", "left"),
        ("Today", "right"),
        ("Turns below", "right"),
        ("to", "left"),
        ("Turns above", "right"),
        ("to", "left"),
        ("Looked at from", "right"),
        ("up to", "right"),
    )
    rows = []
    for flip in found.flips:
        cells = [flip.label, amount(flip.today, flip.unit, found.currency)]
        for way in (flip.below, flip.above):
            cells += [amount(way.value, flip.unit, found.currency) if way else "never"]
            cells += [one_line(way.option_label) if way else ""]
        cells += [amount(end, flip.unit, found.currency) for end in (flip.low, flip.high)]
        rows.append(tuple(cells))
    columns = tuple(Column(head, "left" if side == "left" else "right") for head, side in heads)
    return Table(columns, tuple(rows), caption="Every input on its own")


def futures_sheet(found: Futures) -> Sheet:
    """How often each option is the best, the range of what it saves, and what that hangs on."""
    shown = [option for option in found.options if option.id != found.base_id]

    def chart(room: Room) -> Spec:
        bars = [
            (
                one_line(option.label),
                option.saving_p10,
                option.saving_p50,
                option.saving_p90,
                _chance(option, room),
                option.id == found.best_id,
            )
            for option in shown
        ]
        return futures_chart(
            bars,
            currency=found.currency,
            accent=DEFAULT_ACCENT,
            title=say("futures.axis", years=found.horizon_years),
            room=room,
        )

    told = future_sentences(found)
    tables = (_futures_table(found), _drivers_table(found))
    if not shown:
        return Sheet(sentences=told, tables=tables)
    drawn = picture(
        "futures",
        _surest(found),
        chart,
        alt=" ".join(told),
        tables=tables,
        caption=f"{say('futures.caption')} Savings are against {found.base_words}.",
    )
    return Sheet(pictures=(drawn,), sentences=told)


def _chance(option: OptionFuture, room: Room) -> str:
    chance = round(100 * option.best_share)
    return f"{chance}" if room.is_narrow else say("futures.chance", chance=chance)


def _surest(found: Futures) -> str:
    """How often the answer holds, or what is more often the cheapest."""
    best = next(option for option in found.options if option.id == found.best_id)
    first = max(found.options, key=lambda option: option.best_share)
    often = f"the cheapest in {round(100 * first.best_share)} of 100 futures"
    if first.best_share <= best.best_share:
        return f"{one_line(best.label)}: {often}"
    rest = f"today's best in {round(100 * best.best_share)}"
    return f"{one_line(first.label)}: {often}, {rest}"


def _futures_table(found: Futures) -> Table:
    heads = (
        "Option",
        "Best in",
        "Best or near it",
        "Saves, low end",
        "Middle",
        "High end",
        "Mean regret",
        "Too cold in",
    )

    def cells(option: OptionFuture) -> tuple[str, ...]:
        savings = (option.saving_p10, option.saving_p50, option.saving_p90)
        is_base = option.id == found.base_id
        return (
            one_line(option.label),
            f"{option.best_share:.0%}",
            f"{option.near_best_share:.0%}",
            *("" if is_base else money(value, found.currency) for value in savings),
            money(option.regret_mean, found.currency),
            f"{option.unusable_share:.0%}",
        )

    return table("The options over all futures", heads, [cells(o) for o in found.options])


def _drivers_table(found: Futures) -> Table:
    rows = [
        (
            driver.label,
            amount(driver.p10, driver.unit, found.currency),
            amount(driver.p90, driver.unit, found.currency),
            f"{driver.share:.0%} {'up' if driver.rises else 'down'}",
        )
        for driver in found.drivers[:DRIVERS]
    ]
    heads = ("Input", "Low end", "High end", "Share of the spread")
    return table("What the saving hangs on", heads, rows)
