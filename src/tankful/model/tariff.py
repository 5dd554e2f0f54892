"""Tariffs as lists of charges. Prices include tax, in the case's currency."""

from __future__ import annotations

from calendar import month_name
from datetime import date, timedelta
from typing import Annotated, Self

import numpy as np
from pydantic import Field, model_validator

from tankful.model.fields import Table, UnfitError, Words, field
from tankful.model.window import MAX_WINDOWS, Window, Windows

Blocks = Annotated[tuple["Block", ...], Field(strict=False, max_length=100)]
GasBlocks = Annotated[tuple["GasBlock", ...], Field(strict=False, max_length=100)]


class Block(Table):
    """One step of a price that changes with the amount used in the billing month."""

    up_to_kwh_per_day: float | None = field(
        None,
        about="where it ends, as a daily average over the billing month; leave out in the last",
        unit="kWh/day",
        gt=0,
        when_absent="no end",
    )
    price_per_kwh: float = field(about="price in this block", unit="money/kWh", ge=-100, le=10_000)


class UsageCharge(Window):
    """A usage price and when it applies. Where several fit an hour, the first counts."""

    name: Words = field("usage", about="name on the bill, such as peak")
    price_per_kwh: float | None = field(
        None,
        about="price of grid electricity",
        unit="money/kWh",
        ge=-100,
        le=10_000,
        when_absent="by amount used",
    )
    blocks: Blocks = field((), about="instead of one price: blocks by amount used")

    @model_validator(mode="after")
    def _one_price(self) -> Self:
        if (self.price_per_kwh is None) == (not self.blocks):
            raise UnfitError(
                "a usage price needs `price_per_kwh` or `blocks`, not both or neither",
                "keep one of the two",
            )
        _check_blocks([block.up_to_kwh_per_day for block in self.blocks])
        return self


class FeedIn(Window):
    """What is paid for exports, and when. Where several fit an hour, the first counts."""

    price_per_kwh: float | None = field(
        None,
        about="paid for each exported kWh",
        unit="money/kWh",
        ge=-1,
        le=5,
        when_absent="by amount exported",
    )
    tiers: Blocks = field((), about="instead of one price: tiers by amount exported")
    until: date | None = field(
        None,
        about="last day on which this is paid, when the contract ends",
        ge=date(2000, 1, 1),
        le=date(2099, 12, 31),
        when_absent="no end",
    )
    price_after_per_kwh: float | None = field(
        None,
        about="paid for each exported kWh after that day",
        unit="money/kWh",
        ge=-1,
        le=5,
        when_absent="nothing",
    )

    @model_validator(mode="after")
    def _one_price(self) -> Self:
        if (self.price_per_kwh is None) == (not self.tiers):
            raise UnfitError(
                "`a feed-in entry|a payment for exports` needs `price_per_kwh` or `tiers`, "
                "not both or neither",
                "keep one of the two",
            )
        _check_blocks([tier.up_to_kwh_per_day for tier in self.tiers])
        if self.price_after_per_kwh is not None and self.until is None:
            raise UnfitError(
                "a price for afterwards needs the day on which this one ends",
                "`add until = 2028-06-30|fill in <until>`, or `remove price_after_per_kwh`",
            )
        return self

    def on(self, day: date) -> Self:
        """The entry as it pays on a day, in the same hours."""
        if self.until is None or day <= self.until:
            return self
        price = {"price_per_kwh": self.price_after_per_kwh or 0.0, "tiers": ()}
        return self.model_copy(update={**price, "until": None, "price_after_per_kwh": None})


class ControlledLoad(Table):
    """A separately metered circuit that the network switches. Panels never feed it."""

    name: Words = field("controlled load", about="name on the bill")
    supply_per_day: float = field(0.0, about="own supply charge", unit="money/day", ge=0, le=10_000)
    price_per_kwh: float = field(
        about="price on this circuit", unit="money/kWh", ge=-100, le=10_000
    )
    hours: Windows = field(about="when the network switches the circuit on", min_length=1)


class FreeWindow(Window):
    """Hours in which usage costs nothing, up to a daily amount."""

    cap_kwh_per_day: float | None = field(
        None, about="free electricity per day", unit="kWh/day", gt=0, when_absent="no limit"
    )


