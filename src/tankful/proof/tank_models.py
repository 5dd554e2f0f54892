"""The whole tank against a reference solver and a published yearly model."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from tankful.clock import FloatArray
from tankful.model.system import Control, WaterHeater
from tankful.physics.tank import layer_exchange
from tankful.proof.check import Claim
from tankful.proof.rig import electric_tank, run, steady_drive
from tankful.units import J_PER_KWH, SECONDS_PER_DAY, WATER_CP_J_PER_KG_K


def claims() -> Iterator[Claim]:
    """Every claim about the whole tank."""
    yield from _reference_solver()
    yield from _wham()


# The same tank by a reference solver


def reference_profile_c(*, hours: float, draw_kg_per_s: float, element_w: float) -> FloatArray:
    """The layers of the tank below after ``hours``, by an adaptive high-order solver.

    250 L in 12 layers, 1.64 W/K to 18 degC, mains of 12 degC, 60 degC above a bottom layer
    of 15 degC: the textbook's balance of N mixed zones, valid until layers turn over.
    """
    from scipy.integrate import solve_ivp

    layers, volume_l = 12, 250.0
    capacity = volume_l / layers * WATER_CP_J_PER_KG_K
    exchange_per_s = layer_exchange(volume_l, layers, step_s=1.0)
    heater = np.zeros(layers)
    heater[0] = element_w / capacity

    def change(_: float, temps_c: FloatArray) -> FloatArray:
        below = np.concatenate([[12.0], temps_c[:-1]])
        flow = draw_kg_per_s / (volume_l / layers) * (below - temps_c)
        loss = 1.64 / layers / capacity * (18.0 - temps_c)
        between = exchange_per_s * np.diff(temps_c)
        gained = np.append(between, 0.0) - np.insert(between, 0, 0.0)
        return np.asarray(heater + flow + loss + gained, dtype=np.float64)

    start_c = np.full(layers, 60.0)
    start_c[0] = 15.0
    end_s = hours * 3600.0
    solution = solve_ivp(change, (0.0, end_s), start_c, method="DOP853", rtol=1e-10, atol=1e-9)
    return np.asarray(solution.y[:, -1], dtype=np.float64)


def kernel_profile_c(
    *, hours: float, draw_kg_per_s: float, element_w: float, step_s: float
) -> FloatArray:
    """The same tank by the program's kernel."""
    start_c = np.full(12, 60.0)
    start_c[0] = 15.0
    drive = steady_drive(
        round(hours * 3600.0 / step_s),
        around_c=18.0,
        cold_c=12.0,
        draw_kg=draw_kg_per_s * step_s,
        allowed_w=element_w,
    )
    heater = electric_tank(loss_w_per_k=1.64, element_w=element_w, setpoint_c=90.0)
    return run(heater, drive, step_s=step_s, start_c=start_c).temps_c


def _worst_layer_k(*, step_s: float) -> float:
    case = {"hours": 3.0, "draw_kg_per_s": 0.006, "element_w": 500.0}
    difference = kernel_profile_c(**case, step_s=step_s) - reference_profile_c(**case)
    return float(np.abs(difference).max())


def _reference_solver() -> Iterator[Claim]:
    for step_s, tolerance_k in ((300.0, 0.5), (60.0, 0.1)):
        yield Claim(
            id=f"tank-reference-solver-{step_s:.0f}-s",
            claim="Draw, element, loss and conduction for 3 hours in 12 layers, steps of "
            f"{step_s:.0f} s: largest difference of a layer",
            source="Same balance by scipy's adaptive Runge-Kutta solver of order 8 (DOP853, "
            "relative tolerance 1e-10); tolerance is a judgement",
            basis="published",
            expected=0.0,
            tolerance=tolerance_k,
            unit="K",
            compute=partial(_worst_layer_k, step_s=step_s),
        )


# A published yearly model of a heater held at its set point


def _daily_energy_kwh(heater: WaterHeater, *, cold_c: float, load_kwh_per_day: float) -> float:
    """Energy bought a day under an even draw, after the heater has settled for ten days."""
    step_s, days = 300.0, 40
    per_day = round(SECONDS_PER_DAY / step_s)
    lift_k = heater.setpoint_c - cold_c
    draw_kg = load_kwh_per_day * J_PER_KWH / (WATER_CP_J_PER_KG_K * lift_k) / per_day
    drive = steady_drive(
        days * per_day,
        cold_c=cold_c,
        draw_kg=draw_kg,
        wanted_c=heater.setpoint_c,
        allowed_w=max(heater.element_w, heater.burner_w),
    )
    done = run(heater, drive, step_s=step_s, start_c=heater.setpoint_c)
    bought_w = done.record.electric_w + done.record.gas_w
    return float(bought_w[10 * per_day :].mean()) * 24.0 / 1000.0


def _wham_electric() -> float:
    heater = electric_tank(volume_l=189.0, loss_w_per_k=1.6, deadband_k=2.0)
    return _daily_energy_kwh(heater, cold_c=15.0, load_kwh_per_day=10.35)


def _wham_gas() -> float:
    heater = WaterHeater(
        kind="gas_storage",
        control=Control("always"),
        tank_l=150.0,
        # WHAM counts the standing loss as gas burned, the program as heat lost.
        loss_w_per_k=3.5 * 0.78,
        deadband_k=2.0,
        burner_w=9000.0,
        efficiency=0.78,
    )
    return _daily_energy_kwh(heater, cold_c=15.0, load_kwh_per_day=10.35)


def _wham() -> Iterator[Claim]:
    source = (
        "WHAM: Lutz, Whitehead, Lekov, Winiarski, Rosenquist, ACEEE Summer Study 1998 "
        "(variables seen, algebra from memory): Q = L/RE (1 - UA dT/P) + 24 UA dT; "
        "3 % is a judgement"
    )
    # 10.35 x (1 - 1.6 x 40 / 3600) + 0.024 x 1.6 x 40; an immersed element has RE = 1 here.
    electric_kwh = 11.702
    # 10.35 / 0.78 x (1 - 3.5 x 40 / 9000) + 0.024 x 3.5 x 40, dT 40 K
    gas_kwh = 16.4228
    yield Claim(
        id="tank-wham-electric",
        claim="Electric tank held at 60 degC, 10.35 kWh/day drawn, 1.6 W/K: energy a day",
        source=source,
        basis="from memory",
        expected=electric_kwh,
        tolerance=0.03 * electric_kwh,
        unit="kWh/day",
        compute=_wham_electric,
    )
    yield Claim(
        id="tank-wham-gas",
        claim="Gas tank held at 60 degC, 10.35 kWh/day drawn, burner 78 %, standing loss "
        "3.5 W/K of gas: gas a day",
        source=source,
        basis="from memory",
        expected=gas_kwh,
        tolerance=0.03 * gas_kwh,
        unit="kWh/day",
        compute=_wham_gas,
    )
