"""Lines of a bill from monthly quantities. Arrays are January to December, shape ``(12,)``."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tankful.clock import FloatArray, IntArray, YearClock, month_of_day
from tankful.model.result import BillLine

MONTHS = 12


def days_in_months(year: int) -> FloatArray:
    """Days billed in each month of the 365-day year, shape ``(12,)``."""
    return np.bincount(month_of_day(year) - 1, minlength=MONTHS).astype(np.float64)


def month_sums(values: FloatArray, clock: YearClock) -> FloatArray:
    """Sum of a series over each clock month, shape ``(n_steps,)`` to ``(12,)``."""
    return sums_by_row(clock.clock_month - 1, values, MONTHS)


def sums_by_row(row: IntArray, values: FloatArray, n_rows: int) -> FloatArray:
    """Sum of the values that share a row number, shapes ``(n,)``, ``(n,)`` to ``(n_rows,)``."""
    if not values.any():  # most heaters leave a meter at rest
        return np.zeros(n_rows)
    return np.bincount(row, weights=values, minlength=n_rows).astype(np.float64, copy=False)


def checked_series(values: FloatArray, name: str, n_steps: int) -> FloatArray:
    """``values`` as float64 of shape ``(n_steps,)``; ValueError if not finite and >= 0."""
    series = np.asarray(values, dtype=np.float64)
    if series.shape != (n_steps,):
        raise ValueError(f"{name} has shape {series.shape}, expected ({n_steps},)")
    if not (series.min() >= -1e-9 and series.max() < np.inf):
        raise ValueError(f"{name} must be finite and not negative")
    return series


def bill_line(name: str, quantity: FloatArray, price: float, unit: str) -> BillLine:
    """One line: twelve quantities at one price (negative for a credit)."""
    months = quantity * price + 0.0  # turns -0.0 into 0.0
    return BillLine(
        name=name,
        amount=float(months.sum()),
        months=tuple(months.tolist()),
        quantity=float(quantity.sum()),
        unit=unit,
    )


def block_lines(
    name: str,
    quantity: FloatArray,
    ends_per_day: Sequence[float | None],
    prices: Sequence[float],
    *,
    days: FloatArray,
    unit: str,
) -> list[BillLine]:
    """One line a block: block ends are daily averages over the billing month.

    ``ends_per_day`` rises and ends with ``None``; ``prices`` has one price a block. The
    month's quantity fills the blocks in order up to end x days of that month.
    """
    parts = split_blocks(quantity, ends_per_day, days)
    names = _block_names(name, ends_per_day, unit)
    return [
        bill_line(label, part, price, unit)
        for label, part, price in zip(names, parts, prices, strict=True)
    ]


def split_blocks(
    quantity: FloatArray, ends_per_day: Sequence[float | None], days: FloatArray
) -> FloatArray:
    """Monthly quantities by block, shape ``(n_blocks, 12)``; columns add up to ``quantity``."""
    ends = [np.inf if end is None else end for end in ends_per_day]
    bounds = np.outer([0.0, *ends], days)
    return np.diff(np.minimum(quantity, bounds), axis=0)


def _block_names(name: str, ends_per_day: Sequence[float | None], unit: str) -> list[str]:
    if len(ends_per_day) == 1:
        return [name]
    names = [f"{name} up to {end:g} {unit}/day" for end in ends_per_day if end is not None]
    return [*names, f"{name} above {ends_per_day[-2]:g} {unit}/day"]
