"""Settle a year of gas."""

from __future__ import annotations

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
    return gas_bill_metered(used, tariff, days_in_months(clock.year))


def gas_bill_metered(used_mj: FloatArray, tariff: GasTariff, days: FloatArray) -> Bill:
    """Price the gas of twelve months [MJ] and their ``days``, shape ``(12,)`` each."""
    usage = block_lines(
        "gas usage",
        used_mj,
        [block.up_to_mj_per_day for block in tariff.blocks],
        [block.price_per_mj for block in tariff.blocks],
        days=days,
        unit="MJ",
    )
    return Bill(lines=(bill_line(SUPPLY_LINE, days, tariff.supply_per_day, "day"), *usage))
