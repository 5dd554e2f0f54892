"""Laws of the year's loop with collectors, panels of the heater's own and a second element."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankful.clock import FloatArray
from tankful.model.system import Collector, Control, InlineBooster, WaterHeater
from tankful.simulate.kernel import fresh_state, simulate_year
from tankful.simulate.params import Drive, Plant, Record, build_plant, empty_record
from tankful.units import J_PER_KWH, WATER_CP_J_PER_KG_K

START_C = 50.0
STEPS = 300
STEPS_S = st.sampled_from([60.0, 300.0, 900.0])
LAYERS = st.integers(1, 24)

COLLECTORS = st.builds(
    Collector,
    area_m2=st.floats(0.5, 12.0),
    eta0=st.just(0.75),
    a1_w_per_m2_k=st.floats(0.5, 8.0),
    a2_w_per_m2_k2=st.floats(0.0, 0.03),
    iam_b0=st.just(0.1),
    iam_transversal_50=st.just(1.0),
    tilt_deg=st.just(22.0),
    azimuth_deg=st.just(0.0),
    capacity_j_per_m2_k=st.floats(2e3, 2e4),
    flow_kg_per_s_m2=st.floats(0.005, 0.03),
    pipe_loss_w_per_k=st.floats(0.0, 6.0),
    pump_w=st.floats(0.0, 60.0),
    max_tank_c=st.floats(60.0, 95.0),
    frost_guard_c=st.one_of(st.none(), st.just(4.0)),
    siphon_kg_per_s_m2_k=st.sampled_from([0.0, 0.0004, 0.0012, 0.004]),
)


@st.composite
def heaters(draw) -> WaterHeater:
    """A tank with collectors, a second element or panels of its own, or several of them."""
    in_tank = draw(st.sampled_from(["element", "burner"]))
    inline = draw(st.sampled_from([None, InlineBooster("gas", 0.8, 1e5, 3.5e4)]))
    return WaterHeater(
        kind="electric_storage" if in_tank == "element" else "solar_gas_tank",
        control=Control(
            draw(st.sampled_from(["always", "reserve"])),
            catch_up_c=draw(st.one_of(st.none(), st.floats(40.0, 60.0))),
            sanitise_after_h=draw(st.one_of(st.none(), st.floats(1.0, 100.0))),
        ),
        tank_l=draw(st.floats(100.0, 600.0)),
        setpoint_c=draw(st.floats(45.0, 75.0)),
        deadband_k=draw(st.floats(0.0, 10.0)),
        loss_w_per_k=draw(st.floats(0.0, 5.0)),
        element_w=draw(st.floats(0.0, 5000.0)) if in_tank == "element" else 0.0,
        burner_w=7500.0 if in_tank == "burner" else 0.0,
        efficiency=0.78,
        heater_height=draw(st.sampled_from([0.0, 0.5])),
        boost_element_w=draw(st.sampled_from([0.0, 2400.0])) if in_tank == "element" else 0.0,
        boost_height=0.65,
        collector=draw(st.one_of(st.none(), COLLECTORS)),
        booster=inline,
    )


@dataclass(frozen=True)
class Days:
    """Random surroundings, draws, sun and permissions, told in few numbers."""

    seed: int
    drawn_share: float
    size_kg: float
    allowed_share: float
    catch_up_share: float
    direct_w: float

    def drive(self) -> Drive:
        rng = np.random.default_rng(self.seed)
        air_c = rng.uniform(-15.0, 42.0, STEPS)
        drawn = rng.random(STEPS) < self.drawn_share
        sun = np.maximum(0.0, np.sin(np.linspace(0.0, 12.0 * np.pi, STEPS)))
        return Drive(
            air_c=air_c,
            wet_bulb_c=air_c - 2.0,
            around_c=air_c,
            cold_c=rng.uniform(3.0, 25.0, STEPS),
            draw_kg=np.where(drawn, rng.exponential(self.size_kg, STEPS), 0.0),
            wanted_c=rng.uniform(35.0, 55.0, STEPS),
            allowed_w=5000.0 * (rng.random(STEPS) < self.allowed_share),
            catch_up_w=5000.0 * (rng.random(STEPS) < self.catch_up_share),
            absorbed_w_per_m2=sun * rng.uniform(0.0, 1000.0, STEPS),
            direct_w=self.direct_w * sun * rng.random(STEPS),
        )


SHARE = st.floats(0.0, 1.0)
DAYS = st.builds(
    Days,
    seed=st.integers(0, 2**32 - 1),
    drawn_share=st.floats(0.0, 0.3),
    size_kg=st.floats(1.0, 60.0),
    allowed_share=SHARE,
    catch_up_share=SHARE,
    direct_w=st.sampled_from([0.0, 2000.0]),
)


def run(plant: Plant, drive: Drive, layers: int) -> tuple[Record, FloatArray]:
    temps_c, record = np.full(layers, START_C), empty_record(STEPS)
    simulate_year(plant, drive, temps_c, fresh_state(), record)
    return record, temps_c


@given(heaters(), DAYS, LAYERS, STEPS_S)
def test_the_heat_ledger_closes_with_every_source_of_sun(heater, days, layers, step_s):
    """To a millionth of the heat turned over."""
    drive = days.drive()
    plant = build_plant(heater, layers=layers, step_s=step_s)
    record, temps_c = run(plant, drive, layers)
    stored_j = (temps_c - START_C).sum() * plant.layer_heat_j_per_k
    into_j = (record.heat_w + record.solar_w).sum() * step_s
    out_j = (record.delivered_w + record.loss_w).sum() * step_s
    turnover_j = abs(into_j) + abs(out_j) + abs(stored_j) + 1.0
    assert abs(into_j - out_j - stored_j) <= 1e-6 * turnover_j


@given(heaters(), DAYS, LAYERS, STEPS_S)
def test_heat_is_bought_or_comes_from_panels_of_its_own(heater, days, layers, step_s):
    drive = days.drive()
    record, _ = run(build_plant(heater, layers=layers, step_s=step_s), drive, layers)
    gain = heater.efficiency if heater.burner_w else 1.0
    bought_w = (record.electric_w + record.gas_w) * gain
    assert np.allclose(record.heat_w, bought_w + record.direct_w, atol=1e-6)
    assert np.all(record.direct_w <= drive.direct_w + 1e-9)
    assert np.all(record.direct_w <= heater.element_w + 1e-9)


@given(heaters(), DAYS, LAYERS, STEPS_S)
def test_collectors_give_nothing_that_the_sun_does_not(heater, days, layers, step_s):
    """But what they have stored, and in the frost they only take."""
    drive = days.drive()
    record, _ = run(build_plant(heater, layers=layers, step_s=step_s), drive, layers)
    if heater.collector is None:
        assert np.all(record.solar_w == 0.0)
        return
    area = heater.collector.area_m2
    hottest_c = np.maximum(record.collector_c, 100.0).max()
    kept_j = heater.collector.capacity_j_per_m2_k * (hottest_c + 20.0) * area
    from_air_w = (heater.collector.a1_w_per_m2_k * area + heater.collector.pipe_loss_w_per_k) * 50.0
    most_j = ((drive.absorbed_w_per_m2 * area + from_air_w) * step_s).sum() + kept_j
    assert np.maximum(0.0, record.solar_w).sum() * step_s <= most_j
    guard = heater.collector.frost_guard_c
    cold = record.solar_w < 0.0
    assert not cold.any() or guard is not None
    assert np.all(drive.air_c[cold] < (guard or 0.0))


@given(heaters(), DAYS, LAYERS, STEPS_S)
def test_the_tank_stays_stable_and_within_what_acts_on_it(heater, days, layers, step_s):
    drive = days.drive()
    record, temps_c = run(build_plant(heater, layers=layers, step_s=step_s), drive, layers)
    limit_c = heater.collector.max_tank_c if heater.collector else 0.0
    hottest_c = max(heater.setpoint_c, 60.0, limit_c, START_C, drive.around_c.max())
    coldest_c = min(START_C, drive.cold_c.min(), drive.around_c.min())
    assert np.all(np.diff(temps_c) >= -1e-9)
    assert record.top_c.max() <= hottest_c + 1e-6
    assert record.low_c.min() >= coldest_c - 1e-6
    assert temps_c.min() >= coldest_c - 1e-6


@given(heaters(), DAYS, LAYERS, STEPS_S)
def test_a_guarded_collector_never_freezes(heater, days, layers, step_s):
    """At rest it is never below its guard; a running loop holds the tank's water, into which
    mains of 3 degC may just have come, and that does not freeze on the way."""
    drive = days.drive()
    record, _ = run(build_plant(heater, layers=layers, step_s=step_s), drive, layers)
    if heater.collector is not None and heater.collector.frost_guard_c is not None:
        guard_c = heater.collector.frost_guard_c
        at_rest = record.solar_w <= 0.0
        assert np.all(record.collector_c[at_rest] >= guard_c - 1e-9)
        assert record.collector_c.min() >= min(guard_c, drive.cold_c.min()) - 1e-9


@given(heaters(), DAYS, LAYERS)
def test_a_second_element_leaves_catching_up_to_itself(heater, days, layers):
    """While the store is not overdue, nothing heats below it unless the control allows."""
    drive = days.drive()
    asked = Control("reserve", catch_up_c=50.0)
    two = replace(heater, boost_element_w=2400.0, control=asked, collector=None)
    idle = drive._replace(allowed_w=np.zeros(STEPS), direct_w=np.zeros(STEPS))
    plant = build_plant(two, layers=layers, step_s=300.0)
    record, _ = run(plant, idle, layers)
    assert record.heat_w.max() <= min(two.boost_element_w, 5000.0) + 1e-6


@given(COLLECTORS, st.floats(-15.0, 3.0), LAYERS)
def test_a_frosty_night_draws_on_the_tank_but_freezes_nothing_in_it(collector, air_c, layers):
    """Twelve hours without sun: the water that keeps the collectors warm comes from the lowest
    layers, none of which falls below the guard's own temperature for it."""
    heater = WaterHeater(
        kind="solar_flat",
        control=Control("reserve"),
        tank_l=300.0,
        loss_w_per_k=0.0,
        collector=replace(collector, frost_guard_c=4.0),
    )
    plant = build_plant(heater, layers=layers, step_s=300.0)
    zeros = np.zeros(STEPS)
    air = np.full(STEPS, air_c)
    drive = Drive(air, air, air, zeros + 8.0, zeros, zeros, zeros, zeros, zeros, zeros)
    record, temps_c = run(plant, drive, layers)
    assert record.solar_w.sum() < 0.0
    assert temps_c.min() >= 4.0 - 1e-9
    assert np.all(np.diff(temps_c) >= -1e-9)


