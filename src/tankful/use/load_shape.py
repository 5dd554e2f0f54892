"""The published shape of a home's electricity use over the year."""

from __future__ import annotations

import numpy as np

from tankful.clock import FloatArray, YearClock
from tankful.data.store import load_table

SEASONS_SOUTH = ("summer", "autumn", "winter", "spring")
"""From December, March, June and September in the southern hemisphere."""

SOURCE_ID = "smart-grid-smart-city-load"


def relative_load(clock: YearClock, *, southern: bool = True) -> FloatArray:
    """Power over the year's mean at each step, shape ``(n_steps,)``.

    Half-hourly means of 85 homes near Sydney by season, weekday or weekend and clock time
    (Smart Grid Smart City trial data, CC BY 3.0 AU). Public holidays count as weekend
    (judgement); in the northern hemisphere the seasons are six months later.
    """
    shape = np.empty((len(SEASONS_SOUTH), 2, 48))
    for row in load_table("load_shape"):
        hour, _, minute = row["start"].partition(":")
        at = (
            SEASONS_SOUTH.index(row["season_south"]),
            int(row["day"] == "weekend"),
            2 * int(hour) + int(minute) // 30,
        )
        shape[at] = float(row["power_relative_to_mean"])
    season = (clock.clock_month + (0 if southern else 6)) % 12 // 3
    weekend = ((clock.clock_weekday >= 5) | clock.holiday).astype(np.int64)
    half_hour = clock.clock_minute // 30
    relative: FloatArray = shape[season, weekend, half_hour]
    if clock.step_min == 60:
        relative = (relative + shape[season, weekend, (half_hour + 1) % 48]) / 2.0
    return relative
