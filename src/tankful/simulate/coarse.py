"""The same home on a coarser step, for searches that need many runs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tankful.clock import FloatArray
from tankful.clock import year_clock as build_clock
from tankful.model.home import Home


def coarser(home: Home, step_min: int) -> Home:
    """The home's series averaged onto ``step_min`` minutes; unchanged when they are that coarse
    already, or do not fit into it. Nobody buys panels on it."""
    fine = home.clock
    if step_min <= fine.step_min or step_min % fine.step_min:
        return home
    factor = step_min // fine.step_min

    def mean(series: FloatArray) -> FloatArray:
        return np.ascontiguousarray(series.reshape(-1, factor).mean(axis=1))

    return replace(
        home,
        clock=build_clock(fine.year, fine.tz, step_min, home.place.country, home.place.state),
        temp_air_c=mean(home.temp_air_c),
        wet_bulb_c=mean(home.wet_bulb_c),
        cold_water_c=mean(home.cold_water_c),
        house_w=mean(home.house_w),
        pv_w=mean(home.pv_w),
        direct_pv_w=mean(home.direct_pv_w),
        absorbed_w_per_m2={
            collector: mean(series) for collector, series in home.absorbed_w_per_m2.items()
        },
        panel_offer=None,
    )
