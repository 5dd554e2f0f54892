"""A home battery that evens out what the home draws from and gives to the grid."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tankful.physics.compiled import compiled

FloatArray = NDArray[np.float64]


@compiled
def run_battery(
    net_w: FloatArray,
    battery_w: FloatArray,
    capacity_j: float,
    power_w: float,
    one_way_efficiency: float,
    step_s: float,
) -> float:
    """Fill ``battery_w`` with the battery's power; return the change of its stored energy [J].

    Parameters
    ----------
    net_w : use less own power, positive when the home is short, shape (n,) [W]
    battery_w : written: charging positive, discharging negative, at the home's side [W]
    capacity_j : usable energy above the reserve [J]
    power_w : most it charges or discharges [W]
    one_way_efficiency : square root of the round-trip efficiency, 0..1 [-]

    Notes
    -----
    Charges from surplus only and discharges into shortage only. Starts at its reserve. No
    idle losses and no ageing.
    """
    stored_j = 0.0
    for t in range(net_w.size):
        if net_w[t] < 0.0:
            room_w = (capacity_j - stored_j) / (one_way_efficiency * step_s)
            charge_w = min(-net_w[t], power_w, room_w)
            stored_j += charge_w * one_way_efficiency * step_s
            battery_w[t] = charge_w
        else:
            full_w = stored_j * one_way_efficiency / step_s
            discharge_w = min(net_w[t], power_w, full_w)
            stored_j -= discharge_w / one_way_efficiency * step_s
            battery_w[t] = -discharge_w
    return stored_j
