"""Cold water temperature over the year: the Australian zone table, or the air's correlation."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from tankful.clock import FloatArray
from tankful.data.store import load_table
from tankful.site.smooth import daily_means_by_month, monthly_to_daily, twelve
from tankful.units import DAYS_PER_YEAR

FREEZING_MARGIN_C = 1.0
"""No cold water below this: pipes in use do not freeze (judgement)."""
OFFSET_K = 6.0 / 1.8
"""Water above the year's mean air [K] (6 degF; source id ``burch-christensen-2007``)."""


@lru_cache(maxsize=1)
def _zones() -> dict[int, tuple[float, ...]]:
    return {
        int(row["zone"]): tuple(float(v) for v in row["cold_water_c_jan_to_dec"].split())
        for row in load_table("cold_water_zones")
    }


def cold_water_zone_c(zone: int) -> tuple[float, ...]:
    """Cold water [degC] from January to December in zone 1 to 5; KeyError otherwise.

    Zones 1 to 4 are those of solar water heaters, 5 is heat pump zone 5. Source ids
    ``cold-water-zones``, ``cold-water-zone-5``.
    """
    return _zones()[zone]


def burch_christensen_c(
    mean_air_c: float,
    range_k: float,
    day: FloatArray,
    southern: bool,
    *,
    offset_k: float = OFFSET_K,
) -> FloatArray:
    """Cold water [degC] on each ``day`` of the year (1 to 365).

    ``mean_air_c`` is the year's mean air temperature, ``range_k`` the warmest less the
    coolest month's mean. It reads warm in the cool south of Australia: an ``offset_k`` of 0
    suits cool surface reservoirs better. Clipped at 1 degC. Source id
    ``burch-christensen-2007``, here in degC.
    """
    ratio = 0.4 + 0.018 * (mean_air_c - 44.0 / 1.8 + 32.0 / 1.8)
    lag_days = 35.0 - 1.8 * (mean_air_c - 44.0 / 1.8 + 32.0 / 1.8)
    quarter_deg = 90.0 if southern else -90.0
    angle = np.radians(0.986 * (np.asarray(day) - 15.0 - lag_days) + quarter_deg)
    water_c = mean_air_c + offset_k + ratio * (range_k / 2.0) * np.sin(angle)
    return np.maximum(water_c, FREEZING_MARGIN_C)


def daily_from_monthly(values: Sequence[float], year: int) -> FloatArray:
    """Cold water [degC] of each day, shape ``(365,)``, smooth, with the monthly means kept.

    Clipped at 1 degC, which can lift the mean of a month near freezing.
    """
    return np.maximum(monthly_to_daily(twelve(values), year), FREEZING_MARGIN_C)


def daily_burch_christensen(
    air_c: FloatArray, year: int, southern: bool, *, offset_k: float = OFFSET_K
) -> FloatArray:
    """Cold water [degC] of each day, shape ``(365,)``, from a year of air temperatures.

    ``air_c`` [degC] has any whole number of equal steps a day.
    """
    daily_c = np.asarray(air_c).reshape(DAYS_PER_YEAR, -1).mean(axis=1)
    monthly_c = daily_means_by_month(daily_c, year)
    return burch_christensen_c(
        float(daily_c.mean()),
        float(np.ptp(monthly_c)),
        np.arange(1.0, DAYS_PER_YEAR + 1),
        southern,
        offset_k=offset_k,
    )
