"""The year of a storage water heater: one compiled loop over the steps.

Each step, in this order: people draw, the heater heats if control and thermostats let
it, heat spreads between layers, the tank loses heat, and the sanitising rule's clock
moves on. No array is made inside.
"""

from __future__ import annotations

import numpy as np

from tankful.clock import FloatArray
from tankful.physics.collector import idle_temp_c, loop_gain_w_per_m2, stagnation_rise_k
from tankful.physics.compiled import compiled
from tankful.physics.heat_pump import (
    air_capacity_factor,
    capacity_factor,
    carnot_cop_factor,
    cop_factor,
    frost_factor,
)
from tankful.physics.tank import (
    conduct,
    displace,
    lose,
    mean_of_lower,
    mix_inversions,
    room_below_setpoint,
)
from tankful.simulate.params import Drive, Plant, Record
from tankful.units import WATER_CP_J_PER_KG_K

MIN_COP = 1.0
"""A heat pump never gives less heat than its electricity."""

SANITISING_C = 60.0
SANITISING_S = 32.0 * 60.0
"""Weekly rule for tanks: 90 % of the water at 60 degC or more for 32 minutes
(AS 3498:2020 clause 7.2, transcribed)."""

THERMOMETER_K = 1.0
"""Slack on the 60 degC for a thermostat set exactly to it, and its band (judgement)."""

PORTION_LAYERS = 0.1
"""Most a draw moves the water column at once [layers]. Larger portions mix less, and then the
grid electricity of a solar-heated tank hangs on the length of the step (by 3 to 12 % between
1 and 5 minutes, measured)."""

LEAST_KG = 1e-9
"""What is left of a draw by rounding."""

PUMP_DIFFERENCE_K = 5.0
"""Rise of the collector's water at which its pump runs all the time: about the middle between
the differences that switch it on and off (judgement)."""

FULL_BAND_K = 5.0
"""A tank full of sun takes more only when its bottom has cooled by so much (judgement)."""


def fresh_state() -> FloatArray:
    """State of a store at the year's start, shape ``(6,)``: heating and catching up (0 or 1),
    time since it met the sanitising rule and time it has been hot [s], temperature of the
    collectors [degC], and whether the sun has filled the tank (0 or 1).

    Hot, so the thermostat decides from there.
    """
    return np.array([1.0, 0.0, 0.0, 0.0, 15.0, 0.0])


@compiled
def draw(
    temps_c: FloatArray,
    draw_kg: float,
    wanted_c: float,
    cold_c: float,
    layer_kg: float,
    boosted_c: float,
) -> float:
    """Serve one draw from the top, mixed with cold water to ``wanted_c`` (above ``cold_c``).

    A booster behind the tank lifts water below ``boosted_c`` to it before the mixing; -273
    without one. The column moves in small portions, each only as large as the mixture needs.
    Returns the temperature that the tank's water lacked, summed over it [kg K]: the booster's
    work, or what came too cold. Changes ``temps_c``.
    """
    left_kg = draw_kg
    short_kg_k = 0.0
    least_c = max(wanted_c, boosted_c)
    while left_kg > LEAST_KG:
        lack_k = max(0.0, least_c - temps_c[temps_c.size - 1])
        mixed_c = max(temps_c[temps_c.size - 1], boosted_c)
        stretch = (mixed_c - cold_c) / (wanted_c - cold_c) if mixed_c > wanted_c else 1.0
        moved = min(PORTION_LAYERS, left_kg / (stretch * layer_kg))
        short_kg_k += moved * layer_kg * lack_k
        displace(temps_c, moved, cold_c)
        left_kg -= moved * stretch * layer_kg
    return short_kg_k


@compiled
def serve(
    plant: Plant, temps_c: FloatArray, draw_kg: float, wanted_c: float, cold_c: float
) -> tuple[float, float]:
    """Serve what one step draws, if anything; no water is heated that is wanted cold.

    Returns the fall of the layers summed [K], which is the heat delivered, and what ``draw``
    returns. Changes ``temps_c``.
    """
    if draw_kg <= 0.0 or wanted_c <= cold_c:
        return 0.0, 0.0
    before_k = temps_c.sum()
    short_kg_k = draw(temps_c, draw_kg, wanted_c, cold_c, plant.layer_kg, plant.boosted_c)
    useful_k = before_k - temps_c.sum()
    mix_inversions(temps_c)  # mains may be warmer than the bottom of a cold tank
    return useful_k, short_kg_k


