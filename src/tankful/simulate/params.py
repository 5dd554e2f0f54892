"""What the compiled year needs: named tuples of floats and float64 arrays, nothing else."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from tankful.clock import FloatArray
from tankful.model.system import Collector, HeatPumpRating, WaterHeater
from tankful.physics.tank import STABLE_EXCHANGE, layer_exchange, loss_decay, place_of_height
from tankful.units import WATER_CP_J_PER_KG_K, WATER_KG_PER_L

MIXING_LENGTH = 1.0 / 12.0
"""How far a moving column of water mixes, as a share of the tank's height: as twelve mixed zones
do, which is a tank with a reasonable inlet (judgement). It does not hang on the layers."""

THERMOSTAT_HEIGHT = 0.25
"""Height of the thermostat as a share of the tank's (common practice, no source)."""

CONDENSER_HEIGHT = 0.4
"""Share of the tank that a heat pump's condenser sees (judgement)."""

CATCH_UP_HEIGHT = 0.7
"""Height of the sensor that guards the reserve of hot water (judgement)."""

SANITISING_HEIGHT = 0.1
"""The rule asks for 90 % of the water: the sensor sits at a tenth of the height, or of that above
the boost of a tank that the sun preheats, which need not be hot below (AS 3498:2020)."""


BOOSTED_TO_C = 60.0
"""Least to which a booster lifts the water of a tank that only preheats: germs may have grown
there (AS 3498 asks for 60 to 70 degC, from memory)."""


class Plant(NamedTuple):
    """One storage heater in SI units. A source that is absent has zero power."""

    step_s: float
    layer_kg: float
    layer_heat_j_per_k: float
    loss_decay: float
    layer_exchange: float
    mixing_layers: float
    conduct_passes: int
    heater_layer: int
    thermostat_at: float
    condenser_layers: float
    reserve_at: float
    sanitising_at: float
    boosted_c: float
    setpoint_c: float
    restart_c: float
    catch_up_c: float
    caught_up_c: float
    sanitise_early_s: float
    sanitise_after_s: float
    deadband_k: float
    element_w: float
    boost_w: float
    boost_layer: int
    pump_is_carnot: bool
    pump_min_share: float
    pump_heat_w: float
    pump_cop: float
    pump_cut_out_c: float
    pump_frost_penalty: float
    pump_backup_below_c: float
    burner_w: float
    burner_efficiency: float
    collector_m2: float
    collector_a1: float
    collector_loop_a1: float
    """The same with the loss of the pipes, for a loop that flows."""
    collector_a2: float
    collector_half_rise_k: float
    collector_j_per_m2_k: float
    collector_decay: float
    """Share of its way to rest that a collector without flow goes in a step."""
    collector_pump_w: float
    collector_max_tank_c: float
    collector_frost_c: float
    collector_siphon: float
    """Flow without a pump per kelvin that it warms by, x specific heat [W/m2 K2]; 0 with a pump."""


class Drive(NamedTuple):
    """What acts on the plant at each step; arrays of shape ``(n,)``.

    ``allowed_w`` is the electric power (or gas input) the control lets the heater take
    towards its set point, ``catch_up_w`` what it may take while the reserve is low.
    """

    air_c: FloatArray
    wet_bulb_c: FloatArray
    around_c: FloatArray
    cold_c: FloatArray
    draw_kg: FloatArray
    wanted_c: FloatArray
    allowed_w: FloatArray
    catch_up_w: FloatArray
    absorbed_w_per_m2: FloatArray
    """What the collectors absorb before losses; zeros without collectors."""
    direct_w: FloatArray
    """Power of panels wired straight to the element; zeros without such panels."""


class Record(NamedTuple):
    """What the year leaves behind; arrays of shape ``(n,)``, written by the kernel."""

    electric_w: FloatArray
    gas_w: FloatArray
    heat_w: FloatArray
    delivered_w: FloatArray
    unmet_w: FloatArray
    loss_w: FloatArray
    top_c: FloatArray
    mean_c: FloatArray
    low_c: FloatArray
    solar_w: FloatArray
    """Heat from the collectors into the tank; negative while they are kept from freezing."""
    pump_w: FloatArray
    direct_w: FloatArray
    """What the element took from panels wired straight to it; part of the heat."""
    collector_c: FloatArray
    on_share: FloatArray
    """Share of the step in which the heater took its power; 0 where it took none."""
    since_hot_h: FloatArray
    """Hours since the sanitising rule was last met."""


def empty_record(n_steps: int) -> Record:
    """A record for ``n_steps`` steps."""
    return Record(*np.empty((len(Record._fields), n_steps)))


def layer_at(height: float, layers: int) -> int:
    """Index of the layer at a share of the tank's height (0 bottom, 1 top)."""
    return min(int(height * layers), layers - 1)


