"""The year of a storage water heater: one compiled loop over the steps.

Each step, in this order: people draw half of the step's water, the heater heats if control
and thermostats let it (``heating``), the collectors give what the sun gives (``solar_loop``),
heat spreads between layers, the tank loses heat, the sanitising rule's clock moves on, and
people draw the other half. Halves before and after put draws in the middle of the step, so
that a long step draws neither early nor late. No array is made inside.
"""

from __future__ import annotations

import numpy as np

from tankful.clock import FloatArray
from tankful.physics.compiled import compiled
from tankful.physics.tank import (
    PORTION_LAYERS,
    conduct,
    displace,
    lose,
    mean_of_lower,
    mix_inversions,
    temp_at,
)
from tankful.simulate.heating import add_heat, boost, heat
from tankful.simulate.params import Drive, Plant, Record
from tankful.simulate.solar_loop import collect, pump_power_w
from tankful.units import WATER_CP_J_PER_KG_K

SANITISING_C = 60.0
SANITISING_S = 32.0 * 60.0
"""Weekly rule for tanks: 90 % of the water at 60 degC or more for 32 minutes
(AS 3498:2020 clause 7.2, transcribed)."""

THERMOMETER_K = 1.0
"""Slack on the 60 degC for a thermostat set exactly to it, and its band (judgement)."""

LEAST_KG = 1e-9
"""What is left of a draw by rounding."""


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
    mixing_layers: float,
) -> float:
    """Serve one draw from the top, mixed with cold water to ``wanted_c`` (above ``cold_c``).

    A booster behind the tank lifts water below ``boosted_c`` to it before the mixing; -273
    without one. The column moves in small portions, each only as large as the mixture needs,
    and mixes over ``mixing_layers`` (see ``displace``).
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
        displace(temps_c, moved, cold_c, mixing_layers)
        left_kg -= moved * stretch * layer_kg
    return short_kg_k


@compiled
def serve(
    plant: Plant, temps_c: FloatArray, draw_kg: float, wanted_c: float, cold_c: float
) -> tuple[float, float]:
    """Serve a draw, if there is one; no water is heated that is wanted cold.

    Returns the fall of the layers summed [K], which is the heat delivered, and what ``draw``
    returns. Changes ``temps_c``.
    """
    if draw_kg <= 0.0 or wanted_c <= cold_c:
        return 0.0, 0.0
    before_k = temps_c.sum()
    short_kg_k = draw(
        temps_c,
        draw_kg,
        wanted_c,
        cold_c,
        plant.layer_kg,
        plant.boosted_c,
        plant.mixing_layers,
    )
    useful_k = before_k - temps_c.sum()
    mix_inversions(temps_c)  # mains may be warmer than the bottom of a cold tank
    return useful_k, short_kg_k


@compiled
def switched(before: float, sensor_c: float, on_below_c: float, off_above_c: float) -> float:
    """A thermostat's switch (0 or 1) after a look at its sensor; in between it stays."""
    if sensor_c < on_below_c:
        return 1.0
    return 0.0 if sensor_c >= off_above_c else before


@compiled
def asked_of_heater(
    plant: Plant, since_hot_s: float, heating: float, allowed_w: float, catch_up_w: float
) -> tuple[float, float]:
    """Power the heater may take in this step [W] and the temperature to reach [degC].

    A store soon due for sanitising is heated through to 60 degC in the control's own hours, one
    overdue whenever it may catch up.
    """
    if since_hot_s > plant.sanitise_after_s:
        return max(allowed_w, catch_up_w), max(plant.setpoint_c, SANITISING_C)
    if since_hot_s > plant.sanitise_early_s:
        return allowed_w, max(plant.setpoint_c, SANITISING_C)
    return (allowed_w if heating > 0.0 else 0.0), plant.setpoint_c


