"""Solar thermal collectors: efficiency, loop, stagnation and idling; incidence is beside this.

Coefficients belong to the collector area they were measured for; never mix gross and
aperture area.
"""

from __future__ import annotations

import math

from tankful.physics.compiled import compiled


@compiled
def steady_gain_w_per_m2(
    absorbed_w_per_m2: float, over_air_k: float, a1_w_per_m2_k: float, a2_w_per_m2_k2: float
) -> float:
    """Useful heat of a collector whose mean fluid temperature is given [W/m2].

    Parameters
    ----------
    absorbed_w_per_m2 : eta0 x incidence modifier x irradiance on the collector [W/m2]
    over_air_k : mean fluid temperature less air temperature [K]
    a1_w_per_m2_k, a2_w_per_m2_k2 : heat loss coefficients

    Notes
    -----
    ISO 9806 steady-state form: q = eta0 K G - a1 dT - a2 dT^2; wind and sky terms left out.
    """
    return absorbed_w_per_m2 - a1_w_per_m2_k * over_air_k - a2_w_per_m2_k2 * over_air_k**2


@compiled
def loop_gain_w_per_m2(
    absorbed_w_per_m2: float,
    inlet_over_air_k: float,
    a1_w_per_m2_k: float,
    a2_w_per_m2_k2: float,
    half_rise_k_per_w: float,
) -> float:
    """Useful heat of a collector fed with water of a given inlet temperature [W/m2].

    ``half_rise_k_per_w`` is the mean fluid's rise above the inlet per W/m2 of gain:
    1 / (2 x flow per area x specific heat) [K m2/W].

    Notes
    -----
    The mean fluid is the inlet plus half the rise; put into the steady-state form this is a
    quadratic in the gain, solved in the form that survives a2 = 0.
    """
    stillness = steady_gain_w_per_m2(
        absorbed_w_per_m2, inlet_over_air_k, a1_w_per_m2_k, a2_w_per_m2_k2
    )
    r = half_rise_k_per_w
    slope = 1.0 + r * (a1_w_per_m2_k + 2.0 * a2_w_per_m2_k2 * inlet_over_air_k)
    bend = a2_w_per_m2_k2 * r * r
    root = math.sqrt(max(0.0, slope * slope + 4.0 * bend * stillness))
    return 2.0 * stillness / (slope + root)


@compiled
def siphon_rise_k(
    stillness_w_per_m2: float, slope_w_per_m2_k: float, a2_w_per_m2_k2: float, siphon: float
) -> float:
    """Rise of water that circulates by its own buoyancy, from a collector's inlet to outlet [K].

    Parameters
    ----------
    stillness_w_per_m2 : gain if the whole collector were at its inlet's temperature [W/m2]
    slope_w_per_m2_k : what one kelvin more takes from that gain
    a2_w_per_m2_k2 : quadratic heat loss coefficient
    siphon : flow per area and per kelvin of rise x specific heat, above 0 [W/m2 K2]

    Notes
    -----
    Buoyancy grows with the rise and so, against laminar friction, does the flow (Close, Solar
    Energy 6, 1962, from memory): the gain is siphon x rise^2. Put into the steady-state form
    with the mean fluid half the rise above the inlet this is a quadratic in the rise.
    0 where there is nothing to gain.
    """
    if stillness_w_per_m2 <= 0.0:
        return 0.0
    half_slope = 0.5 * slope_w_per_m2_k
    bend = siphon + 0.25 * a2_w_per_m2_k2
    root = math.sqrt(half_slope * half_slope + 4.0 * bend * stillness_w_per_m2)
    return 2.0 * stillness_w_per_m2 / (half_slope + root)


@compiled
def stagnation_rise_k(
    absorbed_w_per_m2: float, a1_w_per_m2_k: float, a2_w_per_m2_k2: float
) -> float:
    """How far above the air a collector without flow settles [K]: the root of the steady form.

    ``absorbed_w_per_m2`` is 0 at night, and so is the rise.
    """
    if absorbed_w_per_m2 == 0.0:
        return 0.0
    root = math.sqrt(a1_w_per_m2_k * a1_w_per_m2_k + 4.0 * a2_w_per_m2_k2 * absorbed_w_per_m2)
    return 2.0 * absorbed_w_per_m2 / (a1_w_per_m2_k + root)


@compiled
def idle_temp_c(temp_c: float, rest_c: float, decay: float) -> float:
    """Temperature of a collector without flow after one step [degC].

    Newton's law towards its resting temperature ``rest_c``. ``decay`` is ``tank.loss_decay`` of
    the linear loss coefficient (the quadratic one shifts only the resting point).
    """
    return temp_c + decay * (rest_c - temp_c)
