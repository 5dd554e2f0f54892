"""The stratified tank against closed forms, a reference solver and a published model."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache, partial
from math import ceil

import numpy as np

from tankful.clock import FloatArray
from tankful.model.system import Control, WaterHeater
from tankful.physics.tank import conduct, layer_exchange
from tankful.proof.check import Claim
from tankful.proof.rig import run, steady_drive
from tankful.simulate.kernel import draw
from tankful.units import J_PER_KWH, SECONDS_PER_DAY, WATER_CP_J_PER_KG_K

NEWTON = "Newton's law of cooling, solved in closed form: T = Ta + (T0 - Ta) exp(-UA t / C)"
TANKS_IN_SERIES = (
    "Closed form of N equal mixed zones in series (Poisson sum), derived for this check and "
    "confirmed by a fine numerical run"
)
PORTION = 2e-3
"""Layers moved by one small draw: near the limit in which the closed form holds."""


def claims() -> Iterator[Claim]:
    """Every claim about the tank."""
    yield from _cooling()
    yield from _draw_mixing()
    yield from _outlet()
    yield from _still_water()
    yield from _heat_up()
    yield from _reference_solver()
    yield from _wham()


def _tank(
    *,
    volume_l: float = 250.0,
    loss_w_per_k: float = 0.0,
    element_w: float = 3600.0,
    setpoint_c: float = 60.0,
    deadband_k: float = 5.0,
) -> WaterHeater:
    return WaterHeater(
        kind="electric_storage",
        control=Control("always"),
        tank_l=volume_l,
        loss_w_per_k=loss_w_per_k,
        element_w=element_w,
        setpoint_c=setpoint_c,
        deadband_k=deadband_k,
    )


# Standing loss


@lru_cache(maxsize=1)
def _cooled_day() -> tuple[float, float]:
    """Mean temperature and heat lost after a day: 250 L, 1.5 W/K, from 60 degC in 20 degC."""
    steps = SECONDS_PER_DAY // 300
    done = run(_tank(loss_w_per_k=1.5), steady_drive(steps), step_s=300.0, start_c=60.0)
    lost_kwh = float(done.record.loss_w.sum()) * 300.0 / J_PER_KWH
    return float(done.temps_c.mean()), lost_kwh


def _cooling() -> Iterator[Claim]:
    yield Claim(
        id="tank-cooling-temperature",
        claim="250 L at 60 degC losing 1.5 W/K in air of 20 degC: temperature a day later",
        source=NEWTON,
        basis="published",
        expected=55.341,
        tolerance=0.001,
        unit="degC",
        compute=lambda: _cooled_day()[0],
    )
    yield Claim(
        id="tank-cooling-heat",
        claim="The same tank: heat lost in the day",
        source=NEWTON,
        basis="published",
        expected=1.3544,
        tolerance=0.0005,
        unit="kWh",
        compute=lambda: _cooled_day()[1],
    )


# Mixing by draws


def _delivered_share(layers: int, portion: float = PORTION) -> float:
    """Share of the heat above mains that one tank volume of small draws delivers."""
    temps_c = np.full(layers, 60.0)
    for _ in range(round(layers / portion)):
        draw(temps_c, portion, 100.0, 15.0, 1.0)
    return 1.0 - float((temps_c - 15.0).sum()) / (45.0 * layers)


def _draw_mixing() -> Iterator[Claim]:
    shares = {1: 0.63212, 2: 0.72933, 5: 0.82453, 10: 0.87489, 20: 0.91116, 50: 0.94367}
    for layers, share in shares.items():
        yield Claim(
            id=f"tank-mixing-{layers}-layers",
            claim=f"{layers} layer(s), one tank volume in small draws: share of the heat delivered",
            source=f"{TANKS_IN_SERIES}: 1 - N^N e^-N / N!",
            basis="published",
            expected=share,
            tolerance=5e-4,
            unit="-",
            compute=partial(_delivered_share, layers),
        )
    yield Claim(
        id="tank-plug-flow",
        claim="12 layers, one tank volume in draws of whole layers: share of the heat delivered",
        source="Plug flow by definition: whole layers move unmixed",
        basis="published",
        expected=1.0,
        tolerance=1e-12,
        unit="-",
        compute=partial(_delivered_share, 12, 1.0),
    )


def _outlet_ratio(layers: int, volumes: float) -> float:
    """(T - cold) / (start - cold) of the top layer after so many tank volumes."""
    temps_c = np.full(layers, 60.0)
    for _ in range(round(volumes * layers / PORTION)):
        draw(temps_c, PORTION, 100.0, 15.0, 1.0)
    return float(temps_c[-1] - 15.0) / 45.0


def _outlet() -> Iterator[Claim]:
    ratios = {
        (1, 0.5): 0.6065,
        (5, 0.8): 0.6288,
        (10, 0.8): 0.7166,
        (10, 1.0): 0.4579,
        (50, 0.8): 0.9297,
        (50, 1.2): 0.0844,
    }
    for (layers, volumes), ratio in ratios.items():
        yield Claim(
            id=f"tank-outlet-{layers}-layers-{volumes:g}-volumes",
            claim=f"{layers} layer(s), {volumes:g} tank volumes drawn: what is left of the "
            "outlet's height above mains",
            source=f"{TANKS_IN_SERIES}: P(k <= N - 1; N v)",
            basis="published",
            expected=ratio,
            tolerance=1e-3,
            unit="-",
            compute=partial(_outlet_ratio, layers, volumes),
        )


# Conduction in still water


def _step_profile_c(height_m: float) -> float:
    """Temperature above a 20/60 degC step after a day in a still column of water."""
    volume_l, layers, step_s = 250.0, 400, 20.0
    diffusivity_m2_per_s = 1.52e-7
    exchange = layer_exchange(
        volume_l,
        layers,
        step_s=step_s,
        conductivity_w_per_m_k=diffusivity_m2_per_s * WATER_CP_J_PER_KG_K * 1000.0,
    )
    temps_c = np.where(np.arange(layers) < layers // 2, 20.0, 60.0)
    for _ in range(round(SECONDS_PER_DAY / step_s)):
        conduct(temps_c, exchange)
    # The exchange is diffusivity x step / thickness^2, which gives the thickness back.
    layer_m = (diffusivity_m2_per_s * step_s / exchange) ** 0.5
    centres_m = (np.arange(layers) + 0.5 - layers / 2) * layer_m
    return float(np.interp(height_m, centres_m, temps_c))


def _still_water() -> Iterator[Claim]:
    for height_m, temp_c in {0.05: 44.846, 0.1: 49.256, 0.2: 55.656}.items():
        yield Claim(
            id=f"tank-still-{height_m * 100:.0f}-cm",
            claim=f"Step 20/60 degC in still water: {height_m * 100:.0f} cm above it a day later",
            source="Heat equation, closed form: T = Tm + dT/2 erf(z / 2 sqrt(a t)), "
            "a = 1.52e-7 m2/s for water without the tank's wall",
            basis="published",
            expected=temp_c,
            tolerance=0.02,
            unit="degC",
            compute=partial(_step_profile_c, height_m),
        )


# Heating up


@lru_cache(maxsize=1)
def _heated_up() -> tuple[float, float]:
    """Heat [kWh] and time [h] to lift 250 L from 15 to 60 degC with 3.6 kW, no loss."""
    step_s = 10.0
    steps = ceil(5 * 3600 / step_s)
    done = run(_tank(), steady_drive(steps, allowed_w=3600.0), step_s=step_s, start_c=15.0)
    heat_kwh = float(done.record.heat_w.sum()) * step_s / J_PER_KWH
    return heat_kwh, float((done.record.electric_w > 0.0).sum()) * step_s / 3600.0


def _heat_up() -> Iterator[Claim]:
    yield Claim(
        id="tank-heat-up-heat",
        claim="250 L from 15 to 60 degC: heat",
        source="Heat balance Q = m c dT with 4.186 kJ/(kg K) and 1 kg/L",
        basis="published",
        expected=13.081,
        tolerance=0.001,
        unit="kWh",
        compute=lambda: _heated_up()[0],
    )
    yield Claim(
        id="tank-heat-up-time",
        claim="250 L from 15 to 60 degC with 3.6 kW: time until the thermostat opens",
        source="Heat balance t = m c dT / P; tolerance is one step of 10 s",
        basis="published",
        expected=3.634,
        tolerance=0.003,
        unit="h",
        compute=lambda: _heated_up()[1],
    )


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
    heater = _tank(loss_w_per_k=1.64, element_w=element_w, setpoint_c=90.0)
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
    heater = _tank(volume_l=189.0, loss_w_per_k=1.6, deadband_k=2.0)
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