# More sun never buys more. A thermostat with a deadband remembers and may time a restart
# either way, so this holds where the thermostat asks at every step; and a collector's glass
# and metal keep some heat back from one run to the next, which may fall to either side.


def asking(heater: WaterHeater, layers: int, step_s: float) -> Plant:
    plant = build_plant(heater, layers=layers, step_s=step_s)
    return plant._replace(
        restart_c=1e3, catch_up_c=-273.0, sanitise_after_s=np.inf, deadband_k=0.0, boost_w=0.0
    )


SUNNY = st.builds(
    lambda collector: WaterHeater(
        kind="solar_flat",
        control=Control("always"),
        tank_l=300.0,
        setpoint_c=60.0,
        loss_w_per_k=1.8,
        element_w=3600.0,
        heater_height=0.5,
        collector=replace(collector, frost_guard_c=None, max_tank_c=95.0),
    ),
    COLLECTORS,
)


def kept_kwh(plant: Plant) -> float:
    """What the collectors themselves may hold back."""
    return plant.collector_j_per_m2_k * plant.collector_m2 * 150.0 / J_PER_KWH


def bought_kwh(plant: Plant, drive: Drive, layers: int) -> float:
    return float(run(plant, drive, layers)[0].electric_w.sum()) * plant.step_s / J_PER_KWH


