"""The weekly heat-through: in the control's own hours where it can, in time in any case."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tankful.advice.controls import DAILY_H, SANITISE_AFTER_H, SANITISE_EARLY_H, clock_window
from tankful.advice.search import always_on, longest_allowed_h
from tankful.model.system import Control, HeatPumpRating, WaterHeater
from tankful.simulate.comfort import longest_gap_h
from tankful.simulate.kernel import asked_of_heater, fresh_state, simulate_year
from tankful.simulate.params import Drive, Record, build_plant, empty_record

WEEK_H = 168.0
"""Once in 7 days: AS 3498:2020 clause 7.2 (transcribed)."""

PUMP = HeatPumpRating(heat_w=3000.0, cop=3.6, standby_w=0.0, cut_out_air_c=-6.0, frost_penalty=0.15)


# Of a step, on any hours


@dataclass(frozen=True)
class Days:
    """Twelve days on half hours: draws and the control's own hours at random."""

    seed: int
    size_kg: float
    own_share: float

    def drive(self, own_hours: bool = True) -> Drive:
        rng, steps = np.random.default_rng(self.seed), 12 * 48
        air_c = rng.uniform(-5.0, 35.0, steps)
        drawn = rng.random(steps) < 0.3
        own = np.repeat(rng.random(steps // 8) < self.own_share, 8)
        return Drive(
            air_c=air_c,
            wet_bulb_c=air_c - 3.0,
            around_c=air_c,
            cold_c=np.full(steps, 14.0),
            draw_kg=np.where(drawn, rng.exponential(self.size_kg, steps), 0.0),
            wanted_c=np.full(steps, 40.0),
            allowed_w=3000.0 * own if own_hours else np.zeros(steps),
            catch_up_w=3000.0 * (rng.random(steps) < 0.8),
            absorbed_w_per_m2=np.zeros(steps),
            direct_w=np.zeros(steps),
        )


DAYS = st.builds(
    Days,
    seed=st.integers(0, 2**32 - 1),
    size_kg=st.floats(1.0, 30.0),
    own_share=st.floats(0.1, 0.9),
)


@st.composite
def heaters(draw, *, tops_up: bool = True) -> WaterHeater:
    """A tank whose thermostat alone does not keep the rule."""
    kind = draw(st.sampled_from(("electric_storage", "heat_pump")))
    control = Control(
        "hours",
        catch_up_c=draw(st.floats(38.0, 50.0)) if tops_up else None,
        sanitise_after_h=draw(st.floats(48.0, 168.0)),
        sanitise_early_h=draw(st.floats(1.0, 167.0)),
    )
    return WaterHeater(
        kind=kind,
        control=control,
        tank_l=draw(st.floats(80.0, 400.0)),
        setpoint_c=draw(st.floats(45.0, 58.0)),
        loss_w_per_k=2.0,
        element_w=2400.0,
        heat_pump=PUMP if kind == "heat_pump" else None,
    )


def run(heater: WaterHeater, drive: Drive, early_h: float | None) -> Record:
    control = replace(heater.control, sanitise_early_h=early_h)
    plant = build_plant(replace(heater, control=control), layers=12, step_s=1800.0)
    record = empty_record(drive.draw_kg.size)
    simulate_year(plant, drive, np.full(12, 50.0), fresh_state(), record)
    return record


def assert_same(some: Record, other: Record, until: int | None = None) -> None:
    """To the last bit."""
    for name in Record._fields:
        assert np.array_equal(getattr(some, name)[:until], getattr(other, name)[:until]), name


@given(heaters(), DAYS)
def test_an_early_start_that_is_none_or_not_early_changes_nothing(heater, days):
    drive, after_h = days.drive(), heater.control.sanitise_after_h
    assert_same(run(heater, drive, None), run(heater, drive, after_h))


@given(heaters(), DAYS)
def test_a_control_without_hours_of_its_own_is_not_changed(heater, days):
    drive = days.drive(own_hours=False)
    assert_same(run(heater, drive, None), run(heater, drive, heater.control.sanitise_early_h))


@given(heaters(), DAYS)
def test_nothing_changes_before_the_early_start(heater, days):
    drive, early_h = days.drive(), heater.control.sanitise_early_h
    plain = run(heater, drive, None)
    due = np.flatnonzero(plain.since_hot_h > early_h)
    until = int(due[0]) + 1 if due.size else drive.draw_kg.size
    assert_same(plain, run(heater, drive, early_h), until)


@given(heaters(tops_up=False), DAYS)
def test_until_it_is_overdue_a_store_is_heated_in_the_controls_own_hours_only(heater, days):
    drive, after_h = days.drive(), heater.control.sanitise_after_h
    record = run(heater, drive, heater.control.sanitise_early_h)
    before_h = np.concatenate([[0.0], record.since_hot_h[:-1]])
    outside = (before_h <= after_h) & (drive.allowed_w == 0.0)
    assert np.all(record.heat_w[outside] == 0.0)


@given(heaters(), st.floats(1.0, 2.0), st.floats(0.0, 4000.0), st.floats(0.0, 4000.0))
def test_once_overdue_a_store_is_heated_alike_whatever_its_early_start(
    heater, late, allowed_w, catch_up_w
):
    plant = build_plant(heater, layers=12, step_s=300.0)
    plain = plant._replace(sanitise_early_s=np.inf)
    since_s = np.nextafter(plant.sanitise_after_s * late, np.inf)
    for heating in (0.0, 1.0):
        asked = [
            asked_of_heater(p, since_s, heating, allowed_w, catch_up_w) for p in (plant, plain)
        ]
        assert asked[0] == asked[1] == (max(allowed_w, catch_up_w), 60.0)


# Of the controls


@pytest.mark.parametrize("postcode", ["2000", "2630"])
def test_weekly_rules_start_early_just_where_the_control_has_hours_or_sun_of_its_own(
    place, postcode
):
    home = place("[[electricity.arrays]]\nkw = 6.6\n", postcode)
    seen = set()
    for option in home.options.values():
        assert always_on(option).control.sanitise_early_h is None
        for control in option.controls:
            own = control.kind in ("hours", "off_peak", "diverter", "surplus_switch")
            weekly = control.sanitise_after_h == SANITISE_AFTER_H
            expected = SANITISE_EARLY_H if own and weekly else None
            assert control.sanitise_early_h == expected, (option.id, control)
            assert control.sanitise_after_h in (None, DAILY_H, SANITISE_AFTER_H)
            seen.add((control.kind, weekly))
    assert {(kind, True) for kind in ("hours", "off_peak", "diverter", "surplus_switch")} <= seen


# Of whole years

PLACES = ("2480", "2630", "0800")
CLOCK_WINDOWS = st.builds(clock_window, st.integers(0, 23), st.integers(3, 8))
WEEKLY = {"sanitise_after_h": SANITISE_AFTER_H, "sanitise_early_h": SANITISE_EARLY_H}
TOP_UP = st.one_of(st.none(), st.sampled_from((45.0, 50.0, 55.0)))
CONTROLS = st.one_of(
    st.builds(
        lambda window, top_up_c: Control("hours", (window,), catch_up_c=top_up_c, **WEEKLY),
        CLOCK_WINDOWS,
        TOP_UP,
    ),
    st.builds(lambda top_up_c: Control("diverter", catch_up_c=top_up_c, **WEEKLY), TOP_UP),
    st.builds(
        lambda top_up_c, threshold_w: Control(
            "surplus_switch",
            threshold_w=threshold_w,
            min_on_min=30,
            catch_up_c=top_up_c,
            **WEEKLY,
        ),
        TOP_UP,
        st.floats(100.0, 1500.0),
    ),
    st.builds(
        lambda top_up_c: Control("reserve", catch_up_c=top_up_c, sanitise_after_h=SANITISE_AFTER_H),
        TOP_UP,
    ),
)


def home_of(place, postcode: str, people: int):
    text = f"[people]\ncount = {people}\n[[electricity.arrays]]\nkw = 6.6\n"
    return place(text, postcode)


@given(
    st.sampled_from(PLACES),
    st.sampled_from((1, 4, 6)),
    st.sampled_from(("electric_storage", "heat_pump")),
    CONTROLS,
    st.floats(45.0, 70.0),
)
@settings(max_examples=60)
def test_a_store_that_may_be_heated_at_any_time_meets_the_weekly_rule(
    place, postcode, people, family, control, setpoint_c
):
    """With a top-up, as every control that is offered. Without one, or with six people in the
    frost, draws may outrun a heat pump for a day: then within what the ranking bears."""
    home = home_of(place, postcode, people)
    heater = replace(home.heater(family).under(control), setpoint_c=setpoint_c)
    kept = people <= 4 and control.catch_up_c is not None
    limit_h = WEEK_H if kept else longest_allowed_h(heater)
    assert longest_gap_h(home.flows(heater).since_hot_h) <= limit_h


@given(
    st.sampled_from(PLACES),
    st.integers(8, 12),
    st.sampled_from((45.0, 50.0)),
    st.floats(50.0, 57.0),
)
@settings(max_examples=20)
def test_a_timer_by_day_at_least_halves_the_hours_in_which_an_overdue_heat_pump_heats(
    place, postcode, start_h, top_up_c, setpoint_c
):
    """Against those of a year without an early start; its thermostat, below 60 degC, never
    meets the rule by itself. They are the ones at any hour of day and night."""
    home = home_of(place, postcode, 3)
    control = Control("hours", (clock_window(start_h, 6),), catch_up_c=top_up_c, **WEEKLY)
    heater = replace(home.heater("heat_pump").under(control), setpoint_c=setpoint_c)
    late = replace(heater, control=replace(control, sanitise_early_h=None))

    def overdue_h(some: WaterHeater) -> float:
        flows = home.flows(some)
        heated = (flows.since_hot_h > SANITISE_AFTER_H) & (flows.heat_w > 0.0)
        return float(heated.sum()) * home.year.clock.step_s / 3600.0

    assume(overdue_h(late) > 20.0)
    assert overdue_h(heater) <= 0.5 * overdue_h(late)
