"""A heater's year by the hour, made easier than it is at every turn: the ground of the bound.

Whatever a control does in the simulated year, these hours could do as well; each function says
in which way they are kinder.
"""

from __future__ import annotations

import math

import numpy as np

from tankful.advice.cheapest_heat import Store
from tankful.advice.option import Option
from tankful.clock import FloatArray
from tankful.model.result import Flows
from tankful.model.system import WaterHeater
from tankful.physics.collector import steady_gain_w_per_m2
from tankful.physics.tank import loss_decay
from tankful.simulate.drive import HomeYear
from tankful.simulate.kernel import SANITISING_C
from tankful.simulate.params import build_plant
from tankful.simulate.run import drive_of
from tankful.units import J_PER_KWH, WATER_CP_J_PER_KG_K, WATER_KG_PER_L

PUMP_LEVELS_C = (32.0,)
"""Where the levels of a heat pump's water begin, above the coldest: its COP falls from level to
level. More of them bring the bound closer and take longer."""


def by_hour(values: FloatArray, year: HomeYear) -> FloatArray:
    """The steps of each hour as rows, shape ``(8760, steps an hour)``."""
    return values.reshape(-1, 60 // year.clock.step_min)


def coldest_water_c(heater: WaterHeater, year: HomeYear) -> FloatArray:
    """A temperature below which no water of the tank can be, step by step [degC], shape (n,).

    Cold water comes in no colder than it is; then the surroundings warm or cool it, and frost
    protection may take the rest; mixing and heating only lift the coldest.
    """
    around_c = drive_of(heater, year).around_c
    heat_capacity = heater.tank_l * WATER_KG_PER_L * WATER_CP_J_PER_KG_K
    decay = loss_decay(heater.loss_w_per_k, heat_capacity, step_s=year.clock.step_s)
    guard_c = math.inf
    if heater.collector is not None and heater.collector.frost_guard_c is not None:
        guard_c = heater.collector.frost_guard_c
    coldest = np.empty(around_c.size)
    now_c = min(float(year.cold_c[0]), guard_c)
    for step, (cold_c, air_c) in enumerate(zip(year.cold_c, around_c, strict=True)):
        now_c = min(now_c + (air_c - now_c) * decay, cold_c, guard_c)
        coldest[step] = now_c
    return coldest


def store_of(option: Option, heater: WaterHeater, flows: Flows, year: HomeYear) -> Store:
    """The tank of ``heater`` with what is drawn in its simulated year.

    Kinder than the tank: heat put in within an hour loses nothing in that hour; the store need
    not be hot anywhere between draws, as a layered tank could keep just what is drawn next; the
    weekly heat-through is left out; the thermostat may stand as high as any setting tried.
    """
    drive = drive_of(heater, year)
    capacity = heater.tank_l * WATER_KG_PER_L * WATER_CP_J_PER_KG_K / J_PER_KWH
    decay = loss_decay(heater.loss_w_per_k, capacity * J_PER_KWH, step_s=flows.step_s)
    least_c = coldest_water_c(heater, year)
    levels_c = np.array([float(least_c.min()), *pump_levels_c(heater)])
    hottest_c = _hottest_c(option, heater)
    steps = 60 // year.clock.step_min
    later = (1.0 - decay) ** np.arange(steps - 1, -1, -1)
    gained = [_gained_kwh(drive.around_c, level, capacity * decay) for level in levels_c]
    gained[0] = capacity * decay * (drive.around_c - levels_c[0])
    drawn = [_drawn_kwh(flows, year, level) for level in levels_c]
    full_k = heater.setpoint_c - levels_c
    return Store(
        start_kwh=capacity * full_k,
        end_kwh=capacity * (float(flows.mean_c[-1]) - levels_c[0]) - 1e-9,
        band_kwh=capacity * np.diff([*levels_c, hottest_c]),
        least_kwh=capacity * (by_hour(least_c, year)[:, -1] - levels_c[0]),
        keep=(1.0 - decay) ** steps,
        gained_kwh=np.array([by_hour(g, year) @ later for g in gained]),
        drawn_kwh=np.array([by_hour(d, year) @ later for d in drawn]) * (1.0 - decay),
        free_kwh=_free_kwh(heater, flows, year, least_c),
    )


def pump_levels_c(heater: WaterHeater) -> tuple[float, ...]:
    """Where the levels above the coldest begin; none where the heat's level does not matter."""
    return () if heater.heat_pump is None else PUMP_LEVELS_C


def _hottest_c(option: Option, heater: WaterHeater) -> float:
    marks = [heater.setpoint_c, SANITISING_C, option.heater.setpoint_c]
    marks += [control.setpoint_c for control in option.controls if control.setpoint_c is not None]
    if heater.collector is not None:
        marks.append(heater.collector.max_tank_c)
    return max(marks)


def _gained_kwh(around_c: FloatArray, level_c: float, kwh_per_k: float) -> FloatArray:
    """Most that the surroundings can add above a level: nothing when they are colder."""
    return np.asarray(kwh_per_k * np.maximum(0.0, around_c - level_c))


def _drawn_kwh(flows: Flows, year: HomeYear, level_c: float) -> FloatArray:
    """Heat that the draws of the simulated year take from above a level, at least.

    A draw takes water at the tap's temperature or hotter and lets cold water in. The hotter it
    is, the larger the part above the level: the tap's own temperature is the kindest.
    """
    heat_kwh = flows.delivered_w * flows.step_s / J_PER_KWH
    tap_c = np.nan_to_num(flows.outlet_c, nan=0.0)
    lift_k = np.maximum(tap_c - year.cold_c, 1e-9)
    above_k = tap_c - np.maximum(year.cold_c, level_c)
    return np.asarray(heat_kwh * np.clip(above_k / lift_k, 0.0, 1.0))


def _free_kwh(
    heater: WaterHeater, flows: Flows, year: HomeYear, coldest_c: FloatArray
) -> FloatArray:
    """Heat of collectors fed with the coldest water, and of panels of the heater's own.

    Kinder: collectors are always as cold as the coldest water, warm up for nothing and freeze
    never; their pump draws nothing.
    """
    free_w = np.zeros(year.clock.n_steps)
    drive = drive_of(heater, year)
    if heater.has_direct_panels:
        free_w += np.minimum(drive.direct_w, heater.element_w)
    if heater.collector is not None:
        plant = build_plant(heater, layers=year.layers, step_s=flows.step_s)
        a1, a2 = plant.collector_loop_a1, plant.collector_a2
        over_air_k = coldest_c - drive.air_c
        gains = [
            steady_gain_w_per_m2(absorbed, over_k, a1, a2)
            for absorbed, over_k in zip(drive.absorbed_w_per_m2, over_air_k, strict=True)
        ]
        free_w += np.maximum(0.0, gains) * heater.collector.area_m2
    return np.asarray(by_hour(free_w, year).sum(axis=1) * flows.step_s / J_PER_KWH)
