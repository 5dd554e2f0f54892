"""Finer series whose block means equal given means: months to days, hours to steps.

Each block holds a parabola that runs between two edge values and has the block's mean;
its mean over every part of the block is taken exactly, so nothing is lost or gained.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tankful.clock import FloatArray, month_of_day


def monthly_to_daily(monthly: FloatArray, year: int) -> FloatArray:
    """Smooth daily series, shape ``(365,)``, with the twelve monthly means given.

    Value and slope are continuous round the year. The smooth curve can pass the highest and
    the lowest month a little: that is what keeps their means.
    """
    means = np.asarray(monthly, dtype=np.float64)
    days = np.bincount(month_of_day(year), minlength=13)[1:]
    left = _smooth_edges(means, days.astype(np.float64))
    right = np.roll(left, -1)
    blocks = [slice(i, i + 1) for i in range(means.size)]
    return np.concatenate(
        [
            _part_means(left[b], right[b], means[b], int(n))[0]
            for b, n in zip(blocks, days, strict=True)
        ]
    )


def hourly_to_steps(hourly: FloatArray, steps_per_hour: int) -> FloatArray:
    """Continuous series of ``steps_per_hour`` values an hour with the hourly means given.

    The edge between two hours is the average of both; the series closes on itself.
    """
    left = (np.roll(hourly, 1) + hourly) / 2.0
    return _part_means(left, np.roll(left, -1), hourly, steps_per_hour).ravel()


def daily_means_by_month(daily: FloatArray, year: int) -> FloatArray:
    """The twelve monthly means of a daily series of shape ``(365,)``."""
    month = month_of_day(year)
    counts = np.bincount(month, minlength=13)[1:]
    return np.bincount(month, weights=daily, minlength=13)[1:] / counts


def _part_means(left: FloatArray, right: FloatArray, mean: FloatArray, parts: int) -> FloatArray:
    """Means over ``parts`` equal parts of each block's parabola, shape ``(blocks, parts)``."""
    edges = np.linspace(0.0, 1.0, parts + 1)
    start, end = edges[:-1], edges[1:]
    middle = (start + end) / 2.0
    bow = 6.0 * (middle - (start * start + start * end + end * end) / 3.0)
    straight = left[:, None] + (right - left)[:, None] * middle
    return straight + (mean - (left + right) / 2.0)[:, None] * bow


def _smooth_edges(means: FloatArray, widths: FloatArray) -> FloatArray:
    """Left edge of each block for which the parabolas join without a kink, round the year.

    Slope at the end of a block is (4 right + 2 left - 6 mean) / width, at its start
    (6 mean - 4 left - 2 right) / width; equal slopes at every edge are a linear system.
    """
    n = means.size
    system = np.zeros((n, n))
    right_side = np.zeros(n)
    for edge in range(n):
        before, after = (edge - 1) % n, (edge + 1) % n
        system[edge, before] += 2.0 / widths[before]
        system[edge, edge] += 4.0 / widths[before] + 4.0 / widths[edge]
        system[edge, after] += 2.0 / widths[edge]
        right_side[edge] = 6.0 * (means[before] / widths[before] + means[edge] / widths[edge])
    return np.asarray(np.linalg.solve(system, right_side), dtype=np.float64)


def twelve(values: Sequence[float]) -> FloatArray:
    """Twelve monthly values as an array; any other number raises ValueError."""
    array = np.asarray(values, dtype=np.float64)
    if array.shape != (12,):
        raise ValueError(f"twelve monthly values wanted, got shape {array.shape}")
    return array
