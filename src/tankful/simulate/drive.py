"""The home's year on the kernel's steps, shared by every option."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from tankful.clock import BoolArray, FloatArray, YearClock
from tankful.model.home import Home
from tankful.model.system import Collector
from tankful.simulate.control import windows_mask
from tankful.use.draws import DrawSteps, draws_on_steps

INDOOR_C = 20.0
"""Air around a tank that stands inside (EU 812/2013 test room, from memory)."""


@dataclass(frozen=True, eq=False)
class HomeYear:
    """What acts on any water heater of this home; arrays of shape ``(n,)`` on ``clock``."""

    clock: YearClock
    air_c: FloatArray
    wet_bulb_c: FloatArray
    around_c: FloatArray
    cold_c: FloatArray
    draws: DrawSteps
    house_w: FloatArray
    pv_w: FloatArray
    export_limit_w: float
    quiet: BoolArray | None
    layers: int
    absorbed_w_per_m2: Mapping[Collector, FloatArray] = field(default_factory=dict)
    """What each collector of the home absorbs before losses."""

    @property
    def surplus_w(self) -> FloatArray:
        """What the panels could make beyond the house's own use [W]."""
        return np.maximum(0.0, self.pv_w - self.house_w)


def home_year(home: Home) -> HomeYear:
    """Bring a resolved home onto contiguous arrays for the kernel."""
    case = home.case
    clock = home.clock
    air_c = np.ascontiguousarray(home.temp_air_c, dtype=np.float64)
    limit_kw = case.electricity.export_limit_kw
    quiet_hours = case.constraints.quiet_hours
    return HomeYear(
        clock=clock,
        air_c=air_c,
        wet_bulb_c=np.ascontiguousarray(home.wet_bulb_c, dtype=np.float64),
        around_c=np.full(clock.n_steps, INDOOR_C) if case.heater.indoors else air_c,
        cold_c=np.ascontiguousarray(home.cold_water_c, dtype=np.float64),
        draws=draws_on_steps(home.draws, clock),
        house_w=np.ascontiguousarray(home.house_w, dtype=np.float64),
        pv_w=np.ascontiguousarray(home.pv_w, dtype=np.float64),
        export_limit_w=np.inf if limit_kw is None else limit_kw * 1000.0,
        quiet=windows_mask(quiet_hours, clock) if quiet_hours else None,
        layers=case.simulation.nodes,
        absorbed_w_per_m2=home.absorbed_w_per_m2,
    )
