"""Clouds that come and go within a day: hours clearer and duller than the day's course."""

from __future__ import annotations

import numpy as np

from tankful.clock import FloatArray
from tankful.site.clearness import persistent
from tankful.units import DAYS_PER_YEAR

HOUR_DULLEST, HOUR_CLEAREST = 0.03, 0.82
"""Clearness of the dullest and the clearest hour, unless the smooth course passes them
(judgement)."""
KEEPING_ROUNDS = 6
"""Times that what the clearest hour cuts off is handed to the rest of its day."""


def hourly_spread(day_clearness: FloatArray, sin_height: FloatArray) -> FloatArray:
    """Standard deviation of an hour's clearness about the day's course [-].

    By the day's clearness and the sine of the sun's height, both 0 to 1 (source id
    ``aguiar-1992``): largest on half-cloudy days and with a low sun.
    """
    a = 0.14 * np.exp(-20.0 * (day_clearness - 0.35) ** 2)
    b = 3.0 * (day_clearness - 0.45) ** 2 + 16.0 * day_clearness**5
    return np.asarray(a * np.exp(b * (1.0 - sin_height)))


def hour_to_hour(day_clearness: FloatArray) -> FloatArray:
    """Correlation of an hour's deviation with the hour before's (source id ``aguiar-1992``)."""
    return np.asarray(0.38 + 0.06 * np.cos(7.4 * day_clearness - 2.5))


def with_clouds(
    ghi: FloatArray, above: FloatArray, sin_height: FloatArray, seed: int
) -> FloatArray:
    """Hourly global irradiance with clouds [W/m2]; every day keeps its sum.

    ``ghi`` is the smooth course, ``above`` the level irradiance above the atmosphere, both
    hourly with shape ``(8760,)`` [W/m2]. Deviations are Gaussian and autocorrelated; the same
    seed gives the same clouds.
    """
    by_day = (DAYS_PER_YEAR, 24)
    day_sum = ghi.reshape(by_day).sum(axis=1)
    day_clearness = day_sum / above.reshape(by_day).sum(axis=1)
    clearness = np.repeat(day_clearness, 24)
    shocks = np.random.default_rng([seed, 24]).standard_normal(clearness.size)
    deviation = persistent(shocks, hour_to_hour(clearness)) * hourly_spread(clearness, sin_height)
    up = above > 0.0
    smooth = np.where(up, ghi / np.where(up, above, 1.0), 0.0)
    highest = np.maximum(smooth, HOUR_CLEAREST)
    lowest = np.minimum(smooth, HOUR_DULLEST)
    cloudy = np.where(up, np.clip(smooth + deviation, lowest, highest), 0.0) * above
    for _ in range(KEEPING_ROUNDS):
        found = cloudy.reshape(by_day).sum(axis=1)
        factor = np.divide(day_sum, found, out=np.ones_like(found), where=found > 0.0)
        cloudy = np.minimum(cloudy * np.repeat(factor, 24), highest * above)
    left = day_sum - cloudy.reshape(by_day).sum(axis=1)
    return cloudy + np.repeat(left / day_sum, 24) * ghi