@given(SUNNY, DAYS, st.integers(4, 16), STEPS_S, st.floats(1.0, 3.0))
def test_more_collectors_never_buy_more(heater, days, layers, step_s, factor):
    drive = days.drive()
    less = asking(heater, layers, step_s)
    more = less._replace(collector_m2=less.collector_m2 * factor)
    some_kwh, fewer_kwh = (bought_kwh(plant, drive, layers) for plant in (less, more))
    assert fewer_kwh <= some_kwh + kept_kwh(more)


@given(SUNNY, DAYS, st.integers(4, 16), STEPS_S, st.floats(1.0, 2.0))
def test_more_sun_never_buys_more(heater, days, layers, step_s, factor):
    drive = days.drive()
    plant = asking(heater, layers, step_s)
    brighter = drive._replace(absorbed_w_per_m2=drive.absorbed_w_per_m2 * factor)
    dull_kwh, bright_kwh = (bought_kwh(plant, each, layers) for each in (drive, brighter))
    assert bright_kwh <= dull_kwh + kept_kwh(plant)


@given(SUNNY, DAYS, st.integers(4, 16), STEPS_S, st.floats(0.0, 3000.0))
def test_more_panels_of_its_own_never_buy_more(heater, days, layers, step_s, more_w):
    drive = days.drive()
    plant = asking(replace(heater, collector=None), layers, step_s)
    stronger = drive._replace(direct_w=drive.direct_w + more_w)
    weak_kwh, strong_kwh = (bought_kwh(plant, each, layers) for each in (drive, stronger))
    assert strong_kwh <= weak_kwh + 1e-6