class DemandCharge(Window):
    """A charge on the highest half hour of each month within its hours."""

    price_per_kw_per_day: float = field(about="price", unit="money/kW/day", ge=0, le=10_000)


class ElectricityTariff(Table):
    """An electricity plan, to be given whole: nothing of the default plan stays."""

    name: Words = field("electricity plan", about="name of the plan")
    source: Words = field("", about="where the prices come from")
    supply_per_day: float = field(about="daily supply charge", unit="money/day", ge=0, le=10_000)
    usage: Annotated[tuple[UsageCharge, ...], Field(strict=False, max_length=MAX_WINDOWS)] = field(
        about="usage prices; together they must cover every hour of the year", min_length=1
    )
    controlled_load: ControlledLoad | None = field(
        None, about="off-peak circuit of the water heater", when_absent="no such circuit"
    )
    feed_in: Annotated[tuple[FeedIn, ...], Field(strict=False, max_length=MAX_WINDOWS)] = field(
        (), about="payment for exported electricity; hours not covered pay nothing"
    )
    free_window: FreeWindow | None = field(None, about="free hours", when_absent="no free hours")
    demand: Annotated[tuple[DemandCharge, ...], Field(strict=False, max_length=MAX_WINDOWS)] = (
        field((), about="demand charges")
    )

    @model_validator(mode="after")
    def _usage_covers_the_year(self) -> Self:
        gap = uncovered(self.usage)
        if gap:
            raise UnfitError(
                f"no usage price applies in {gap}",
                "add a last usage `entry without|price that leaves` hours, days and months`| open`",
            )
        return self

    def on(self, day: date) -> Self:
        """The plan as it pays for exports on a day; its hours stay."""
        return self.model_copy(update={"feed_in": tuple(entry.on(day) for entry in self.feed_in)})

    def changes_after(self, day: date) -> tuple[date, ...]:
        """First days of other feed-in prices, after ``day``, in order."""
        ends = {entry.until for entry in self.feed_in if entry.until is not None}
        return tuple(sorted(end + timedelta(days=1) for end in ends if end >= day))


class GasBlock(Table):
    """One step of the gas price by amount used in the billing month."""

    up_to_mj_per_day: float | None = field(
        None,
        about="where it ends, as a daily average over the billing month; leave out in the last",
        unit="MJ/day",
        gt=0,
        when_absent="no end",
    )
    price_per_mj: float = field(about="price in this block", unit="money/MJ", ge=0, le=1_000)


class GasTariff(Table):
    """A gas plan, to be given whole: nothing of the default plan stays."""

    name: Words = field("gas plan", about="name of the plan")
    source: Words = field("", about="where the prices come from")
    supply_per_day: float = field(about="daily supply charge", unit="money/day", ge=0, le=10_000)
    blocks: GasBlocks = field(about="usage prices by amount", min_length=1)

    @model_validator(mode="after")
    def _blocks_rise(self) -> Self:
        _check_blocks([block.up_to_mj_per_day for block in self.blocks])
        return self


def _check_blocks(ends: list[float | None]) -> None:
    if not ends:
        return
    if ends[-1] is not None or any(end is None for end in ends[:-1]):
        raise UnfitError(
            "every block but the last needs its end, and the last must have none",
            "`leave up_to out of|leave the end open in` the last block only",
        )
    numbers = [end for end in ends if end is not None]
    if numbers != sorted(set(numbers)):
        raise UnfitError(
            "the ends of the blocks do not rise", "list the blocks from small to large"
        )


def uncovered(windows: tuple[Window, ...]) -> str:
    """First month, day kind and hour that no window covers, in words; empty when all are."""
    month, weekend, minute = (
        grid.ravel()
        for grid in np.meshgrid(
            np.arange(1, 13), np.array([False, True]), np.arange(1440), indexing="ij"
        )
    )
    covered = np.zeros(month.shape, dtype=bool)
    for window in windows:
        covered |= window.covers(month, weekend, minute)
    if covered.all():
        return ""
    i = int(np.argmin(covered))
    kind = "weekends" if weekend[i] else "weekdays"
    at = f"{minute[i] // 60:02d}:{minute[i] % 60:02d}"
    return f"`month {month[i]}|{month_name[month[i]]}` on {kind} at {at}"