@compiled
def pump_runs(plant: Plant, air_c: float) -> bool:
    """A heat pump is there and the air is not below its cut-out."""
    return plant.pump_heat_w > 0.0 and air_c >= plant.pump_cut_out_c


@compiled
def heat_per_input(plant: Plant, air_c: float, wet_bulb_c: float, water_c: float) -> float:
    """Heat into the water per unit of electricity or gas bought [-]."""
    if plant.burner_w > 0.0:
        return plant.burner_efficiency
    if not pump_runs(plant, air_c):
        return 1.0
    if plant.pump_is_carnot:
        factor = carnot_cop_factor(air_c, water_c)
    else:
        factor = cop_factor(wet_bulb_c, water_c)
    return max(MIN_COP, plant.pump_cop * factor * frost_factor(air_c, plant.pump_frost_penalty))


@compiled
def heating_power_w(
    plant: Plant, allowed_w: float, air_c: float, wet_bulb_c: float, water_c: float
) -> float:
    """Heating power for what the control allows [W].

    An electric element follows ``allowed_w``, and so does a variable-speed heat pump above
    its least share; other heat pumps and burners are on or off.
    Below its cut-out a heat pump leaves the work to its backup element.
    """
    if plant.burner_w > 0.0:
        return plant.burner_w * plant.burner_efficiency
    if not pump_runs(plant, air_c):
        return min(allowed_w, plant.element_w)
    if plant.pump_is_carnot:
        capacity = air_capacity_factor(air_c)
    else:
        capacity = capacity_factor(wet_bulb_c, water_c)
    heat_w = plant.pump_heat_w * capacity * frost_factor(air_c, plant.pump_frost_penalty)
    if plant.pump_min_share >= 1.0:
        return heat_w
    share = min(1.0, allowed_w * heat_per_input(plant, air_c, wet_bulb_c, water_c) / heat_w)
    return heat_w * share if share >= plant.pump_min_share else 0.0


@compiled
def switched(before: float, sensor_c: float, on_below_c: float, off_above_c: float) -> float:
    """A thermostat's switch (0 or 1) after a look at its sensor; in between it stays."""
    if sensor_c < on_below_c:
        return 1.0
    return 0.0 if sensor_c > off_above_c else before


@compiled
def asked_of_heater(
    plant: Plant,
    overdue: bool,
    heating: float,
    catching_up: float,
    allowed_w: float,
    catch_up_w: float,
) -> tuple[float, float]:
    """Power the heater may take in this step [W] and the temperature to reach [degC].

    A store overdue for sanitising is heated through to 60 degC whenever it may catch up.
    A second element leaves other catching up to itself.
    """
    main_catches_up = catching_up > 0.0 and plant.boost_w == 0.0
    if overdue or main_catches_up:
        allowed_w = max(allowed_w, catch_up_w)
    if overdue:
        return allowed_w, max(plant.setpoint_c, SANITISING_C)
    return (allowed_w if heating > 0.0 else 0.0), plant.setpoint_c


@compiled
def heat(
    plant: Plant,
    temps_c: FloatArray,
    target_c: float,
    allowed_w: float,
    air_c: float,
    wet_bulb_c: float,
) -> tuple[float, float, bool]:
    """Heat the tank for one step, at most to ``target_c``.

    Returns energy bought and heat put in [J], and whether the target was reached. A heat
    pump's COP is taken at the water temperature halfway through the step, so that long steps
    do not flatter it.
    """
    before_c = mean_of_lower(temps_c, plant.condenser_layers)
    could_j = heating_power_w(plant, allowed_w, air_c, wet_bulb_c, before_c) * plant.step_s
    room_j = room_below_setpoint(temps_c, target_c, plant.heater_layer) * plant.layer_heat_j_per_k
    heat_j = min(could_j, room_j)
    temps_c[plant.heater_layer] += heat_j / plant.layer_heat_j_per_k
    mix_inversions(temps_c)
    halfway_c = 0.5 * (before_c + mean_of_lower(temps_c, plant.condenser_layers))
    bought_j = heat_j / heat_per_input(plant, air_c, wet_bulb_c, halfway_c)
    return bought_j, heat_j, could_j >= room_j


