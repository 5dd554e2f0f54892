"""Between the home and the grid: panels, phases, battery and export limit."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tankful.clock import FloatArray
from tankful.model.case import Battery
from tankful.physics.battery import run_battery
from tankful.units import J_PER_KWH


@dataclass(frozen=True, eq=False)
class GridFlows:
    """Power at the meter and around it [W], shape ``(n,)``; ``battery_w`` is positive
    while charging."""

    import_w: FloatArray
    export_w: FloatArray
    curtailed_w: FloatArray
    battery_w: FloatArray


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
        even_w = (house_w - pv_w) / self.phases
        bursts = np.zeros_like(heater_w) if on_share is None else on_share * (heater_w > 0.0)
        on = np.where(bursts > 0.0, bursts, 1.0)
        burst_w = even_w + heater_w / on
        short_w, spare_w = np.maximum(0.0, burst_w), np.maximum(0.0, -burst_w)
        if self.phases > 1 or on_share is not None:
            others = self.phases - on
            short_w = on * short_w + others * np.maximum(0.0, even_w)
            spare_w = on * spare_w + others * np.maximum(0.0, -even_w)
        if self.battery is not None:
            most_w = self.battery.power_kw * 1000.0 * np.minimum(on, 1.0 - on)
            carried_w = np.minimum(np.minimum(short_w, spare_w), most_w)
            short_w, spare_w = short_w - carried_w, spare_w - carried_w
        battery_w = self._battery_w(short_w - spare_w)
        if self.battery is not None:
            short_w = np.maximum(0.0, short_w - np.maximum(0.0, -battery_w))
            spare_w = np.maximum(0.0, spare_w - np.maximum(0.0, battery_w))
        export_w = np.minimum(spare_w, self.export_limit_w)
        return GridFlows(
            import_w=short_w,
            export_w=export_w,
            curtailed_w=spare_w - export_w,
            battery_w=battery_w,
        )

    def _battery_w(self, net_w: FloatArray) -> FloatArray:
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