@given(heaters(), DAYS)
@settings(max_examples=10)
def test_the_compiled_loop_is_the_plain_loop(heater, days):
    drive = days.drive()
    plant = build_plant(heater, layers=6, step_s=300.0)
    fast, temps_fast = run(plant, drive, 6)
    temps_slow, slow = np.full(6, START_C), empty_record(STEPS)
    simulate_year.py_func(plant, drive, temps_slow, fresh_state(), slow)
    assert np.allclose(temps_fast, temps_slow, rtol=1e-12, atol=1e-12)
    for name in Record._fields:
        left, right = getattr(fast, name), getattr(slow, name)
        assert np.allclose(left, right, rtol=1e-9, atol=1e-7, equal_nan=True), name


def test_wanted_water_is_delivered_or_missing_with_collectors_too():
    heater = WaterHeater(kind="solar_flat", control=Control("reserve"), tank_l=200.0, element_w=0.0)
    rng = np.random.default_rng(5)
    drive = Drive(
        **dict.fromkeys(("air_c", "wet_bulb_c", "around_c"), np.full(STEPS, 20.0)),
        cold_c=np.full(STEPS, 15.0),
        draw_kg=rng.exponential(10.0, STEPS),
        wanted_c=np.full(STEPS, 40.0),
        **dict.fromkeys(
            ("allowed_w", "catch_up_w", "absorbed_w_per_m2", "direct_w"), np.zeros(STEPS)
        ),
    )
    record, _ = run(build_plant(heater, layers=12, step_s=300.0), drive, 12)
    wanted_w = drive.draw_kg * 25.0 * WATER_CP_J_PER_KG_K / 300.0
    assert (record.delivered_w + record.unmet_w).sum() == pytest.approx(wanted_w.sum())
