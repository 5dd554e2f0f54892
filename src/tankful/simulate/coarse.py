"""The same home's year on a coarser step, for searches that need many runs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tankful.clock import FloatArray
from tankful.clock import year_clock as build_clock
from tankful.model.home import Home
from tankful.simulate.control import windows_mask
from tankful.simulate.drive import HomeYear, grid_side
from tankful.use.draws import draws_on_steps


def coarser(home: Home, year: HomeYear, step_min: int) -> HomeYear:
    """Average the year onto ``step_min`` minutes; unchanged when it is that coarse already."""
    fine = year.clock
    if step_min <= fine.step_min or step_min % fine.step_min:
        return year
    clock = build_clock(fine.year, fine.tz, step_min, home.place.country, home.place.state)
    factor = step_min // fine.step_min

    def mean(series: FloatArray) -> FloatArray:
        return np.ascontiguousarray(series.reshape(-1, factor).mean(axis=1))

    quiet_hours = home.case.constraints.quiet_hours
    return replace(
        year,
        clock=clock,
        air_c=mean(year.air_c),
        wet_bulb_c=mean(year.wet_bulb_c),
        cold_c=mean(year.cold_c),
        house_w=mean(year.house_w),
        pv_w=mean(year.pv_w),
        draws=draws_on_steps(home.draws, clock),
        direct_pv_w=None if year.direct_pv_w is None else mean(year.direct_pv_w),
        grid=grid_side(home.case.electricity, clock),
        absorbed_w_per_m2={
            collector: mean(series) for collector, series in year.absorbed_w_per_m2.items()
        },
        quiet=windows_mask(quiet_hours, clock) if quiet_hours else None,
    )
