"""The home's year on the kernel's steps, shared by every option."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from tankful.clock import BoolArray, FloatArray, YearClock
from tankful.model.case import Electricity
from tankful.model.home import Home
from tankful.model.system import Collector
from tankful.simulate.control import windows_mask
from tankful.simulate.grid import GridFlows, GridSide
from tankful.use.draws import DrawSteps, draws_on_steps


@dataclass(frozen=True, eq=False)
class HomeYear:
    """What acts on any water heater of this home; arrays of shape ``(n,)`` on ``clock``."""

    clock: YearClock
    air_c: FloatArray
    wet_bulb_c: FloatArray
    cold_c: FloatArray
    draws: DrawSteps
    house_w: FloatArray
    pv_w: FloatArray
    grid: GridSide
    quiet: BoolArray | None
    layers: int
    direct_pv_w: FloatArray | None = None
    """Power of panels wired straight to an element, for the option that has them."""
    absorbed_w_per_m2: Mapping[Collector, FloatArray] = field(default_factory=dict)
    """What each collector of the home absorbs before losses."""

    @cached_property
    def without_heater(self) -> GridFlows:
        """The home's meter without any water heater."""
        return self.grid.flows(self.house_w, np.zeros_like(self.house_w), self.pv_w)

    @cached_property
    def surplus_w(self) -> FloatArray:
        """What a surplus control may count on [W]."""
        return self.grid.spare_w(self.house_w, self.pv_w)


def grid_side(power: Electricity, clock: YearClock) -> GridSide:
    """The home's side of the meter on the steps of ``clock``."""
    limit_kw = power.export_limit_kw
    limit_w = np.full(clock.n_steps, np.inf if limit_kw is None else limit_kw * 1000.0)
    for entry in reversed(power.export_limits):
        limit_w[entry.mask(clock)] = entry.kw * 1000.0
    phases = 3 if power.metering == "each_phase" else 1
    return GridSide(limit_w, phases, power.battery, clock.step_s)


def home_year(home: Home) -> HomeYear:
    """Bring a resolved home onto contiguous arrays for the kernel."""
    case = home.case
    clock = home.clock
    air_c = np.ascontiguousarray(home.temp_air_c, dtype=np.float64)
    quiet_hours = case.constraints.quiet_hours
    return HomeYear(
        clock=clock,
        air_c=air_c,
        wet_bulb_c=np.ascontiguousarray(home.wet_bulb_c, dtype=np.float64),
        cold_c=np.ascontiguousarray(home.cold_water_c, dtype=np.float64),
        draws=draws_on_steps(home.draws, clock),
        house_w=np.ascontiguousarray(home.house_w, dtype=np.float64),
        pv_w=np.ascontiguousarray(home.pv_w, dtype=np.float64),
        grid=grid_side(case.electricity, clock),
        quiet=windows_mask(quiet_hours, clock) if quiet_hours else None,
        layers=case.simulation.nodes,
        direct_pv_w=np.ascontiguousarray(home.direct_pv_w, dtype=np.float64),
        absorbed_w_per_m2=home.absorbed_w_per_m2,
    )
