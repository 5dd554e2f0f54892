"""The f-chart method for water heating: a reference, not part of what the program simulates.

Klein, Beckman and Duffie, "A design procedure for solar heating systems", Solar Energy 18
(1976); Duffie and Beckman, Solar Engineering of Thermal Processes, chapter on f-chart. It
gives the share of a month's load that the sun meets from two sums, without hours or draws.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tankful.clock import FloatArray
from tankful.model.system import Collector
from tankful.units import WATER_CP_J_PER_KG_K

USUAL_STORE_L_PER_M2 = 75.0
WORKING_RISE_K = 30.0
"""Fluid above air at which the curved loss of ISO 9806 is made straight (judgement)."""


def solar_fraction(loss: FloatArray | float, gain: FloatArray | float) -> FloatArray:
    """Share of the load met by the sun [-], 0 to 1.

    ``loss`` is the method's X, 0 to 18: what the collectors would lose at 100 degC over the
    load. ``gain`` is its Y, 0 to 3: what they absorb over the load.
    """
    x, y = np.asarray(loss, dtype=np.float64), np.asarray(gain, dtype=np.float64)
    share = 1.029 * y - 0.065 * x - 0.245 * y**2 + 0.0018 * x**2 + 0.0215 * y**3
    return np.clip(share, 0.0, 1.0)


def store_factor(litres_per_m2: float) -> float:
    """Factor on X for a store of another size than 75 L for each m2 (37.5 to 300)."""
    return float((litres_per_m2 / USUAL_STORE_L_PER_M2) ** -0.25)


def hot_water_factor(
    delivery_c: FloatArray | float, mains_c: FloatArray | float, air_c: FloatArray | float
) -> FloatArray:
    """Factor on X where water is heated and nothing else."""
    air = np.asarray(air_c, dtype=np.float64)
    hot = 11.6 + 1.18 * np.asarray(delivery_c) + 3.86 * np.asarray(mains_c) - 2.32 * air
    return np.asarray(hot / (100.0 - air), dtype=np.float64)


@dataclass(frozen=True, eq=False)
class Months:
    """What the method needs of twelve months; arrays of shape ``(12,)``.

    ``load_j`` is the heat to be delivered [J], ``sun_j_per_m2`` the light on the collectors
    [J/m2], ``modifier`` what reflection leaves of it, ``seconds`` the month's length.
    """

    load_j: FloatArray
    sun_j_per_m2: FloatArray
    modifier: FloatArray | float
    air_c: FloatArray
    mains_c: FloatArray | float
    seconds: FloatArray


def monthly_fractions(
    collector: Collector, store_l: float, delivery_c: float, months: Months
) -> FloatArray:
    """Solar fraction of each month [-], shape ``(12,)``, for a system without heat exchanger.

    Brings ISO 9806 coefficients, which hold for the mean fluid, to the inlet fluid of the
    method (FR and FR UL): divided by 1 + F'UL / (2 m cp).
    """
    slope = collector.a1_w_per_m2_k + collector.a2_w_per_m2_k2 * WORKING_RISE_K
    flow = collector.flow_kg_per_s_m2 * WATER_CP_J_PER_KG_K
    to_inlet = 1.0 / (1.0 + slope / (2.0 * flow))
    area = collector.area_m2
    loss_j = area * slope * to_inlet * (100.0 - months.air_c) * months.seconds
    gain_j = area * collector.eta0 * to_inlet * months.modifier * months.sun_j_per_m2
    factor = store_factor(store_l / area) * hot_water_factor(
        delivery_c, months.mains_c, months.air_c
    )
    return solar_fraction(factor * loss_j / months.load_j, gain_j / months.load_j)
