"""Settle a year of electricity: flows by step, to monthly quantities, to a bill.

The middle station, ``MeteredYear``, depends on the hours of a plan but not on its prices.
Where only prices change (break-evens, price maps, futures), read the meter once and call
``bill_metered`` again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tankful.clock import FloatArray, IntArray
from tankful.model.result import Bill, BillLine
from tankful.model.tariff import Block, ControlledLoad, ElectricityTariff
from tankful.money.lines import (
    MONTHS,
    bill_line,
    block_lines,
    checked_series,
    month_sums,
    sums_by_row,
)
from tankful.money.priced import FreeHours, PricedYear, half_hour_kw, price_year

__all__ = [
    "MeteredYear",
    "PricedYear",
    "bill_metered",
    "electricity_bill",
    "feed_in_earned",
    "free_kwh",
    "meter_year",
    "price_year",
]


@dataclass(frozen=True, eq=False)
class MeteredYear:
    """Quantities of a year by month, sorted as one plan charges them.

    ``usage_kwh`` has shape ``(n_usage, 12)`` without the free kWh; ``free_kwh`` and
    ``controlled_kwh`` ``(12,)``; ``feed_in_kwh`` ``(n_feed_in, 12)``; ``unpaid_export_kwh``
    ``(12,)``; ``demand_kw`` ``(n_demand, 12)``, the highest half hour of each month;
    ``days`` ``(12,)``.
    """

    days: FloatArray
    usage_kwh: FloatArray
    free_kwh: FloatArray
    controlled_kwh: FloatArray
    feed_in_kwh: FloatArray
    unpaid_export_kwh: FloatArray
    demand_kw: FloatArray


def electricity_bill(
    import_kwh: FloatArray,
    export_kwh: FloatArray,
    controlled_kwh: FloatArray,
    priced: PricedYear,
    *,
    with_controlled_circuit: bool | None = None,
) -> Bill:
    """The year's bill, line by line and month by month.

    Arguments are energy per step [kWh], shape ``(n_steps,)``, finite and not negative:
    import and export of the general circuit, and use of the controlled circuit.
    ``with_controlled_circuit`` says whether that circuit's supply is charged; left out, it
    is when anything flows there.
    Raises ValueError on a wrong shape or value, or flow on a circuit that is not there.
    """
    metered = meter_year(import_kwh, export_kwh, controlled_kwh, priced)
    return bill_metered(metered, priced.tariff, with_controlled_circuit=with_controlled_circuit)


def meter_year(
    import_kwh: FloatArray,
    export_kwh: FloatArray,
    controlled_kwh: FloatArray,
    priced: PricedYear,
) -> MeteredYear:
    """Monthly quantities by charge. Arguments and errors as in ``electricity_bill``."""
    n = priced.clock.n_steps
    imported = checked_series(import_kwh, "import_kwh", n)
    exported = checked_series(export_kwh, "export_kwh", n)
    controlled = checked_series(controlled_kwh, "controlled_kwh", n)
    paid, free_by_month = imported, np.zeros(MONTHS)
    if priced.free is not None:
        steps, free = priced.free.steps, free_kwh(imported, priced.free)
        paid = imported.copy()
        paid[steps] -= free
        free_by_month = sums_by_row(priced.clock.clock_month[steps] - 1, free, MONTHS)
    feed_in = _by_row(exported, priced.feed_in_row, len(priced.tariff.feed_in) + 1)
    return MeteredYear(
        days=priced.days,
        usage_kwh=_by_row(paid, priced.usage_row, len(priced.tariff.usage)),
        free_kwh=free_by_month,
        controlled_kwh=month_sums(controlled, priced.clock),
        feed_in_kwh=feed_in[:-1],
        unpaid_export_kwh=feed_in[-1],
        demand_kw=_demand_kw(imported, priced),
    )


def free_kwh(import_kwh: FloatArray, free: FreeHours) -> FloatArray:
    """Free energy of each step of the free window [kWh], shape of ``free.steps``.

    The first kWh of each clock day are free, up to the cap; the rest pays its hour's price.
    """
    inside = import_kwh[free.steps]
    before = np.cumsum(inside) - inside
    before -= before[free.day_first]
    return np.minimum(np.maximum(free.cap_kwh_per_day - before, 0.0), inside)


def bill_metered(
    metered: MeteredYear, tariff: ElectricityTariff, *, with_controlled_circuit: bool | None = None
) -> Bill:
    """Price monthly quantities.

    ``tariff`` may differ in prices and block ends from the plan the meter was read for, not
    in its hours, their order, or the free window's cap (ValueError where the count differs).
    Blocks and tiers are daily averages over the month, within their own charge alone.
    """
    counts = (len(tariff.usage), len(tariff.feed_in), len(tariff.demand))
    if counts != (len(metered.usage_kwh), len(metered.feed_in_kwh), len(metered.demand_kw)):
        raise ValueError(f"the meter was not read for the hours of {tariff.name!r}")
    controlled_kwh = float(metered.controlled_kwh.sum())
    circuit = _circuit_charged(controlled_kwh, tariff, with_controlled_circuit)
    lines = [bill_line("supply charge", metered.days, tariff.supply_per_day, "day")]
    for charge, kwh in zip(tariff.usage, metered.usage_kwh, strict=True):
        lines += _energy_lines(charge.name, kwh, charge.price_per_kwh, charge.blocks, metered.days)
    if tariff.free_window is not None:
        lines.append(bill_line("free hours", metered.free_kwh, 0.0, "kWh"))
    if circuit is not None:
        supply = circuit.supply_per_day
        lines.append(bill_line(f"{circuit.name} supply", metered.days, supply, "day"))
        lines.append(bill_line(circuit.name, metered.controlled_kwh, circuit.price_per_kwh, "kWh"))
    for demand, kw in zip(tariff.demand, metered.demand_kw, strict=True):
        kw_days = kw * metered.days
        lines.append(bill_line("demand charge", kw_days, demand.price_per_kw_per_day, "kW day"))
    lines += _feed_in_lines(metered, tariff)
    return Bill(lines=tuple(lines))


def feed_in_earned(metered: MeteredYear, tariff: ElectricityTariff) -> float:
    """What exports earn in the year, under a plan as in ``bill_metered``."""
    return -sum(line.amount for line in _feed_in_lines(metered, tariff))


def _feed_in_lines(metered: MeteredYear, tariff: ElectricityTariff) -> list[BillLine]:
    """Credits, as negative amounts."""
    lines: list[BillLine] = []
    for entry, kwh in zip(tariff.feed_in, metered.feed_in_kwh, strict=True):
        name = "feed-in" if len(tariff.feed_in) == 1 else f"feed-in {entry.text()}"
        price = None if entry.price_per_kwh is None else -entry.price_per_kwh
        tiers = tuple(
            tier.model_copy(update={"price_per_kwh": -tier.price_per_kwh}) for tier in entry.tiers
        )
        earned = _energy_lines(name, kwh, price, tiers, metered.days)
        lines += [replace(line, exported=True) for line in earned]
    return lines


def _energy_lines(
    name: str,
    kwh: FloatArray,
    price_per_kwh: float | None,
    blocks: tuple[Block, ...],
    days: FloatArray,
) -> list[BillLine]:
    """One line at one price, or one line a block."""
    if price_per_kwh is not None:
        return [bill_line(name, kwh, price_per_kwh, "kWh")]
    ends = [block.up_to_kwh_per_day for block in blocks]
    prices = [block.price_per_kwh for block in blocks]
    return block_lines(name, kwh, ends, prices, days=days, unit="kWh")


def _circuit_charged(
    controlled_kwh: float, tariff: ElectricityTariff, asked: bool | None
) -> ControlledLoad | None:
    """The controlled load to charge for, if any."""
    flows = controlled_kwh > 0.0
    if flows and asked is False:
        raise ValueError("energy flows on a controlled circuit that is not there")
    if not (asked or flows):
        return None
    if tariff.controlled_load is None:
        raise ValueError(f"{tariff.name!r} has no controlled load")
    return tariff.controlled_load


def _by_row(energy_kwh: FloatArray, row: IntArray, n_rows: int) -> FloatArray:
    """Energy by charge and month, shape ``(n_rows, 12)``."""
    return sums_by_row(row, energy_kwh, n_rows * MONTHS).reshape(n_rows, MONTHS)


def _demand_kw(import_kwh: FloatArray, priced: PricedYear) -> FloatArray:
    """Highest half hour of each month inside each demand window [kW], ``(n_demand, 12)``.

    The general circuit alone; a month without hours in the window has 0.
    """
    peaks = np.zeros((len(priced.demand_half_hours), MONTHS))
    if priced.demand_half_hours:
        power_kw = half_hour_kw(import_kwh, priced.clock)
        for row, by_month in zip(peaks, priced.demand_half_hours, strict=True):
            row[:] = [power_kw[half_hours].max(initial=0.0) for half_hours in by_month]
    return peaks