@compiled
def run_heater(
    plant: Plant,
    temps_c: FloatArray,
    heating: float,
    catching_up: float,
    since_hot_s: float,
    allowed_w: float,
    catch_up_w: float,
    air_c: float,
    wet_bulb_c: float,
) -> tuple[float, float, float, float, float]:
    """Look at the sensors and heat for one step, with the main source and the second element.

    Returns both switches (0 or 1), energy bought and heat put in [J], and the share of the step
    that it took. Changes ``temps_c``.
    """
    sensor_c = temp_at(temps_c, plant.thermostat_at)
    heating = switched(heating, sensor_c, plant.restart_c, np.inf)
    reserve_c = temp_at(temps_c, plant.reserve_at)
    catching_up = switched(catching_up, reserve_c, plant.catch_up_c, plant.caught_up_c)
    asked_w, target_c = asked_of_heater(plant, since_hot_s, heating, allowed_w, catch_up_w)
    main_w = catch_up_w if catching_up > 0.0 and plant.boost_w == 0.0 else 0.0
    bought_j, heat_j, boost_j, on_share = 0.0, 0.0, 0.0, 0.0
    if asked_w > 0.0 or main_w > 0.0:
        bought_j, heat_j, on_share, reached, caught_up = heat(
            plant, temps_c, target_c, sensor_c, asked_w, main_w, air_c, wet_bulb_c
        )
        heating = 0.0 if reached else heating
        catching_up = 0.0 if caught_up else catching_up
    if plant.boost_w > 0.0 and catching_up > 0.0:
        boost_j, share, caught_up = boost(plant, temps_c, catch_up_w)
        catching_up = 0.0 if caught_up else catching_up
        on_share = max(on_share, share)
    return heating, catching_up, bought_j + boost_j, heat_j + boost_j, on_share


@compiled
def sanitising_clocks(
    since_hot_s: float, hot_for_s: float, low_c: float, step_s: float
) -> tuple[float, float]:
    """The sanitising rule's clocks one step on: time since it was met, time hot [s].

    Time at 60 degC adds up and time below takes off as much, so that a tap opened for a moment
    does not start the rule anew (judgement).
    """
    hot = low_c >= SANITISING_C - THERMOMETER_K
    hot_for_s = min(max(hot_for_s + (step_s if hot else -step_s), 0.0), SANITISING_S)
    return (0.0 if hot_for_s >= SANITISING_S else since_hot_s + step_s), hot_for_s


@compiled
def simulate_year(
    plant: Plant, drive: Drive, temps_c: FloatArray, state: FloatArray, record: Record
) -> None:
    """Run every step of ``drive`` on a tank starting at ``temps_c`` and fill ``record``.

    ``temps_c`` has shape (N,), bottom first, and ``state`` is from ``fresh_state``; both
    hold the final values afterwards. Between them the state lives in plain numbers.
    """
    is_gas = plant.burner_w > 0.0
    heating, catching_up, since_hot_s, hot_for_s = state[0], state[1], state[2], state[3]
    collector_c, sun_full = state[4], state[5]
    for t in range(drive.draw_kg.size):
        air_c, wanted_c, cold_c = drive.air_c[t], drive.wanted_c[t], drive.cold_c[t]
        half_kg = 0.5 * drive.draw_kg[t]
        useful_k, short_kg_k = serve(plant, temps_c, half_kg, wanted_c, cold_c)

        heating, catching_up, bought_j, heat_j, on_share = run_heater(
            plant,
            temps_c,
            heating,
            catching_up,
            since_hot_s,
            drive.allowed_w[t],
            drive.catch_up_w[t],
            air_c,
            drive.wet_bulb_c[t],
        )
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
        low_c = temp_at(temps_c, plant.sanitising_at)
        since_hot_s, hot_for_s = sanitising_clocks(since_hot_s, hot_for_s, low_c, plant.step_s)

        useful_later_k, short_later_kg_k = serve(plant, temps_c, half_kg, wanted_c, cold_c)
        useful_k += useful_later_k
        short_kg_k += short_later_kg_k

        bought_w = bought_j / plant.step_s
        record.electric_w[t] = 0.0 if is_gas else bought_w
        record.gas_w[t] = bought_w if is_gas else 0.0
        record.heat_w[t] = (heat_j + direct_j) / plant.step_s
        record.delivered_w[t] = useful_k * plant.layer_heat_j_per_k / plant.step_s
        record.unmet_w[t] = short_kg_k * WATER_CP_J_PER_KG_K / plant.step_s
        record.loss_w[t] = fall_k * plant.layer_heat_j_per_k / plant.step_s
        record.top_c[t] = temps_c[temps_c.size - 1]
        record.mean_c[t] = mean_of_lower(temps_c, temps_c.size)
        record.low_c[t] = temp_at(temps_c, plant.sanitising_at)
        record.solar_w[t] = solar_j / plant.step_s
        record.direct_w[t] = direct_j / plant.step_s
        record.pump_w[t] = pump_power_w(plant, solar_j)
        record.collector_c[t] = collector_c
        record.on_share[t] = on_share
        record.since_hot_h[t] = since_hot_s / 3600.0
    state[0], state[1], state[2], state[3] = heating, catching_up, since_hot_s, hot_for_s
    state[4], state[5] = collector_c, sun_full
