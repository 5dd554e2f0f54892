"""Laws of solar collectors: the loop, stagnation, cooling without flow, and the sun's angles."""

from __future__ import annotations

import numpy as np
import pvlib
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tankful.physics.collector import (
    idle_temp_c,
    loop_gain_w_per_m2,
    siphon_rise_k,
    stagnation_rise_k,
    steady_gain_w_per_m2,
)
from tankful.physics.incidence import incidence_modifier, tube_modifier
from tankful.physics.tank import loss_decay
from tankful.site.collector_sun import axis_angles_deg
from tankful.units import WATER_CP_J_PER_KG_K

ABSORBED = st.floats(0.0, 1100.0)
OVER_AIR = st.floats(-30.0, 120.0)
A1 = st.floats(0.2, 25.0)
A2 = st.one_of(st.just(0.0), st.floats(1e-6, 0.1))
FLOW = st.floats(0.002, 0.05)
"""Flow per area [kg/(s m2)]."""


def half_rise(flow: float) -> float:
    return 0.5 / (flow * WATER_CP_J_PER_KG_K)


@given(ABSORBED, OVER_AIR, A1, A2, FLOW)
def test_the_loops_gain_is_the_steady_form_at_its_own_mean_temperature(
    absorbed, over_air_k, a1, a2, flow
):
    gain = loop_gain_w_per_m2(absorbed, over_air_k, a1, a2, half_rise(flow))
    mean_over_air_k = over_air_k + half_rise(flow) * gain
    steady = steady_gain_w_per_m2(absorbed, mean_over_air_k, a1, a2)
    assert gain == pytest.approx(steady, abs=1e-6, rel=1e-9)


@given(ABSORBED, OVER_AIR, A1, A2)
def test_an_endless_flow_leaves_the_mean_at_the_inlet(absorbed, over_air_k, a1, a2):
    gain = loop_gain_w_per_m2(absorbed, over_air_k, a1, a2, 0.0)
    assert gain == pytest.approx(steady_gain_w_per_m2(absorbed, over_air_k, a1, a2), abs=1e-9)


@given(ABSORBED, st.floats(0.0, 300.0), OVER_AIR, A1, A2, FLOW)
def test_more_sun_gains_more(absorbed, more, over_air_k, a1, a2, flow):
    less, greater = (
        loop_gain_w_per_m2(each, over_air_k, a1, a2, half_rise(flow))
        for each in (absorbed, absorbed + more)
    )
    assert greater >= less - 1e-9


SIPHON = st.floats(0.5, 50.0)
"""Flow per kelvin of rise x specific heat [W/m2 K2]."""


@given(ABSORBED, OVER_AIR, A1, A2, SIPHON)
def test_without_a_pump_the_flow_carries_what_the_collector_gains(
    absorbed, over_air_k, a1, a2, siphon
):
    """The steady form at the loop's own mean temperature, or nothing where it stands still."""
    stillness = steady_gain_w_per_m2(absorbed, over_air_k, a1, a2)
    slope = a1 + 2.0 * a2 * over_air_k
    assume(slope > 0.0)
    rise_k = siphon_rise_k(stillness, slope, a2, siphon)
    if stillness <= 0.0:
        assert rise_k == 0.0
        return
    gain = steady_gain_w_per_m2(absorbed, over_air_k + 0.5 * rise_k, a1, a2)
    assert siphon * rise_k**2 == pytest.approx(gain, rel=1e-6, abs=1e-6)


@given(ABSORBED, st.floats(0.0, 120.0), A1, A2, SIPHON, st.floats(1.0, 5.0))
def test_an_easier_loop_flows_more_and_warms_less(absorbed, over_air_k, a1, a2, siphon, factor):
    stillness = steady_gain_w_per_m2(absorbed, over_air_k, a1, a2)
    slope = a1 + 2.0 * a2 * over_air_k
    tight, easy = (siphon_rise_k(stillness, slope, a2, s) for s in (siphon, siphon * factor))
    assert easy <= tight + 1e-9
    assert siphon * factor * easy**2 >= siphon * tight**2 - 1e-6


@given(ABSORBED, st.floats(0.0, 120.0), st.floats(0.0, 50.0), A1, A2, FLOW)
def test_warmer_water_from_the_tank_gains_less(absorbed, over_air_k, more_k, a1, a2, flow):
    """At or above the air; colder water than that is warmed by the air too."""
    cooler, warmer = (
        loop_gain_w_per_m2(absorbed, each, a1, a2, half_rise(flow))
        for each in (over_air_k, over_air_k + more_k)
    )
    assert warmer <= cooler + 1e-9


