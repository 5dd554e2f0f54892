"""What a step costs and what it gets wrong: the program's tank beside an exact solver.

The solver carries the textbook's balance of N mixed zones, adaptive in time. Water that
would lie upside down is exchanged so fast that it stays level within hundredths of a kelvin.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from itertools import pairwise

import numpy as np

from measure import Figure, Section, interleaved, median_ms
from tankful.clock import FloatArray, year_clock
from tankful.physics.tank import layer_exchange
from tankful.proof.rig import Run, electric_tank, run, steady_drive
from tankful.units import SECONDS_PER_DAY, WATER_CP_J_PER_KG_K
from tankful.use.draws import draws_on_steps
from tankful.use.household import household_draws

DAYS = 7
FIRST_DAY = 182
LAYERS, VOLUME_L, LOSS_W_PER_K = 12, 250.0, 1.8
COLD_C, AROUND_C, WANTED_C, START_C = 14.0, 18.0, 40.0, 60.0
HEATING = ((0.0, 2.0, 2800.0), (11.0, 14.0, 700.0))
"""Hours of the day and power [W]: an off-peak charge, and spare sun at noon."""
TURNOVER_W_PER_K = 3.6e6
LAYER_J_PER_K = VOLUME_L / LAYERS * WATER_CP_J_PER_KG_K


@dataclass(frozen=True, eq=False)
class Week:
    """Temperatures at every full hour, shape ``(168,)``, and the heat delivered [J]."""

    mean_c: FloatArray
    top_c: FloatArray
    delivered_j: float


def _power_w(hour_of_day: FloatArray) -> FloatArray:
    power_w = np.zeros_like(hour_of_day)
    for start_h, end_h, watts in HEATING:
        power_w[(hour_of_day >= start_h) & (hour_of_day < end_h)] = watts
    return power_w


def kernel_week(step_min: int) -> Callable[[], Run]:
    """The week by the program at a step, ready to run."""
    clock = year_clock(2027, "Australia/Brisbane", step_min)
    draws = draws_on_steps(household_draws(clock, 3), clock)
    first = FIRST_DAY * clock.steps_per_day
    week = slice(first, first + DAYS * clock.steps_per_day)
    drive = steady_drive(
        DAYS * clock.steps_per_day,
        around_c=AROUND_C,
        cold_c=COLD_C,
        draw_kg=draws.mixed_kg[week],
        wanted_c=WANTED_C,
    )._replace(allowed_w=_power_w(clock.minute[week] / 60.0))
    heater = electric_tank(volume_l=VOLUME_L, loss_w_per_k=LOSS_W_PER_K, setpoint_c=95.0)
    return partial(run, heater, drive, step_s=clock.step_s, start_c=START_C, layers=LAYERS)


def as_week(done: Run, step_min: int) -> Week:
    """The hourly values of the program's run."""
    hourly = slice(60 // step_min - 1, None, 60 // step_min)
    record = done.record
    joules = float(record.delivered_w.sum()) * step_min * 60.0
    return Week(record.mean_c[hourly], record.top_c[hourly], joules)


def _change(_: float, y: FloatArray, mixed_kg_s: float, element_w: float) -> FloatArray:
    """Rates of the layers [K/s] and of the heat delivered [W]."""
    temps_c = y[:LAYERS]
    hot_c = temps_c[-1]
    share = (WANTED_C - COLD_C) / (hot_c - COLD_C) if hot_c > WANTED_C else 1.0
    drawn_w_k = mixed_kg_s * share * WATER_CP_J_PER_KG_K
    up = np.diff(temps_c)
    conducted_w = layer_exchange(VOLUME_L, LAYERS, step_s=1.0) * LAYER_J_PER_K * up
    between_w = conducted_w + TURNOVER_W_PER_K * np.minimum(up, 0.0)
    net_w = drawn_w_k * (np.concatenate([[COLD_C], temps_c[:-1]]) - temps_c)
    net_w += LOSS_W_PER_K / LAYERS * (AROUND_C - temps_c)
    net_w[:-1] += between_w
    net_w[1:] -= between_w
    net_w[0] += element_w
    return np.append(net_w / LAYER_J_PER_K, drawn_w_k * (hot_c - COLD_C))


def exact_week() -> Week:
    """The same week by an implicit solver at fine tolerance, from one change to the next."""
    from scipy.integrate import solve_ivp

    draws = household_draws(year_clock(2027, "Australia/Brisbane", 1), 3)
    start_s = draws.start_s - FIRST_DAY * SECONDS_PER_DAY
    end_s = start_s + draws.duration_s
    days_s = np.arange(DAYS)[:, None] * SECONDS_PER_DAY
    hours_s = np.arange(1, DAYS * 24 + 1) * 3600.0
    edges = np.concatenate([[0.0], start_s, end_s, hours_s])
    edges = np.unique(edges[(edges >= 0.0) & (edges <= hours_s[-1])])
    switched = [(days_s + h * 3600.0).ravel() for part in HEATING for h in part[:2]]
    assert np.isin(np.concatenate(switched), edges).all()
    y = np.append(np.full(LAYERS, START_C), 0.0)
    hourly = []
    for begin, end in pairwise(edges.tolist()):
        middle = (begin + end) / 2.0
        running = (start_s <= middle) & (end_s > middle)
        mixed_kg_s = float((draws.mixed_l[running] / draws.duration_s[running]).sum())
        watts = float(_power_w(np.array([middle % SECONDS_PER_DAY / 3600.0]))[0])
        solution = solve_ivp(
            _change, (begin, end), y, "LSODA", rtol=1e-9, atol=1e-9, args=(mixed_kg_s, watts)
        )
        assert solution.success, solution.message
        y = solution.y[:, -1]
        if end in hours_s:
            hourly.append(y[:LAYERS])
    profile_c = np.array(hourly)
    return Week(profile_c.mean(axis=1), profile_c[:, -1], float(y[LAYERS]))


def measure_fineness() -> Section:
    """Errors and times at several steps against the solver."""
    exact_ms = median_ms(interleaved({"exact": exact_week}, runs=1)["exact"])
    exact = exact_week()
    figures = []
    errors = [
        "| step | mean of the tank | top of the tank | heat delivered |",
        "|---:|---:|---:|---:|",
    ]
    for step_min in (1, 5, 15, 60):
        call = kernel_week(step_min)
        took_ms = median_ms(interleaved({"kernel": call})["kernel"])
        reference = f"the solver, {exact_ms:,.0f} ms"
        figures.append(
            Figure(f"a week at {step_min} min", took_ms, "ms", reference, took_ms / exact_ms)
        )
        week = as_week(call(), step_min)
        mean_k = float(np.sqrt(np.mean((week.mean_c - exact.mean_c) ** 2)))
        top_k = float(np.sqrt(np.mean((week.top_c - exact.top_c) ** 2)))
        heat = week.delivered_j / exact.delivered_j - 1.0
        errors.append(f"| {step_min} min | {mean_k:.3f} K | {top_k:.3f} K | {heat:+.3%} |")
    note = (
        f"{VOLUME_L:.0f} L in {LAYERS} layers, a household's draws in {DAYS} days, an off-peak "
        "charge and spare sun by day, running short towards the end. Solver: scipy `solve_ivp` "
        f"LSODA, tolerance 1e-9, same {LAYERS} zones. Temperatures: root mean square over all "
        "full hours. Errors are those of the step and of drawing in portions; what the zones "
        "themselves leave out (jets, sloping thermoclines) is not in them."
    )
    return Section("Accuracy against cost", figures, ["\n".join(errors), note])
