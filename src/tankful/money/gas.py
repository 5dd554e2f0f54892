"""Settle a year of gas."""

from __future__ import annotations

import numpy as np

from tankful.clock import FloatArray, YearClock
from tankful.model.result import Bill
from tankful.model.tariff import GasTariff
from tankful.money.lines import (
    MONTHS,
    bill_line,
    block_lines,
    checked_series,
    days_in_months,
    month_sums,
)

SUPPLY_LINE = "gas supply charge"


def gas_bill(
    gas_mj: FloatArray,
    tariff: GasTariff,
    clock: YearClock,
    *,
    other_use_mj_by_month: FloatArray | None = None,
) -> Bill:
    """The year's gas bill.

    ``gas_mj`` is the water heater's gas per step [MJ], shape ``(n_steps,)``;
    ``other_use_mj_by_month`` the home's other gas, shape ``(12,)`` (none when left out). Both
    share the blocks, which are daily averages over the clock month. ValueError on a wrong
    shape, negative or not finite.
    """
    used = month_sums(checked_series(gas_mj, "gas_mj", clock.n_steps), clock)
    if other_use_mj_by_month is not None:
        used = used + checked_series(other_use_mj_by_month, "other_use_mj_by_month", MONTHS)
    days = days_in_months(clock.year)
    usage = block_lines(
        "gas usage",
        used,
        [block.up_to_mj_per_day for block in tariff.blocks],
        [block.price_per_mj for block in tariff.blocks],
        days=days,
        unit="MJ",
    )
    return Bill(lines=(bill_line(SUPPLY_LINE, days, tariff.supply_per_day, "day"), *usage))


def gas_cost_of_hot_water(
    gas_mj: FloatArray,
    tariff: GasTariff,
    clock: YearClock,
    *,
    other_use_mj_by_month: FloatArray | None = None,
    gas_stays_connected: bool,
) -> float:
    """What the water heater's gas adds to the home's bill [money/year].

    The bill with it less the bill without. ``gas_stays_connected`` says whether the supply
    charge would be paid without a gas water heater too; if not, hot water carries it.
    ValueError when the home would leave the network with other gas use left.
    """
    with_it = gas_bill(gas_mj, tariff, clock, other_use_mj_by_month=other_use_mj_by_month).total
    if not gas_stays_connected:
        if other_use_mj_by_month is not None and np.any(np.asarray(other_use_mj_by_month) > 0.0):
            raise ValueError("other gas use is left, so the home cannot leave the gas network")
        return with_it
    without = np.zeros(clock.n_steps)
    return (
        with_it
        - gas_bill(without, tariff, clock, other_use_mj_by_month=other_use_mj_by_month).total
    )
