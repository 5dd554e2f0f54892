"""Day-to-day clearness of the sky: what the monthly mean of sunshine hides.

Clearness is the sun's energy on level ground over that above the atmosphere.
"""

from __future__ import annotations

import math

import numpy as np

from tankful.clock import FloatArray, IntArray

LAG_ONE = 0.29
"""Correlation of one day's clearness with the next (source id ``graham-1988``)."""
MEANS = (0.12, 0.72)
"""Monthly means between which the distribution is used; others are held at these limits."""
GRID = (np.arange(2000) + 0.5) / 2000
STEEPEST = 200.0
"""Largest exponent tried; those between the two means stay below 40."""


def clearest(mean_clearness: float) -> float:
    """Clearness of the clearest day of a month of that mean (``MEANS``), 0.37 to 0.82.

    Source id ``hollands-huget-1983``. In sunny months it passes what a clear sky lets through at
    sea level, about 0.78; held there, days would spread too little (docs/accuracy.md).
    """
    return 0.6313 + 0.267 * mean_clearness - 11.9 * (mean_clearness - 0.75) ** 8


def clearness_quantile(probability: FloatArray, mean_clearness: float) -> FloatArray:
    """Daily clearness not exceeded with ``probability`` (0 to 1) in a month of that mean.

    Density (1 - x) e^(g x), x being clearness over that of the clearest day and g such that the
    mean is met (source id ``hollands-huget-1983``).
    """
    mean = min(max(mean_clearness, MEANS[0]), MEANS[1])
    top = clearest(mean)
    low, high = -STEEPEST, STEEPEST
    for _ in range(60):
        exponent = 0.5 * (low + high)
        density = (1.0 - GRID) * np.exp(exponent * (GRID - 0.5))
        if (density @ GRID) / density.sum() * top < mean:
            low = exponent
        else:
            high = exponent
    passed = np.cumsum(density) / density.sum()
    return np.asarray(np.interp(probability, passed, GRID * top), dtype=np.float64)


def persistent(shocks: FloatArray, correlation: FloatArray) -> FloatArray:
    """Standard normal series from independent ``shocks``, shape ``(n,)`` each.

    ``correlation`` is that of each value with the one before, 0 to 1.
    """
    series = shocks.copy()
    for now in range(1, series.size):
        kept = correlation[now]
        series[now] = kept * series[now - 1] + math.sqrt(1.0 - kept * kept) * shocks[now]
    return series


def daily_clearness(monthly_mean: FloatArray, month: IntArray, seed: int) -> FloatArray:
    """Clearness of every day, shape of ``month`` (1 to 12 of each day).

    A Gaussian series with the published lag-one correlation gives the order of clear and
    dull days; within a month it is ranked, and the ranks take evenly spaced quantiles of the
    month's distribution, so that every seed has the full spread and nearly the mean.
    """
    shocks = np.random.default_rng(seed).standard_normal(month.size)
    series = persistent(shocks, np.full(month.size, LAG_ONE))
    clearness = np.empty(month.size)
    for number, mean in enumerate(monthly_mean, start=1):
        days = np.flatnonzero(month == number)
        rank = np.argsort(np.argsort(series[days]))
        clearness[days] = clearness_quantile((rank + 0.5) / days.size, float(mean))
    return clearness
