"""Collectors without a pump: the flow of the loop, and its year beside one with a pump."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache, partial

import numpy as np

from tankful.casefile.defaults import equipment_values
from tankful.clock import FloatArray
from tankful.model.result import Flows
from tankful.model.system import Collector
from tankful.proof.check import JUDGEMENT_BAND, Claim, band
from tankful.proof.solar_loop import FLAT, on_rig
from tankful.proof.solar_years import capital_run
from tankful.simulate.run import simulate
from tankful.units import WATER_CP_J_PER_KG_K

CITIES = ("Melbourne", "Sydney", "Darwin")
STRONG_W_PER_M2 = 450.0
"""Gain of a loop in strong sun."""


def claims() -> Iterator[Claim]:
    """Every claim about loops without a pump."""
    yield _steady()
    yield _friction()
    for city in CITIES:
        yield from _year(city)


def without_pump(collector: Collector) -> Collector:
    """The same collector on a tank close above it, its loop as shipped."""
    shipped = equipment_values("solar_flat")
    return replace(
        collector,
        siphon_kg_per_s_m2_k=shipped["siphon_kg_per_s_m2_k"].number,
        pipe_loss_w_per_k=shipped["siphon_pipe_loss_w_per_k"].number,
        max_tank_c=shipped["siphon_max_tank_c"].number,
        pump_w=0.0,
        frost_guard_c=None,
    )


RISING = replace(without_pump(FLAT), capacity_j_per_m2_k=1e-6)
"""Collectors that take no heat for themselves."""


# The loop


def _balanced_gain(inlet_c: float, *, absorbed_w_per_m2: float, air_c: float) -> float:
    """Gain at which buoyancy and friction balance, found by halving the rise [W/m2]."""
    pipes = RISING.pipe_loss_w_per_k / RISING.area_m2
    low_k, high_k = 0.0, 100.0
    for _ in range(60):
        rise_k = 0.5 * (low_k + high_k)
        over_k = inlet_c + 0.5 * rise_k - air_c
        gain = absorbed_w_per_m2 - (RISING.a1_w_per_m2_k + pipes) * over_k
        gain -= RISING.a2_w_per_m2_k2 * over_k**2
        carried = RISING.siphon_kg_per_s_m2_k * rise_k * WATER_CP_J_PER_KG_K * rise_k
        low_k, high_k = (rise_k, high_k) if carried < gain else (low_k, rise_k)
    return gain


def _gain_over_balance() -> float:
    """Over six sunny hours from 50 degC, the mean of every step's ratio."""
    done = on_rig(light_w_per_m2=800.0, tank_c=50.0, air_c=20.0, hours=6.0, collector=RISING)
    inlets_c = np.concatenate([[50.0], done.record.mean_c[:-1]])
    balanced = [_balanced_gain(c, absorbed_w_per_m2=600.0, air_c=20.0) for c in inlets_c]
    return float((done.record.solar_w / RISING.area_m2 / np.array(balanced)).mean())


def _steady() -> Claim:
    return Claim(
        id="siphon-steady",
        claim="Loop without a pump under steady light: heat over that at which buoyancy and "
        "friction balance",
        source="ISO 9806 steady form with the mean fluid half the rise above the inlet and a "
        "flow in proportion to the rise, solved by halving",
        basis="published",
        expected=1.0,
        tolerance=0.001,
        unit="-",
        compute=_gain_over_balance,
    )


def _pipes_kg_per_s_m2_k() -> float:
    """Flow by Hagen and Poiseuille for each kelvin of rise in a usual loop of 4 m2.

    Water of 50 degC: 988 kg/m3, expanding 4.6e-4 per kelvin, 5.5e-4 Pa s. It rises through 16
    tubes of 10 mm and 2 m on a slope of 22 degrees (half the height of which counts, since it
    warms on the way) and through 4 m of pipe of 20 mm, 0.4 m of it upwards.
    """
    density, expansion, viscosity = 988.0, 4.6e-4, 5.5e-4
    height_m = 0.5 * 2.0 * math.sin(math.radians(22.0)) + 0.4

    def pa_s_per_kg(length_m: float, bore_m: float, pipes: int = 1) -> float:
        return 128.0 * viscosity * length_m / (density * math.pi * bore_m**4 * pipes)

    buoyancy_pa_per_k = density * expansion * 9.81 * height_m
    friction = pa_s_per_kg(2.0, 0.010, 16) + pa_s_per_kg(4.0, 0.020)
    return buoyancy_pa_per_k / friction / 4.0