def build_plant(heater: WaterHeater, *, layers: int, step_s: float) -> Plant:
    """A storage heater's parameters; the one place where its units convert."""
    layer_kg = heater.tank_l * WATER_KG_PER_L / layers
    layer_heat = layer_kg * WATER_CP_J_PER_KG_K
    bottom = layer_at(heater.heater_height, layers)
    exchange = layer_exchange(heater.tank_l, layers, step_s=step_s)
    passes = max(1, math.ceil(exchange / STABLE_EXCHANGE))

    def sensor_at(height: float) -> float:
        """No sensor reads colder water than what its heater heats."""
        return max(place_of_height(height, layers), float(bottom))

    pump = heater.heat_pump
    control = heater.control
    return Plant(
        step_s=float(step_s),
        layer_kg=float(layer_kg),
        layer_heat_j_per_k=float(layer_heat),
        loss_decay=loss_decay(heater.loss_w_per_k / layers, layer_heat, step_s=step_s),
        layer_exchange=exchange / passes,
        conduct_passes=passes,
        mixing_layers=MIXING_LENGTH * layers,
        heater_layer=bottom,
        thermostat_at=sensor_at(_above(heater.heater_height, THERMOSTAT_HEIGHT)),
        condenser_layers=CONDENSER_HEIGHT * layers,
        reserve_at=sensor_at(max(CATCH_UP_HEIGHT, _above(heater.boost_height, THERMOSTAT_HEIGHT))),
        sanitising_at=sensor_at(_above(heater.heater_height, SANITISING_HEIGHT)),
        boosted_c=max(BOOSTED_TO_C, heater.setpoint_c) if heater.booster else -273.0,
        setpoint_c=float(heater.setpoint_c),
        restart_c=float(heater.setpoint_c - heater.deadband_k),
        catch_up_c=-273.0 if control.catch_up_c is None else float(control.catch_up_c),
        caught_up_c=_caught_up_c(heater),
        sanitise_early_s=_after_s(control.sanitise_early_h),
        sanitise_after_s=_after_s(control.sanitise_after_h),
        deadband_k=float(heater.deadband_k),
        element_w=float(heater.element_w),
        boost_w=float(heater.boost_element_w),
        boost_layer=layer_at(heater.boost_height, layers),
        pump_is_carnot=bool(pump and pump.model == "carnot"),
        pump_min_share=float(pump.min_share) if pump else 1.0,
        pump_heat_w=float(pump.heat_w) if pump else 0.0,
        pump_cop=float(pump.cop) if pump else 1.0,
        pump_cut_out_c=float(pump.cut_out_air_c) if pump else -273.0,
        pump_frost_penalty=float(pump.frost_penalty) if pump else 0.0,
        pump_backup_below_c=_backup_below_c(pump),
        burner_w=float(heater.burner_w),
        burner_efficiency=float(heater.efficiency) if heater.burner_w else 1.0,
        **_collector_params(heater.collector, float(step_s)),
    )


def _caught_up_c(heater: WaterHeater) -> float:
    """Where catching up ends: a dead band above the reserve, at most the set point."""
    if heater.control.catch_up_c is None:
        return -273.0
    return float(min(heater.setpoint_c, heater.control.catch_up_c + heater.deadband_k))


def _after_s(hours: float | None) -> float:
    """A wait in seconds; endless for none."""
    return math.inf if hours is None else hours * 3600.0


def _backup_below_c(pump: HeatPumpRating | None) -> float:
    """Water below which the element helps the compressor; -273 where it never does."""
    mark_c = pump.backup_below_c if pump else None
    return -273.0 if mark_c is None else float(mark_c)


def _above(height: float, share: float) -> float:
    """The height a share of the way from a heater's height to the top."""
    return height + share * (1.0 - height)


def _collector_params(collector: Collector | None, step_s: float) -> dict[str, float]:
    """The collector loop. While it flows, the pipes lose as if they were collectors."""
    if collector is None:
        names = (
            "m2",
            "a1",
            "loop_a1",
            "a2",
            "half_rise_k",
            "pump_w",
            "max_tank_c",
            "siphon",
            "decay",
        )
        nothing = {f"collector_{name}": 0.0 for name in names}
        return {**nothing, "collector_j_per_m2_k": 1.0, "collector_frost_c": -273.0}
    pipe = collector.pipe_loss_w_per_k / collector.area_m2
    guard_c = collector.frost_guard_c
    return {
        "collector_m2": float(collector.area_m2),
        "collector_a1": float(collector.a1_w_per_m2_k),
        "collector_loop_a1": float(collector.a1_w_per_m2_k + pipe),
        "collector_a2": float(collector.a2_w_per_m2_k2),
        "collector_half_rise_k": 0.5 / (collector.flow_kg_per_s_m2 * WATER_CP_J_PER_KG_K),
        "collector_j_per_m2_k": float(collector.capacity_j_per_m2_k),
        "collector_decay": loss_decay(
            collector.a1_w_per_m2_k, collector.capacity_j_per_m2_k, step_s=step_s
        ),
        "collector_pump_w": float(collector.pump_w),
        "collector_max_tank_c": float(collector.max_tank_c),
        "collector_frost_c": -273.0 if guard_c is None else float(guard_c),
        "collector_siphon": collector.siphon_kg_per_s_m2_k * WATER_CP_J_PER_KG_K,
    }