@given(ABSORBED, st.floats(0.0, 120.0), A1, A2, FLOW, st.floats(1.0, 3.0))
def test_a_leakier_collector_gains_less(absorbed, over_air_k, a1, a2, flow, factor):
    """While its mean fluid is warmer than the air."""
    tight = loop_gain_w_per_m2(absorbed, over_air_k, a1, a2, half_rise(flow))
    assume(over_air_k + half_rise(flow) * tight >= 0.0)
    leaky = loop_gain_w_per_m2(absorbed, over_air_k, factor * a1, factor * a2, half_rise(flow))
    assert leaky <= tight + 1e-9


@given(ABSORBED, A1, A2)
def test_a_collector_without_flow_settles_where_it_gains_nothing(absorbed, a1, a2):
    rise_k = stagnation_rise_k(absorbed, a1, a2)
    assert rise_k >= 0.0
    assert steady_gain_w_per_m2(absorbed, rise_k, a1, a2) == pytest.approx(0.0, abs=1e-6)


@given(ABSORBED, A1, A2, FLOW)
def test_a_loop_as_hot_as_stagnation_gains_nothing(absorbed, a1, a2, flow):
    rise_k = stagnation_rise_k(absorbed, a1, a2)
    gain = loop_gain_w_per_m2(absorbed, rise_k, a1, a2, half_rise(flow))
    assert gain == pytest.approx(0.0, abs=1e-6)


@given(
    st.floats(-20.0, 250.0),
    st.floats(-20.0, 250.0),
    A1,
    st.floats(1e3, 5e4),
    st.floats(60.0, 3600.0),
)
def test_without_flow_the_temperature_moves_towards_rest_and_never_beyond(
    temp_c, rest_c, a1, capacity, step_s
):
    after_c = idle_temp_c(temp_c, rest_c, loss_decay(a1, capacity, step_s=step_s))
    assert min(temp_c, rest_c) - 1e-9 <= after_c <= max(temp_c, rest_c) + 1e-9


@given(st.floats(-20.0, 250.0), st.floats(-20.0, 250.0), A1, st.floats(60.0, 1800.0))
def test_two_short_waits_are_one_long_wait(temp_c, rest_c, a1, step_s):
    once = idle_temp_c(temp_c, rest_c, loss_decay(a1, 8e3, step_s=2.0 * step_s))
    decay = loss_decay(a1, 8e3, step_s=step_s)
    half = idle_temp_c(temp_c, rest_c, decay)
    assert idle_temp_c(half, rest_c, decay) == pytest.approx(once, abs=1e-9)


@given(st.floats(0.0, 0.4))
def test_a_flat_plate_takes_less_the_more_slanting_the_light(b0):
    angles = np.linspace(0.0, 90.0, 181)
    taken = incidence_modifier(angles, b0=b0)
    assert taken[0] == pytest.approx(1.0)
    assert taken[-1] == pytest.approx(0.0)
    assert np.all(np.diff(taken) <= 1e-12)
    assert np.allclose(taken, incidence_modifier(-angles, b0=b0))


@given(st.floats(0.0, 0.3), st.floats(0.9, 1.6), st.floats(0.0, 90.0))
def test_tubes_take_their_stated_share_from_the_side(b0, k50, along_deg):
    across = np.array([0.0, 50.0, 90.0])
    straight, side, edge = tube_modifier(across, np.zeros(3), b0=b0, k50=k50)
    assert straight == pytest.approx(1.0)
    assert side == pytest.approx(k50)
    assert edge == 0.0
    slanting = tube_modifier(across, np.full(3, along_deg), b0=b0, k50=k50)
    assert np.all(slanting <= np.array([straight, side, edge]) + 1e-12)


@given(
    st.floats(0.0, 89.0),
    st.floats(0.0, 360.0),
    st.floats(0.0, 90.0),
    st.floats(0.0, 360.0),
)
def test_the_two_axis_angles_make_up_the_angle_of_incidence(zenith, azimuth, tilt, facing):
    """tan^2 = tan^2 across + tan^2 along, against the angle of incidence of pvlib."""
    aoi = float(pvlib.irradiance.aoi(tilt, facing, zenith, azimuth))
    assume(aoi < 88.0)
    across, along = axis_angles_deg(
        np.array([zenith]), np.array([azimuth]), tilt_deg=tilt, facing_deg=facing
    )
    together = np.hypot(np.tan(np.radians(across)), np.tan(np.radians(along)))[0]
    assert np.degrees(np.arctan(together)) == pytest.approx(aoi, abs=1e-3)
