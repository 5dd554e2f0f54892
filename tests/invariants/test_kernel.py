"""Laws of the year's loop, on random heaters, weather, draws and controls.

``allowed_w`` and ``catch_up_w`` are random arrays here, so every control there is or may be
is a special case.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from tankful.model.system import Control, HeatPumpRating, WaterHeater
from tankful.simulate.kernel import fresh_state, simulate_year
from tankful.simulate.params import Drive, Plant, Record, build_plant, empty_record
from tankful.units import WATER_CP_J_PER_KG_K

MAYBE = st.one_of(st.none(), st.floats(35.0, 60.0))


@st.composite
def heaters(draw, kinds=("electric_storage", "heat_pump", "gas_storage")) -> WaterHeater:
    kind = draw(st.sampled_from(kinds))
    pump = HeatPumpRating(
        heat_w=draw(st.floats(800.0, 8000.0)),
        cop=draw(st.floats(1.5, 6.0)),
        standby_w=0.0,
        cut_out_air_c=draw(st.floats(-10.0, 10.0)),
        frost_penalty=draw(st.floats(0.0, 0.4)),
        backup_below_c=draw(MAYBE),
    )
    return WaterHeater(
        kind=kind,
        control=Control(
            "always",
            catch_up_c=draw(MAYBE),
            sanitise_after_h=draw(st.one_of(st.none(), st.floats(1.0, 200.0))),
        ),
        tank_l=draw(st.floats(20.0, 600.0)),
        setpoint_c=draw(st.floats(45.0, 80.0)),
        deadband_k=draw(st.floats(0.0, 15.0)),
        loss_w_per_k=draw(st.floats(0.0, 6.0)),
        element_w=0.0 if kind == "gas_storage" else draw(st.floats(0.0, 6000.0)),
        heat_pump=pump if kind == "heat_pump" else None,
        burner_w=draw(st.floats(3000.0, 15000.0)) if kind == "gas_storage" else 0.0,
        efficiency=draw(st.floats(0.5, 0.95)) if kind == "gas_storage" else 0.0,
    )


@dataclass(frozen=True)
class Days:
    """Random surroundings, draws and permissions, told in few numbers.

    With ``steady_mains`` mains and surroundings keep one temperature, the same: otherwise a
    draw, or a leak, may warm a tank that has gone cold.
    """

    seed: int
    drawn_share: float
    size_kg: float
    allowed_share: float
    catch_up_share: float
    steady_mains: bool = False
    steps: int = 300

    def drive(self) -> Drive:
        rng, steps = np.random.default_rng(self.seed), self.steps
        air_c = rng.uniform(-12.0, 40.0, steps)
        cold_c = np.full(steps, 15.0) if self.steady_mains else rng.uniform(3.0, 28.0, steps)
        drawn = rng.random(steps) < self.drawn_share
        return Drive(
            air_c=air_c,
            wet_bulb_c=air_c - rng.uniform(0.0, 8.0, steps),
            around_c=cold_c if self.steady_mains else air_c,
            cold_c=cold_c,
            draw_kg=np.where(drawn, rng.exponential(self.size_kg, steps), 0.0),
            wanted_c=rng.uniform(30.0, 65.0, steps),
            allowed_w=rng.uniform(0.0, 8000.0, steps) * (rng.random(steps) < self.allowed_share),
            catch_up_w=5000.0 * (rng.random(steps) < self.catch_up_share),
            absorbed_w_per_m2=np.zeros(steps),
            direct_w=np.zeros(steps),
        )


SHARE = st.floats(0.0, 1.0)


def days(**fixed: object) -> st.SearchStrategy[Days]:
    return st.builds(
        Days,
        seed=st.integers(0, 2**32 - 1),
        drawn_share=st.floats(0.0, 0.5),
        size_kg=st.floats(0.1, 120.0),
        allowed_share=SHARE,
        catch_up_share=SHARE,
        **{name: st.just(value) for name, value in fixed.items()},
    )


LAYERS = st.integers(1, 24)
STEPS_S = st.sampled_from([60.0, 300.0, 900.0, 3600.0])


def simulate(
    plant: Plant, drive: Drive, layers: int, start_c: float = 50.0
) -> tuple[Record, np.ndarray]:
    temps_c = np.full(layers, start_c)
    record = empty_record(drive.draw_kg.size)
    simulate_year(plant, drive, temps_c, fresh_state(), record)
    return record, temps_c


@given(heaters(), days(), LAYERS, STEPS_S)
def test_the_heat_ledger_closes(heater, some_days, layers, step_s):
    """To a millionth of the heat turned over."""
    drive = some_days.drive()
    plant = build_plant(heater, layers=layers, step_s=step_s)
    record, temps_c = simulate(plant, drive, layers)
    change_j = (temps_c - 50.0).sum() * plant.layer_heat_j_per_k
    heat, delivered, loss = (
        series.sum() * step_s for series in (record.heat_w, record.delivered_w, record.loss_w)
    )
    turnover = abs(heat) + abs(delivered) + abs(loss) + abs(change_j) + 1.0
    assert abs(heat - delivered - loss - change_j) <= 1e-6 * turnover


@given(heaters(), days(), LAYERS, STEPS_S)
def test_delivered_and_unmet_heat_add_up_to_what_was_wanted(heater, some_days, layers, step_s):
    drive = some_days.drive()
    record, _ = simulate(build_plant(heater, layers=layers, step_s=step_s), drive, layers)
    lift_k = np.maximum(0.0, drive.wanted_c - drive.cold_c)
    wanted_w = drive.draw_kg * lift_k * WATER_CP_J_PER_KG_K / step_s
    assert np.allclose(record.delivered_w + record.unmet_w, wanted_w, atol=1e-6, rtol=1e-9)


@given(heaters(), days(), LAYERS, STEPS_S)
def test_nobody_gets_more_heat_from_a_heater_than_its_gain_allows(
    heater, some_days, layers, step_s
):
    """An element gives what it takes, a burner less, a heat pump more, by its COP at most."""
    drive = some_days.drive()
    record, _ = simulate(build_plant(heater, layers=layers, step_s=step_s), drive, layers)
    bought_w = record.electric_w + record.gas_w
    assert np.all(bought_w >= 0.0)
    assert np.all(record.heat_w >= 0.0)
    if heater.kind == "electric_storage":
        assert np.allclose(record.heat_w, bought_w)
    elif heater.kind == "gas_storage":
        assert np.allclose(record.heat_w, bought_w * heater.efficiency)
    else:
        best_cop = heater.heat_pump.cop * 3.0  # the curve's highest value is 2.6
        assert np.all(record.heat_w >= bought_w * (1.0 - 1e-12))
        assert np.all(record.heat_w <= bought_w * max(1.0, best_cop) + 1e-9)


@given(heaters(), days(), LAYERS, STEPS_S)
def test_nothing_is_bought_that_the_control_does_not_allow(heater, some_days, layers, step_s):
    drive = some_days.drive()
    record, _ = simulate(build_plant(heater, layers=layers, step_s=step_s), drive, layers)
    may_run = (drive.allowed_w > 0.0) | (drive.catch_up_w > 0.0)
    assert np.all(record.heat_w[~may_run] == 0.0)
    if heater.kind == "electric_storage":
        limit_w = np.maximum(drive.allowed_w, drive.catch_up_w)
        assert np.all(record.electric_w <= np.minimum(limit_w, heater.element_w) + 1e-6)


@given(heaters(), days(), LAYERS, STEPS_S)
def test_the_tank_stays_stable_and_between_the_coldest_and_the_hottest_that_acts(
    heater, some_days, layers, step_s
):
    drive = some_days.drive()
    record, temps_c = simulate(build_plant(heater, layers=layers, step_s=step_s), drive, layers)
    assert np.all(np.diff(temps_c) >= -1e-9)
    hottest = max(heater.setpoint_c, 60.0, drive.around_c.max())
    coldest = min(50.0, drive.cold_c.min(), drive.around_c.min())
    assert record.top_c.max() <= hottest + 1e-6
    assert record.low_c.min() >= coldest - 1e-6
    assert np.all(record.low_c <= record.top_c + 1e-9)
    assert np.all(record.mean_c <= record.top_c + 1e-9)


# Monotone in what acts on it. A thermostat with a deadband remembers, and a memory can time
# a restart either way, so these hold exactly only where the thermostat asks at every step.


def asking_plant(heater: WaterHeater, layers: int, step_s: float) -> Plant:
    plant = build_plant(heater, layers=layers, step_s=step_s)
    return plant._replace(restart_c=1e3, catch_up_c=-273.0, sanitise_after_s=np.inf, deadband_k=0.0)


ELEMENT = heaters(kinds=("electric_storage",))


@given(ELEMENT, days(steady_mains=True), LAYERS, STEPS_S, st.floats(1.0, 4.0))
def test_a_leakier_tank_never_buys_less(heater, some_days, layers, step_s, factor):
    drive = some_days.drive()
    plant = asking_plant(heater, layers, step_s)
    leakier = plant._replace(loss_decay=1.0 - (1.0 - plant.loss_decay) ** factor)
    few, _ = simulate(plant, drive, layers)
    more, _ = simulate(leakier, drive, layers)
    assert more.electric_w.sum() >= few.electric_w.sum() - 1e-6 * (1.0 + few.electric_w.sum())


@given(ELEMENT, days(steady_mains=True), LAYERS, STEPS_S, st.floats(1.0, 4.0))
def test_larger_draws_never_buy_less(heater, some_days, layers, step_s, factor):
    drive = some_days.drive()
    plant = asking_plant(heater, layers, step_s)
    larger = drive._replace(draw_kg=drive.draw_kg * factor)
    few, _ = simulate(plant, drive, layers)
    more, _ = simulate(plant, larger, layers)
    assert more.electric_w.sum() >= few.electric_w.sum() - 1e-6 * (1.0 + few.electric_w.sum())


@given(ELEMENT, days(steady_mains=True), LAYERS, STEPS_S, st.floats(0.0, 20.0))
def test_a_higher_set_point_never_leaves_more_unmet(heater, some_days, layers, step_s, rise_k):
    drive = some_days.drive()
    plant = asking_plant(heater, layers, step_s)
    hotter = plant._replace(setpoint_c=plant.setpoint_c + rise_k)
    low, _ = simulate(plant, drive, layers)
    high, _ = simulate(hotter, drive, layers)
    assert high.unmet_w.sum() <= low.unmet_w.sum() * (1.0 + 1e-9) + 1e-6


@given(heaters(), days(), st.floats(0.0, 1.0))
@settings(max_examples=20)
def test_a_year_in_two_parts_is_the_year_in_one(heater, some_days, share):
    """The loop keeps nothing outside the profile and the state."""
    drive = some_days.drive()
    layers, step_s = 8, 300.0
    plant = build_plant(heater, layers=layers, step_s=step_s)
    whole, temps_whole = simulate(plant, drive, layers)
    cut = int(share * drive.draw_kg.size)
    temps_c, state = np.full(layers, 50.0), fresh_state()
    parts = []
    for part in (slice(None, cut), slice(cut, None)):
        piece = Drive(*(np.ascontiguousarray(series[part]) for series in drive))
        record = empty_record(piece.draw_kg.size)
        simulate_year(plant, piece, temps_c, state, record)
        parts.append(record)
    assert np.array_equal(temps_c, temps_whole)
    for name in Record._fields:
        joined = np.concatenate([getattr(part, name) for part in parts])
        assert np.array_equal(joined, getattr(whole, name)), name


# The compiled loop and the same text uncompiled


@given(heaters(), days(steps=60), LAYERS, STEPS_S)
@settings(max_examples=25)
def test_the_compiled_loop_is_the_plain_loop(heater, some_days, layers, step_s):
    drive = some_days.drive()
    plant = build_plant(heater, layers=layers, step_s=step_s)
    fast, temps_fast = simulate(plant, drive, layers)
    temps_slow, slow = np.full(layers, 50.0), empty_record(60)
    simulate_year.py_func(plant, drive, temps_slow, fresh_state(), slow)
    assert np.allclose(temps_fast, temps_slow, rtol=1e-12, atol=1e-12)
    for name in Record._fields:
        left, right = getattr(fast, name), getattr(slow, name)
        assert np.allclose(left, right, rtol=1e-9, atol=1e-7), name
