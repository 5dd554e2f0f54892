"""Day-to-day clearness of the sky: what the monthly mean of sunshine hides.

Clearness is the sun's energy on level ground over that above the atmosphere.
"""

from __future__ import annotations

import math

import numpy as np

from tankful.clock import FloatArray, IntArray

DARKEST = 0.05
"""Clearness of the darkest day (Bendt 1981)."""
CLEAREST = 0.77
"""No day is clearer: a clear day passes about 0.75 (FAO-56 eq. 37, from memory; judgement)."""
LAG_ONE = 0.29
"""Correlation of one day's clearness with the next (source id ``graham-1988``)."""


def clearest(mean_clearness: float) -> float:
    """Clearness of the clearest day of a month of that mean, 0.3 to 0.75.

    Hollands and Huget 1983, Solar Energy 30, 195-209 (with source id ``bendt-1981``), which
    passes 0.8 in sunny months; held at what a cloudless sky lets through.
    """
    published = 0.6313 + 0.267 * mean_clearness - 11.9 * (mean_clearness - 0.75) ** 8
    return min(published, CLEAREST)


def clearness_quantile(probability: FloatArray, mean_clearness: float) -> FloatArray:
    """Daily clearness not exceeded with ``probability`` (0 to 1) in a month of that mean.

    Exponential distribution between the darkest and the clearest day (source id
    ``bendt-1981``), for means of 0.3 to 0.7; a mean outside is held at these limits.
    """
    mean = min(max(mean_clearness, 0.3), 0.7)
    top = clearest(mean)
    spread = (top - DARKEST) / (top - mean)
    exponent = -1.498 + (1.184 * spread - 27.182 * math.exp(-1.5 * spread)) / (top - DARKEST)
    low, high = math.exp(exponent * DARKEST), math.exp(exponent * top)
    return np.asarray(np.log(low + probability * (high - low)) / exponent, dtype=np.float64)


def daily_clearness(monthly_mean: FloatArray, month: IntArray, seed: int) -> FloatArray:
    """Clearness of every day, shape of ``month`` (1 to 12 of each day).

    A Gaussian series with the published lag-one correlation gives the order of clear and
    dull days; within a month it is ranked, and the ranks take evenly spaced quantiles of the
    month's distribution, so that every seed has the full spread and nearly the mean.
    """
    noise = np.random.default_rng(seed).standard_normal(month.size)
    series = np.empty(month.size)
    state = noise[0]
    for day, shock in enumerate(noise):
        state = LAG_ONE * state + math.sqrt(1.0 - LAG_ONE**2) * shock if day else shock
        series[day] = state
    clearness = np.empty(month.size)
    for number, mean in enumerate(monthly_mean, start=1):
        days = np.flatnonzero(month == number)
        rank = np.argsort(np.argsort(series[days]))
        clearness[days] = clearness_quantile((rank + 0.5) / days.size, float(mean))
    return clearness
