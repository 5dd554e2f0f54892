"""Controls as arrays: who may run when."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as nps

from tankful.clock import year_clock
from tankful.model.system import Control, WaterHeater
from tankful.model.window import Window
from tankful.simulate.control import allowed_input_w, surplus_switch_mask, windows_mask

CLOCK = year_clock(2027, "Australia/Sydney", 60, "AU", "NSW")
NO_SUN = np.zeros(CLOCK.n_steps)


def tank(control: Control) -> WaterHeater:
    return WaterHeater(
        kind="electric_storage", control=control, tank_l=250, loss_w_per_k=1.6, element_w=3600
    )


def test_always_on_allows_the_rating_at_every_step() -> None:
    allowed, catch_up = allowed_input_w(tank(Control("always")), CLOCK, NO_SUN)
    assert (allowed == 3600).all()
    assert (catch_up == 0).all()


def test_a_timer_allows_its_clock_hours_also_across_daylight_saving() -> None:
    control = Control("hours", windows=(Window(start="22:00", end="07:00"),))
    allowed, _ = allowed_input_w(tank(control), CLOCK, NO_SUN)
    night = (CLOCK.clock_minute >= 22 * 60) | (CLOCK.clock_minute < 7 * 60)
    assert np.array_equal(allowed > 0, night)


def test_weekday_windows_leave_out_public_holidays() -> None:
    mask = windows_mask((Window(days="weekday"),), CLOCK)
    assert not mask[CLOCK.holiday].any()
    assert not mask[CLOCK.clock_weekday >= 5].any()
    assert mask.any()


def test_months_limit_a_window() -> None:
    mask = windows_mask((Window(months=(6, 7)),), CLOCK)
    assert set(CLOCK.clock_month[mask]) == {6, 7}


@given(nps.arrays(float, CLOCK.n_steps, elements=st.floats(0, 9000), fill=st.just(0.0)))
def test_a_diverter_never_takes_more_than_the_spare_sun_or_its_rating(surplus: np.ndarray) -> None:
    allowed, _ = allowed_input_w(tank(Control("diverter")), CLOCK, surplus)
    assert (allowed <= surplus).all()
    assert (allowed <= 3600).all()


def test_quiet_hours_stop_everything() -> None:
    quiet = CLOCK.clock_minute < 420
    control = Control("always", catch_up_c=45.0)
    allowed, catch_up = allowed_input_w(tank(control), CLOCK, NO_SUN, quiet)
    assert not allowed[quiet].any()
    assert not catch_up[quiet].any()
    assert allowed[~quiet].all()


def test_catch_up_on_an_off_peak_circuit_stays_inside_the_network_hours() -> None:
    control = Control("off_peak", windows=(Window(start="01:00", end="05:00"),), catch_up_c=50.0)
    allowed, catch_up = allowed_input_w(tank(control), CLOCK, NO_SUN)
    assert not catch_up[allowed == 0].any()


@given(st.lists(st.floats(0, 2000), min_size=1, max_size=60), st.integers(0, 90))
def test_the_surplus_switch_holds_for_its_minimum_time(values: list[float], hold: int) -> None:
    surplus = np.array(values)
    on = surplus_switch_mask(surplus, threshold_w=1000.0, min_on_min=hold, step_min=5)
    steps = 1 + -(-hold // 5)
    expected = [
        any(v >= 1000 for v in values[max(0, i + 1 - steps) : i + 1]) for i in range(len(values))
    ]
    assert on.tolist() == expected


@pytest.mark.parametrize("text", ["25:00", "7", "24:30", "ab:cd"])
def test_a_time_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="time of day"):
        Window(start=text)