@compiled
def add_heat(
    plant: Plant, temps_c: FloatArray, layer: int, target_c: float, heat_j: float
) -> float:
    """Put heat into a layer as far as the water above is below ``target_c``; return it [J]."""
    room_j = room_below_setpoint(temps_c, target_c, layer) * plant.layer_heat_j_per_k
    given_j = min(heat_j, room_j)
    if given_j > 0.0:
        temps_c[layer] += given_j / plant.layer_heat_j_per_k
        mix_inversions(temps_c)
    return max(0.0, given_j)


@compiled
def take_heat(plant: Plant, temps_c: FloatArray, floor_c: float, heat_j: float) -> float:
    """Take heat from the lowest layers that are warmer than ``floor_c``; return it [J]."""
    left_j = heat_j
    for i in range(temps_c.size):
        if left_j <= 0.0:
            break
        part_j = min(left_j, max(0.0, (temps_c[i] - floor_c) * plant.layer_heat_j_per_k))
        temps_c[i] -= part_j / plant.layer_heat_j_per_k
        left_j -= part_j
    return heat_j - left_j


@compiled
def boost(plant: Plant, temps_c: FloatArray, catch_up_w: float) -> float:
    """Let the second element catch up for one step; return the heat [J]."""
    target_c = min(plant.setpoint_c, plant.catch_up_c + plant.deadband_k)
    heat_j = min(catch_up_w, plant.boost_w) * plant.step_s
    return add_heat(plant, temps_c, plant.boost_layer, target_c, heat_j)


@compiled
def collect(
    plant: Plant,
    temps_c: FloatArray,
    collector_c: float,
    sun_full: float,
    absorbed_w_per_m2: float,
    air_c: float,
) -> tuple[float, float, float]:
    """Let the collectors heat the tank's bottom for one step.

    Returns the heat [J], the collectors' temperature [degC] and whether the tank is full of
    sun (0 or 1). The pump runs while a steady loop gains heat, until the tank reaches its
    limit and again when it has cooled. What warms the collectors themselves comes off first.
    """
    if temps_c[0] < plant.collector_max_tank_c - FULL_BAND_K:
        sun_full = 0.0
    if sun_full == 0.0:
        half_rise_k = plant.collector_half_rise_k
        over_air_k = temps_c[0] - air_c
        gain = loop_gain_w_per_m2(
            absorbed_w_per_m2, over_air_k, plant.collector_loop_a1, plant.collector_a2, half_rise_k
        )
        running_c = temps_c[0] + gain * half_rise_k
        warming_j = plant.collector_j_per_m2_k * (running_c - collector_c)
        could_j: float = (gain * plant.step_s - warming_j) * plant.collector_m2
        if gain > 0.0 and could_j > 0.0:
            heat_j = add_heat(plant, temps_c, 0, plant.collector_max_tank_c, could_j)
            if heat_j > 0.0:
                return heat_j, running_c, 1.0 if heat_j < could_j else 0.0
    asked_j, collector_c = idle(plant, collector_c, absorbed_w_per_m2, air_c)
    given_j = take_heat(plant, temps_c, plant.collector_frost_c, asked_j)
    return -given_j, collector_c, sun_full


@compiled
def idle(
    plant: Plant, collector_c: float, absorbed_w_per_m2: float, air_c: float
) -> tuple[float, float]:
    """Leave the collectors without flow for one step.

    Returns the tank's heat they ask for [J] and their temperature [degC]. They drift towards
    stagnation, and the pipes lose nothing of theirs. A loop with frost guard gives tank heat
    back rather than freeze.
    """
    a1, frost_c = plant.collector_a1, plant.collector_frost_c
    rest_c = air_c + stagnation_rise_k(absorbed_w_per_m2, a1, plant.collector_a2)
    idle_c = idle_temp_c(collector_c, rest_c, a1, plant.collector_j_per_m2_k, plant.step_s)
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