def _friction() -> Claim:
    return Claim(
        id="siphon-friction",
        claim="Flow of the assumed loop without a pump for each kelvin of rise, over that of a "
        "usual loop worked out from its pipes",
        source="Buoyancy against the law of Hagen and Poiseuille (textbook), bends left out, pipes "
        "of usual size (judgement); a factor of 3 either way",
        basis="published",
        **band(1.0 / 3.0, 3.0),
        unit="-",
        compute=lambda: (
            equipment_values("solar_flat")["siphon_kg_per_s_m2_k"].number / _pipes_kg_per_s_m2_k()
        ),
    )


# The year


@lru_cache(maxsize=8)
def _rising(city: str) -> tuple[Collector, Flows]:
    """The family's year with the same collectors, tank limit and bare pipes, but no pump."""
    done = capital_run(city, bare=True)
    limit_c = done.collector.max_tank_c
    collector = replace(without_pump(done.collector), pipe_loss_w_per_k=0.0, max_tank_c=limit_c)
    year = replace(done.year, absorbed_w_per_m2={collector: done.absorbed_w_per_m2})
    return collector, simulate(replace(done.heater, collector=collector), year)


def _solar_fraction(flows: Flows) -> float:
    return 1.0 - float(flows.heat_w.sum() / flows.delivered_w.sum())


def _fraction_over_pumped(city: str) -> float:
    pumped = capital_run(city, bare=True).flows
    return _solar_fraction(_rising(city)[1]) / _solar_fraction(pumped)


def _rises_k(city: str) -> tuple[FloatArray, FloatArray]:
    """Gain [W/m2] and the rise that carries it [K] on each step."""
    collector, flows = _rising(city)
    gain = np.maximum(0.0, flows.solar_w) / collector.area_m2
    return gain, np.sqrt(gain / (collector.siphon_kg_per_s_m2_k * WATER_CP_J_PER_KG_K))


def _strong_rise_k(city: str) -> float:
    gain, rise_k = _rises_k(city)
    return float(rise_k[gain > STRONG_W_PER_M2].mean())


def _strong_flow_kg_per_s_m2(city: str) -> float:
    collector, _ = _rising(city)
    return _strong_rise_k(city) * collector.siphon_kg_per_s_m2_k


def _year(city: str) -> Iterator[Claim]:
    key = city.lower()
    yield Claim(
        id=f"siphon-year-{key}",
        claim=f"Yearly solar fraction of flat plates without a pump over that with one, {city}",
        source="Both do about equally well: Morrison and Braun, Solar Energy 34 (1985) 389-405, "
        "from memory; a tenth either way (judgement)",
        basis="from memory",
        expected=1.0,
        tolerance=0.1,
        unit="-",
        compute=partial(_fraction_over_pumped, city),
    )
    yield Claim(
        id=f"siphon-rise-{key}",
        claim="Water without a pump warms on its way through the collectors in strong sun by, "
        f"{city}",
        source="About 10 K: Close, Solar Energy 6 (1962), as Duffie and Beckman tell it, from "
        "memory; the assumed flow is set by it",
        basis="from memory",
        expected=10.0,
        tolerance=2.0,
        unit="K",
        compute=partial(_strong_rise_k, city),
    )
    yield Claim(
        id=f"siphon-flow-{key}",
        claim=f"Flow of the loop without a pump in strong sun, {city}",
        source="Of the order of the 0.02 kg/s m2 at which ISO 9806 tests collectors, from memory; "
        f"a factor of 3 either way, {JUDGEMENT_BAND}",
        basis="from memory",
        **band(0.02 / 3.0, 0.06),
        unit="kg/s m2",
        compute=partial(_strong_flow_kg_per_s_m2, city),
    )
