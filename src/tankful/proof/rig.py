"""The test rig: one water heater in steady surroundings, run by the program's own kernel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tankful.clock import FloatArray, YearClock
from tankful.model.system import Control, WaterHeater
from tankful.simulate.drive import HomeYear
from tankful.simulate.grid import GridSide
from tankful.simulate.kernel import fresh_state, simulate_year
from tankful.simulate.params import Drive, Plant, Record, build_plant, empty_record
from tankful.use.draws import Draws, draws_on_steps

LAYERS = 12


@dataclass(frozen=True, eq=False)
class Run:
    """What a run on the rig left behind; ``temps_c`` is the final profile, bottom first."""

    plant: Plant
    record: Record
    temps_c: FloatArray


def electric_tank(
    *,
    volume_l: float = 250.0,
    loss_w_per_k: float = 0.0,
    element_w: float = 3600.0,
    setpoint_c: float = 60.0,
    deadband_k: float = 5.0,
) -> WaterHeater:
    """A plain electric tank that may always heat."""
    return WaterHeater(
        kind="electric_storage",
        control=Control("always"),
        tank_l=volume_l,
        loss_w_per_k=loss_w_per_k,
        element_w=element_w,
        setpoint_c=setpoint_c,
        deadband_k=deadband_k,
    )


def steady_drive(
    n_steps: int,
    *,
    around_c: float = 20.0,
    cold_c: float = 15.0,
    draw_kg: float | FloatArray = 0.0,
    wanted_c: float = 100.0,
    allowed_w: float = 0.0,
) -> Drive:
    """Surroundings that never change.

    ``draw_kg`` is drawn at every step (or per step, shape ``(n_steps,)``), mixed to ``wanted_c``;
    the default of 100 degC takes water as it leaves the tank.
    """

    def constant(value: float) -> FloatArray:
        return np.full(n_steps, float(value))

    return Drive(
        air_c=constant(around_c),
        wet_bulb_c=constant(around_c - 5.0),
        around_c=constant(around_c),
        cold_c=constant(cold_c),
        draw_kg=np.array(np.broadcast_to(draw_kg, n_steps), dtype=np.float64),
        wanted_c=constant(wanted_c),
        allowed_w=constant(allowed_w),
        catch_up_w=constant(0.0),
        absorbed_w_per_m2=constant(0.0),
        direct_w=constant(0.0),
    )


def run(
    heater: WaterHeater,
    drive: Drive,
    *,
    step_s: float,
    start_c: float | FloatArray,
    layers: int = LAYERS,
) -> Run:
    """Run ``heater`` from a uniform temperature or a profile of shape ``(layers,)``."""
    plant = build_plant(heater, layers=layers, step_s=step_s)
    temps_c = np.ascontiguousarray(np.broadcast_to(start_c, layers), dtype=np.float64)
    temps_c = temps_c.copy()
    record = empty_record(drive.draw_kg.size)
    simulate_year(plant, drive, temps_c, fresh_state(), record)
    return Run(plant=plant, record=record, temps_c=temps_c)


def open_grid(clock: YearClock) -> GridSide:
    """A grid that takes everything, one phase, no battery."""
    return GridSide(np.full(clock.n_steps, np.inf), 1, None, clock.step_s)


def steady_year(clock: YearClock, draws: Draws, *, around_c: float, cold_c: float) -> HomeYear:
    """A year of ``draws`` in steady surroundings, in a home that uses and makes no power."""

    def constant(value: float) -> FloatArray:
        return np.full(clock.n_steps, float(value))

    return HomeYear(
        clock=clock,
        air_c=constant(around_c),
        wet_bulb_c=constant(around_c - 5.0),
        cold_c=constant(cold_c),
        draws=draws_on_steps(draws, clock),
        house_w=constant(0.0),
        pv_w=constant(0.0),
        grid=open_grid(clock),
        quiet=None,
        layers=LAYERS,
    )
