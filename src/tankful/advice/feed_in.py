"""A feed-in contract that ends within the years compared: what is paid, and from when."""

from __future__ import annotations

from datetime import timedelta
from typing import NamedTuple

from tankful.advice.life import finance_of
from tankful.model.home import Home
from tankful.money.lifetime import present_shares
from tankful.money.settle import MeteredYear, feed_in_earned

DAYS_OF_A_YEAR = 365.25


class LaterFeedIn(NamedTuple):
    """What exports earn in a year from a moment on."""

    from_year: float
    """Years from the day of the advice."""
    earned: float


def later_feed_in(home: Home, metered: MeteredYear) -> tuple[LaterFeedIn, ...]:
    """What the year's exports earn under each later feed-in price, in order of time."""
    tariff, now = home.electricity_tariff, home.as_of
    moments = [(day, (day - now).days / DAYS_OF_A_YEAR) for day in tariff.changes_after(now)]
    return tuple(
        LaterFeedIn(moment, feed_in_earned(metered, tariff.on(day)))
        for day, moment in moments
        if moment < home.case.wishes.horizon_years
    )


def more_earned(home: Home, earned: float, later: tuple[LaterFeedIn, ...]) -> float:
    """How much more exports earn in the mean of the years compared, as these weigh today, than
    the ``earned`` of today's prices. Negative when the price falls."""
    if not later:
        return 0.0
    weights = present_shares([part.from_year for part in later], finance_of(home.case.wishes))
    return sum(
        weight * (part.earned - earned) for weight, part in zip(weights[1:], later, strict=True)
    )


def feed_in_notes(home: Home) -> tuple[str, ...]:
    """That the feed-in price will change, and how that is reckoned; empty when it will not."""
    days = home.electricity_tariff.changes_after(home.as_of)
    if not days:
        return ()
    when = " and ".join(f"{day - timedelta(days=1):%-d %B %Y}" for day in days)
    return (
        f"The feed-in price changes after {when}. Bills of a year are at today's price; the "
        "lifetime counts each price in its own time, and settings are the best for all the "
        "years together: look at them anew when the price changes.",
    )
