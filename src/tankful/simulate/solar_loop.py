"""Heat from collectors into the tank: with or without a pump, the tank's limit, frost.

Each relation works for one step and returns plain numbers; only the layers change in place.
"""

from __future__ import annotations

from tankful.clock import FloatArray
from tankful.physics.collector import (
    idle_temp_c,
    loop_gain_w_per_m2,
    siphon_rise_k,
    stagnation_rise_k,
    steady_gain_w_per_m2,
)
from tankful.physics.compiled import compiled
from tankful.physics.tank import PORTION_LAYERS, layer_of, level_after, sink
from tankful.simulate.heating import add_heat, take_heat
from tankful.simulate.params import Plant

PUMP_DIFFERENCE_K = 5.0
"""Rise of the collector's water at which its pump runs all the time: about the middle between
the differences that switch it on and off (judgement)."""

LEAST_RISE_K = 1e-3
"""Water that would rise by less stands still."""

FULL_BAND_K = 5.0
"""A tank full of sun takes more only when its bottom has cooled by so much (judgement)."""


@compiled
def collect(
    plant: Plant,
    temps_c: FloatArray,
    collector_c: float,
    sun_full: float,
    absorbed_w_per_m2: float,
    air_c: float,
) -> tuple[float, float, float]:
    """Let the collectors heat the tank for one step, or keep them from freezing.

    Returns the heat [J], the collectors' temperature [degC] and whether the tank is full of
    sun (0 or 1).
    """
    if plant.collector_siphon > 0.0:
        heat_j, flowing_c = risen(plant, temps_c, collector_c, absorbed_w_per_m2, air_c)
    else:
        heat_j, flowing_c, sun_full = pumped(
            plant, temps_c, collector_c, sun_full, absorbed_w_per_m2, air_c
        )
    if heat_j > 0.0:
        return heat_j, flowing_c, sun_full
    asked_j, collector_c = idle(plant, collector_c, absorbed_w_per_m2, air_c)
    given_j = take_heat(plant, temps_c, plant.collector_frost_c, asked_j)
    return -given_j, collector_c, sun_full


@compiled
def pumped(
    plant: Plant,
    temps_c: FloatArray,
    collector_c: float,
    sun_full: float,
    absorbed_w_per_m2: float,
    air_c: float,
) -> tuple[float, float, float]:
    """Heat the tank's bottom through a pump; returns as ``collect``, 0 J without flow.

    The pump runs while a steady loop gains heat, until the tank reaches its limit and again
    when it has cooled. What warms the collectors themselves comes off first.
    """
    if temps_c[0] < plant.collector_max_tank_c - FULL_BAND_K:
        sun_full = 0.0
    if sun_full > 0.0:
        return 0.0, collector_c, sun_full
    gain, running_c = running(plant, temps_c, absorbed_w_per_m2, air_c)
    warming_j = plant.collector_j_per_m2_k * (running_c - collector_c)
    could_j = (gain * plant.step_s - warming_j) * plant.collector_m2
    if gain <= 0.0 or could_j <= 0.0:
        return 0.0, collector_c, sun_full
    heat_j = add_heat(plant, temps_c, 0, plant.collector_max_tank_c, could_j)
    return heat_j, running_c, 1.0 if 0.0 < heat_j < could_j else 0.0


