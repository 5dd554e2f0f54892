"""Between the home and the grid: panels, phases, battery and export limit."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tankful.clock import FloatArray
from tankful.model.case import Battery
from tankful.physics.battery import run_battery
from tankful.physics.compiled import compiled
from tankful.units import J_PER_KWH


@dataclass(frozen=True, eq=False)
class GridFlows:
    """Power at the meter and around it [W], shape ``(n,)``; ``battery_w`` is positive
    while charging."""

    import_w: FloatArray
    export_w: FloatArray
    curtailed_w: FloatArray
    battery_w: FloatArray


@compiled
def meet_sun(
    house_w: FloatArray,
    heater_w: FloatArray,
    pv_w: FloatArray,
    on_share: FloatArray,
    phases: int,
    battery_power_w: float,
    short_w: FloatArray,
    spare_w: FloatArray,
) -> None:
    """Fill what the home is short of and what it spares, mean over each step [W], shape ``(n,)``.

    A heater that heats in ``on_share`` of a step, all of it where that is 0, meets the sun of that
    share; a battery of ``battery_power_w`` carries sun over to it.
    """
    for t in range(house_w.size):
        even_w = (house_w[t] - pv_w[t]) / phases
        on = on_share[t] if heater_w[t] > 0.0 and on_share[t] > 0.0 else 1.0
        burst_w = even_w + heater_w[t] / on
        others = phases - on
        short = on * max(0.0, burst_w) + others * max(0.0, even_w)
        spare = on * max(0.0, -burst_w) + others * max(0.0, -even_w)
        carried = min(short, spare, battery_power_w * min(on, 1.0 - on))
        short_w[t] = short - carried
        spare_w[t] = spare - carried


@dataclass(frozen=True, eq=False)
class GridSide:
    """How the home meets the grid.

    ``phases`` is 3 where each phase is metered by itself: house and panels are then spread
    evenly and the water heater hangs on one phase; 1 otherwise, also for three phases that
    are metered net. ``export_limit_w`` has shape ``(n,)``, infinite without a limit.
    """

    export_limit_w: FloatArray
    phases: int
    battery: Battery | None
    step_s: float

    def spare_w(self, house_w: FloatArray, pv_w: FloatArray) -> FloatArray:
        """Sun that a surplus control of the water heater may count on [W]."""
        net_w = house_w - pv_w
        spare_w = np.maximum(0.0, -net_w)
        if self.battery is not None and self.battery.first == "battery":
            charging_w = np.maximum(0.0, self._battery_w(net_w))
            spare_w = spare_w - charging_w
        return spare_w / self.phases

    def flows(
        self,
        house_w: FloatArray,
        heater_w: FloatArray,
        pv_w: FloatArray,
        on_share: FloatArray | None = None,
    ) -> GridFlows:
        """Settle use against panels, battery and limit.

        A heater that runs in bursts draws its power in ``on_share`` of each step only, shape
        ``(n,)``, so that little of a burst meets the sun of the whole step; 0 and ``None``
        stand for a steady one. A battery carries sun over to the burst as far as its power
        goes; what that loses within a step is left out.
        """
        short_w, spare_w = np.empty_like(house_w), np.empty_like(house_w)
        share = np.zeros_like(house_w) if on_share is None else on_share
        power_w = 0.0 if self.battery is None else self.battery.power_kw * 1000.0
        meet_sun(house_w, heater_w, pv_w, share, self.phases, power_w, short_w, spare_w)
        if self.battery is None:
            battery_w = np.zeros_like(house_w)
        else:
            battery_w = self._battery_w(short_w - spare_w)
            short_w = np.maximum(0.0, short_w - np.maximum(0.0, -battery_w))
            spare_w = np.maximum(0.0, spare_w - np.maximum(0.0, battery_w))
        export_w = np.minimum(spare_w, self.export_limit_w)
        return GridFlows(
            import_w=short_w,
            export_w=export_w,
            curtailed_w=np.subtract(spare_w, export_w, out=spare_w),
            battery_w=battery_w,
        )

    def _battery_w(self, net_w: FloatArray) -> FloatArray:
        """The battery's power; 0 without one."""
        battery_w = np.zeros_like(net_w)
        if self.battery is not None:
            usable_j = self.battery.capacity_kwh * (1.0 - self.battery.reserve_fraction) * J_PER_KWH
            run_battery(
                np.ascontiguousarray(net_w),
                battery_w,
                usable_j,
                self.battery.power_kw * 1000.0,
                math.sqrt(self.battery.round_trip_efficiency),
                self.step_s,
            )
        return battery_w