@compiled
def sanitising_clocks(
    since_hot_s: float, hot_for_s: float, low_c: float, step_s: float
) -> tuple[float, float]:
    """The sanitising rule's clocks one step on: time since it was met, time hot [s]."""
    hot_for_s = hot_for_s + step_s if low_c >= SANITISING_C - THERMOMETER_K else 0.0
    return (0.0 if hot_for_s >= SANITISING_S else since_hot_s + step_s), hot_for_s


@compiled
def simulate_year(
    plant: Plant, drive: Drive, temps_c: FloatArray, state: FloatArray, record: Record
) -> None:
    """Run every step of ``drive`` on a tank starting at ``temps_c`` and fill ``record``.

    ``temps_c`` has shape (N,), bottom first, and ``state`` is from ``fresh_state``; both
    hold the final values afterwards.

    Between them the state lives in plain numbers: handed on as an array it costs a counted
    reference at every call, a quarter of the whole time.
    """
    is_gas = plant.burner_w > 0.0
    enough_c = plant.catch_up_c + plant.deadband_k
    heating, catching_up, since_hot_s, hot_for_s = state[0], state[1], state[2], state[3]
    collector_c, sun_full = state[4], state[5]
    for t in range(drive.draw_kg.size):
        air_c, catch_up_w = drive.air_c[t], drive.catch_up_w[t]
        useful_k, short_kg_k = serve(
            plant, temps_c, drive.draw_kg[t], drive.wanted_c[t], drive.cold_c[t]
        )

        heating = switched(heating, temps_c[plant.thermostat_layer], plant.restart_c, np.inf)
        reserve_c = temps_c[plant.catch_up_layer]
        catching_up = switched(catching_up, reserve_c, plant.catch_up_c, enough_c)
        overdue = since_hot_s > plant.sanitise_after_s
        asked_w, target_c = asked_of_heater(
            plant, overdue, heating, catching_up, drive.allowed_w[t], catch_up_w
        )
        bought_j, heat_j = 0.0, 0.0
        if asked_w > 0.0:
            bought_j, heat_j, reached = heat(
                plant, temps_c, target_c, asked_w, air_c, drive.wet_bulb_c[t]
            )
            heating = 0.0 if reached else heating
        boost_j = 0.0
        if plant.boost_w > 0.0 and catching_up > 0.0:
            boost_j = boost(plant, temps_c, catch_up_w)
        direct_j = min(drive.direct_w[t], plant.element_w) * plant.step_s
        if direct_j > 0.0:
            direct_j = add_heat(plant, temps_c, plant.heater_layer, plant.setpoint_c, direct_j)
        solar_j = 0.0
        if plant.collector_m2 > 0.0:
            solar_j, collector_c, sun_full = collect(
                plant, temps_c, collector_c, sun_full, drive.absorbed_w_per_m2[t], air_c
            )

        for _ in range(plant.conduct_passes):
            conduct(temps_c, plant.layer_exchange)
        fall_k = lose(temps_c, drive.around_c[t], plant.loss_decay)
        low_c = temps_c[plant.sanitising_layer]
        since_hot_s, hot_for_s = sanitising_clocks(since_hot_s, hot_for_s, low_c, plant.step_s)

        bought_w = (bought_j + boost_j) / plant.step_s
        record.electric_w[t] = 0.0 if is_gas else bought_w
        record.gas_w[t] = bought_w if is_gas else 0.0
        record.heat_w[t] = (heat_j + boost_j + direct_j) / plant.step_s
        record.delivered_w[t] = useful_k * plant.layer_heat_j_per_k / plant.step_s
        record.unmet_w[t] = short_kg_k * WATER_CP_J_PER_KG_K / plant.step_s
        record.loss_w[t] = fall_k * plant.layer_heat_j_per_k / plant.step_s
        record.top_c[t] = temps_c[temps_c.size - 1]
        record.mean_c[t] = mean_of_lower(temps_c, temps_c.size)
        record.low_c[t] = low_c
        record.solar_w[t] = solar_j / plant.step_s
        record.direct_w[t] = direct_j / plant.step_s
        record.pump_w[t] = pump_power_w(plant, solar_j)
        record.collector_c[t] = collector_c
    state[0], state[1], state[2], state[3] = heating, catching_up, since_hot_s, hot_for_s
    state[4], state[5] = collector_c, sun_full