@compiled
def risen(
    plant: Plant,
    temps_c: FloatArray,
    collector_c: float,
    absorbed_w_per_m2: float,
    air_c: float,
) -> tuple[float, float]:
    """Let water rise by itself from the collectors into the layer of its own temperature.

    Returns the heat [J] and the collectors' temperature [degC]. Water flows as soon as the
    collectors get hotter than the tank's bottom, and nothing stops it but the valve at the
    tank's limit. It moves in portions, each with the bottom as the one before has left it.
    """
    left_s, heat_j = plant.step_s, 0.0
    while left_s > 0.0:
        inlet_c = temps_c[0]
        warming = plant.collector_j_per_m2_k / left_s
        gain = steady_gain_w_per_m2(
            absorbed_w_per_m2, inlet_c - air_c, plant.collector_loop_a1, plant.collector_a2
        )
        rise_k = siphon_rise_k(
            gain + warming * (collector_c - inlet_c),
            plant.collector_loop_a1 + 2.0 * plant.collector_a2 * (inlet_c - air_c) + warming,
            plant.collector_a2,
            plant.collector_siphon,
        )
        if rise_k <= LEAST_RISE_K or inlet_c + rise_k > plant.collector_max_tank_c:
            break
        heat_k_per_s = plant.collector_siphon * plant.collector_m2 / plant.layer_heat_j_per_k
        flow = heat_k_per_s * rise_k  # layers a second
        portion_s = min(left_s, PORTION_LAYERS / flow)
        moved = flow * portion_s
        outlet_c = inlet_c + rise_k
        sink(temps_c, moved, outlet_c, layer_of(temps_c, outlet_c), plant.mixing_layers)
        heat_j += moved * rise_k * plant.layer_heat_j_per_k
        collector_c += (inlet_c + 0.5 * rise_k - collector_c) * portion_s / left_s
        left_s -= portion_s
    return heat_j, collector_c


@compiled
def loop_gain(plant: Plant, inlet_c: float, absorbed_w_per_m2: float, air_c: float) -> float:
    """What the loop gains with the tank's water at its inlet, never below 0 [W/m2]."""
    over_air_k, a1, a2 = inlet_c - air_c, plant.collector_loop_a1, plant.collector_a2
    if steady_gain_w_per_m2(absorbed_w_per_m2, over_air_k, a1, a2) <= 0.0:
        return 0.0
    return loop_gain_w_per_m2(absorbed_w_per_m2, over_air_k, a1, a2, plant.collector_half_rise_k)


@compiled
def running(
    plant: Plant, temps_c: FloatArray, absorbed_w_per_m2: float, air_c: float
) -> tuple[float, float]:
    """Gain of the loop over one step [W/m2] and its temperature at the start [degC].

    The inlet warms with the tank's bottom, so the gain is the mean of that before and after
    the heat is in: a long step, which would keep the inlet cold, does not flatter collectors.
    """
    first = loop_gain(plant, temps_c[0], absorbed_w_per_m2, air_c)
    running_c = temps_c[0] + first * plant.collector_half_rise_k
    if first == 0.0:
        return 0.0, running_c
    heat_k = first * plant.step_s * plant.collector_m2 / plant.layer_heat_j_per_k
    last = loop_gain(plant, level_after(temps_c, heat_k), absorbed_w_per_m2, air_c)
    return 0.5 * (first + last), running_c


@compiled
def idle(
    plant: Plant, collector_c: float, absorbed_w_per_m2: float, air_c: float
) -> tuple[float, float]:
    """Leave the collectors without flow for one step.

    Returns the tank's heat they ask for [J] and their temperature [degC]. They drift towards
    stagnation, and the pipes lose nothing of theirs. A loop with frost guard gives tank heat
    back rather than freeze.
    """
    frost_c = plant.collector_frost_c
    rest_c = air_c + stagnation_rise_k(absorbed_w_per_m2, plant.collector_a1, plant.collector_a2)
    idle_c = idle_temp_c(collector_c, rest_c, plant.collector_decay)
    if idle_c >= frost_c:
        return 0.0, idle_c
    lost_w: float = plant.collector_loop_a1 * (frost_c - air_c) * plant.collector_m2
    return max(0.0, lost_w) * plant.step_s, frost_c


@compiled
def pump_power_w(plant: Plant, solar_j: float) -> float:
    """Mean power of the loop's pump over a step that moved ``solar_j`` of heat [W].

    Where the flow would warm by less than ``PUMP_DIFFERENCE_K``, a differential control lets
    the pump run only a part of the time.
    """
    if solar_j == 0.0:
        return 0.0
    gain = abs(solar_j) / (plant.collector_m2 * plant.step_s)
    rise_k = 2.0 * plant.collector_half_rise_k * gain
    return plant.collector_pump_w * min(1.0, rise_k / PUMP_DIFFERENCE_K)
