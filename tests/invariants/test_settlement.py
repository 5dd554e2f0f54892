"""What must hold of every bill, whatever the plan."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankful.clock import FloatArray, YearClock, public_holidays, year_clock
from tankful.model.tariff import (
    Block,
    ControlledLoad,
    DemandCharge,
    ElectricityTariff,
    FeedIn,
    FreeWindow,
    UsageCharge,
)
from tankful.model.window import Window, minute_of_day
from tankful.money.lines import split_blocks
from tankful.money.settle import (
    bill_metered,
    electricity_bill,
    meter_year,
    price_year,
)

TZ, YEAR = "Australia/Adelaide", 2027
HOURLY = year_clock(YEAR, TZ, 60, "AU", "SA")
HALF_HOURLY = year_clock(YEAR, TZ, 30, "AU", "SA")
QUARTER_HOURLY = year_clock(YEAR, TZ, 15, "AU", "SA")
EXAMPLES = settings(max_examples=25, deadline=None)

prices = st.floats(0.0, 2.0).map(lambda value: round(value, 4))
ends = st.floats(0.5, 40.0).map(lambda value: round(value, 2))
seeds = st.integers(0, 2**32 - 1)


@st.composite
def windows(draw: st.DrawFn) -> dict[str, object]:
    start, end = draw(st.integers(0, 23)), draw(st.integers(0, 24))
    return {
        "start": f"{start:02d}:00",
        "end": f"{end:02d}:00",
        "days": draw(st.sampled_from(["all", "weekday", "weekend"])),
        "months": tuple(sorted(draw(st.sets(st.integers(1, 12), max_size=6)))),
    }


@st.composite
def blocks(draw: st.DrawFn) -> tuple[Block, ...]:
    edges = sorted(set(draw(st.lists(ends, min_size=1, max_size=3))))
    return (
        *(Block(up_to_kwh_per_day=edge, price_per_kwh=draw(prices)) for edge in edges),
        Block(price_per_kwh=draw(prices)),
    )


@st.composite
def plans(draw: st.DrawFn) -> ElectricityTariff:
    def priced(name: str) -> dict[str, object]:
        if draw(st.booleans()):
            return {"price_per_kwh": draw(prices)}
        return {name: draw(blocks())}

    usage = [
        UsageCharge(**draw(windows()), **priced("blocks")) for _ in range(draw(st.integers(0, 2)))
    ]
    feed_in = [FeedIn(**draw(windows()), **priced("tiers")) for _ in range(draw(st.integers(0, 2)))]
    free = demand = None
    if draw(st.booleans()):
        cap = draw(st.none() | ends)
        free = FreeWindow(**draw(windows()), cap_kwh_per_day=cap)
    if draw(st.booleans()):
        demand = DemandCharge(**draw(windows()), price_per_kw_per_day=draw(prices))
    load = ControlledLoad(
        supply_per_day=draw(prices), price_per_kwh=draw(prices), hours=(Window(),)
    )
    return ElectricityTariff(
        supply_per_day=draw(prices),
        usage=(*usage, UsageCharge(**priced("blocks"))),
        feed_in=tuple(feed_in),
        free_window=free,
        demand=() if demand is None else (demand,),
        controlled_load=load if draw(st.booleans()) else None,
    )


@dataclass(frozen=True)
class Year:
    imported: FloatArray
    exported: FloatArray
    controlled: FloatArray


def random_year(seed: int, tariff: ElectricityTariff, clock: YearClock) -> Year:
    rng = np.random.default_rng(seed)
    n = clock.n_steps
    scale = clock.step_min / 60
    imported, exported, controlled = (
        scale * rng.gamma(0.5, 2.0, n) * (rng.random(n) < 0.7) for _ in range(3)
    )
    return Year(imported, exported, controlled * (tariff.controlled_load is not None))


def cost(year: Year, tariff: ElectricityTariff, clock: YearClock) -> float:
    priced = price_year(tariff, clock)
    return electricity_bill(year.imported, year.exported, year.controlled, priced).total


@given(plans(), seeds)
@EXAMPLES
def test_cost_is_the_bill_total_and_the_months_add_up(tariff: ElectricityTariff, seed: int) -> None:
    year = random_year(seed, tariff, HOURLY)
    bill = electricity_bill(
        year.imported, year.exported, year.controlled, price_year(tariff, HOURLY)
    )
    assert cost(year, tariff, HOURLY) == pytest.approx(bill.total, abs=1e-6)
    assert sum(bill.months) == pytest.approx(bill.total, abs=1e-6)


@given(plans(), seeds)
@settings(max_examples=15, deadline=None)
def test_bill_is_what_a_clerk_with_a_calendar_works_out(
    tariff: ElectricityTariff, seed: int
) -> None:
    year = random_year(seed, tariff, HOURLY)
    assert cost(year, tariff, HOURLY) == pytest.approx(clerk(year, tariff), abs=1e-6)


@given(plans(), seeds)
@EXAMPLES
def test_more_import_never_costs_less(tariff: ElectricityTariff, seed: int) -> None:
    year = random_year(seed, tariff, HOURLY)
    more = np.random.default_rng(seed + 1).random(HOURLY.n_steps)
    greedy = replace(year, imported=year.imported + more * (more > 0.9))
    assert cost(greedy, tariff, HOURLY) >= cost(year, tariff, HOURLY) - 1e-6


@given(plans(), seeds)
@EXAMPLES
def test_more_export_never_costs_more(tariff: ElectricityTariff, seed: int) -> None:
    year = random_year(seed, tariff, HOURLY)
    sunny = replace(year, exported=year.exported * 1.1)
    assert cost(sunny, tariff, HOURLY) <= cost(year, tariff, HOURLY) + 1e-6


@given(plans(), seeds)
@EXAMPLES
def test_splitting_a_step_keeps_the_bill(tariff: ElectricityTariff, seed: int) -> None:
    whole = random_year(seed, tariff, HALF_HOURLY)
    halves = Year(
        *(np.repeat(series, 2) / 2 for series in (whole.imported, whole.exported, whole.controlled))
    )
    split = cost(halves, tariff, QUARTER_HOURLY)
    assert split == pytest.approx(cost(whole, tariff, HALF_HOURLY), abs=1e-6)


@given(plans(), seeds, st.floats(0.1, 5.0))
@EXAMPLES
def test_a_meter_read_once_can_be_priced_again(
    tariff: ElectricityTariff, seed: int, factor: float
) -> None:
    year = random_year(seed, tariff, HOURLY)
    metered = meter_year(year.imported, year.exported, year.controlled, price_year(tariff, HOURLY))
    dearer = tariff.model_copy(
        update={
            "supply_per_day": tariff.supply_per_day * factor,
            "usage": tuple(
                charge.model_copy(
                    update={"price_per_kwh": charge.price_per_kwh * factor}
                    if charge.price_per_kwh is not None
                    else {"blocks": charge.blocks[-1:]}
                )
                for charge in tariff.usage
            ),
        }
    )
    again = bill_metered(metered, dearer).total
    assert again == pytest.approx(cost(year, dearer, HOURLY), abs=1e-6)


@given(st.lists(ends, max_size=3, unique=True), seeds)
@EXAMPLES
def test_blocks_fill_in_order_and_lose_nothing(edges: list[float], seed: int) -> None:
    quantity = np.random.default_rng(seed).gamma(1.0, 500.0, 12)
    days = np.array([31.0, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    rising = sorted(edges)
    parts = split_blocks(quantity, [*rising, None], days)
    assert parts.sum(axis=0) == pytest.approx(quantity)
    widths = np.outer(np.diff([0.0, *rising]), days)
    assert (parts[:-1] <= widths + 1e-9).all()
    for lower, upper, width in zip(parts, parts[1:], widths, strict=False):
        assert (lower[upper > 0.0] == pytest.approx(width[upper > 0.0])) or not (upper > 0).any()


def clerk(year: Year, tariff: ElectricityTariff) -> float:
    """The bill by plain loops over the calendar, one hour at a time, sharing no code."""
    holidays = public_holidays(YEAR, "AU", "SA")
    zone = ZoneInfo(TZ)
    usage: dict[tuple[int, int], float] = defaultdict(float)
    feed_in: dict[tuple[int, int], float] = defaultdict(float)
    demand: dict[tuple[int, int], float] = defaultdict(float)
    free_left: dict[date, float] = {}
    start = datetime(YEAR, 1, 1, tzinfo=UTC) - timedelta(hours=9.5)
    for i in range(8760):
        clock = (start + timedelta(hours=i)).astimezone(zone)
        day = clock.date() if clock.year == YEAR else date(YEAR, 12, 31)
        weekend = day.weekday() >= 5 or day in holidays
        at = (day.month, weekend, clock.hour * 60)
        kwh = float(year.imported[i])
        free = tariff.free_window
        if free is not None and fits(free, *at):
            left = free_left.setdefault(
                day, float("inf") if free.cap_kwh_per_day is None else free.cap_kwh_per_day
            )
            given_away = min(left, kwh)
            free_left[day] = left - given_away
            kwh -= given_away
        charge = next(j for j, window in enumerate(tariff.usage) if fits(window, *at))
        usage[charge, day.month] += kwh
        for j, entry in enumerate(tariff.feed_in):
            if fits(entry, *at):
                feed_in[j, day.month] += float(year.exported[i])
                break
        for j, peak in enumerate(tariff.demand):
            if fits(peak, *at):
                demand[j, day.month] = max(demand[j, day.month], float(year.imported[i]))
    total = 365 * tariff.supply_per_day
    for (j, month), kwh in usage.items():
        total += laddered(kwh, month, tariff.usage[j].price_per_kwh, tariff.usage[j].blocks)
    for (j, month), kwh in feed_in.items():
        total -= laddered(kwh, month, tariff.feed_in[j].price_per_kwh, tariff.feed_in[j].tiers)
    for (j, month), kw in demand.items():
        total += kw * month_days(month) * tariff.demand[j].price_per_kw_per_day
    if tariff.controlled_load is not None and year.controlled.any():
        load = tariff.controlled_load
        total += 365 * load.supply_per_day + float(year.controlled.sum()) * load.price_per_kwh
    return total


def fits(window: Window, month: int, weekend: bool, minute: int) -> bool:
    start, end = minute_of_day(window.start) % 1440, minute_of_day(window.end) % 1440
    inside = start <= minute < end if start < end else not end <= minute < start
    days = window.days == "all" or (window.days == "weekend") == weekend
    return inside and days and (not window.months or month in window.months)


def laddered(kwh: float, month: int, price: float | None, steps: tuple[Block, ...]) -> float:
    if price is not None:
        return kwh * price
    money, done = 0.0, 0.0
    for step in steps:
        end = float("inf") if step.up_to_kwh_per_day is None else step.up_to_kwh_per_day
        part = max(0.0, min(kwh, end * month_days(month)) - done)
        money, done = money + part * step.price_per_kwh, done + part
    return money


def month_days(month: int) -> int:
    return {2: 28, 4: 30, 6: 30, 9: 30, 11: 30}.get(month, 31)
