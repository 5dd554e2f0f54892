"""Laws that the tank's and the heat pump's relations keep whatever the numbers."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import isotonic_regression

from tankful.physics import heat_pump, tank
from tankful.simulate import kernel
from tankful.units import WATER_CP_J_PER_KG_K

TEMPS = st.floats(0.0, 95.0)
PROFILES = st.lists(TEMPS, min_size=1, max_size=24).map(np.array)
STABLE = PROFILES.map(np.sort)


def same(left, right) -> bool:
    return np.allclose(left, right, rtol=1e-12, atol=1e-9)


def heat_of_top(profile: np.ndarray, moved: float) -> float:
    """Integral of the profile over its top ``moved`` layers, written the slow way."""
    total = 0.0
    for temp in profile[::-1]:
        part = min(1.0, moved)
        total += part * temp
        moved -= part
    return total


MIXING = st.floats(0.0, 5.0)
"""Mixing lengths [layers]; at the longest a portion of 1 / 6 layer is stable."""


@given(PROFILES, st.floats(0.0, 1.0), TEMPS, MIXING)
def test_displacement_hands_out_exactly_the_water_of_the_top(profile, share, inlet_c, mixing):
    moved = share / (1.0 + mixing)
    after = profile.copy()
    tank.displace(after, moved, inlet_c, mixing)
    handed_out = profile.sum() + moved * inlet_c - after.sum()
    assert handed_out == pytest.approx(heat_of_top(profile, moved), abs=1e-8)


@given(PROFILES, st.floats(0.0, 1.0), TEMPS, MIXING)
def test_displacement_makes_no_new_extreme(profile, share, inlet_c, mixing):
    after = profile.copy()
    tank.displace(after, share / (1.0 + mixing), inlet_c, mixing)
    assert after.min() >= min(profile.min(), inlet_c) - 1e-9
    assert after.max() <= max(profile.max(), inlet_c) + 1e-9


@given(STABLE, st.floats(0.0, 1.0), MIXING)
def test_displacement_by_colder_water_keeps_a_stable_profile_stable(profile, share, mixing):
    after = profile.copy()
    tank.displace(after, share / (1.0 + mixing), 0.0, mixing)
    assert np.all(np.diff(after) >= -1e-9)


@given(PROFILES, st.floats(0.0, 1.0), TEMPS, MIXING)
def test_sinking_through_the_whole_tank_is_displacement_upside_down(
    profile, share, inlet_c, mixing
):
    moved = share / (1.0 + mixing)
    sunk, turned = profile.copy(), -profile[::-1]
    tank.sink(sunk, moved, inlet_c, profile.size - 1, mixing)
    tank.displace(turned, moved, -inlet_c, mixing)
    assert same(sunk, -turned[::-1])


@given(STABLE, st.floats(0.0, 1.0), st.floats(0.0, 50.0), MIXING)
def test_water_let_in_at_its_own_level_brings_its_heat_and_keeps_the_order(
    profile, share, rise_k, mixing
):
    """It leaves as cold as the bottom is, and nothing above its level moves."""
    moved = share / (1.0 + mixing) / 2.0
    outlet_c = profile[0] + rise_k
    layer = tank.layer_of(profile, outlet_c)
    after = profile.copy()
    tank.sink(after, moved, outlet_c, layer, mixing)
    assert after.sum() - profile.sum() == pytest.approx(moved * rise_k, abs=1e-8)
    assert np.all(np.diff(after) >= -1e-9)
    assert after.max() <= max(profile.max(), outlet_c) + 1e-9
    assert same(after[layer + 1 :], profile[layer + 1 :])


@pytest.mark.parametrize("drawn", [0.5, 0.8, 1.0])
def test_a_column_mixes_alike_in_any_number_of_layers(drawn):
    """Share of the heat delivered with a mixing length of a twelfth of the height, within
    half a percent point of 96 layers; 8 layers, coarser than that length, within one."""

    def delivered(layers):
        profile = np.ones(layers)
        for _ in range(round(drawn * layers / 0.05)):
            tank.displace(profile, 0.05, 0.0, layers / 12.0)
        return 1.0 - profile.mean()

    finest = delivered(96)
    for layers in (12, 16, 24, 48):
        assert delivered(layers) == pytest.approx(finest, abs=0.005)
    assert delivered(8) == pytest.approx(finest, abs=0.012)


@given(STABLE, st.floats(0.0, 200.0))
def test_the_level_after_heating_is_that_of_the_mixed_bottom(profile, heat_k):
    level_c = tank.level_after(profile, heat_k)
    after = profile.copy()
    after[0] += heat_k
    tank.mix_inversions(after)
    assert level_c == pytest.approx(after[0], abs=1e-8)


@given(PROFILES, st.floats(0.0, 1.0))
def test_a_sensor_reads_between_the_layers_about_it(profile, height):
    place = tank.place_of_height(height, profile.size)
    centres = (np.arange(profile.size) + 0.5) / profile.size
    assert tank.temp_at(profile, place) == pytest.approx(
        np.interp(height, centres, profile), abs=1e-8
    )


@given(PROFILES, st.floats(0.0, 0.5))
def test_conduction_conserves_heat_and_makes_no_new_extreme(profile, exchange):
    after = profile.copy()
    tank.conduct(after, exchange)
    assert after.sum() == pytest.approx(profile.sum(), abs=1e-8)
    assert after.min() >= profile.min() - 1e-9
    assert after.max() <= profile.max() + 1e-9


@given(STABLE, st.floats(0.0, 0.5))
def test_conduction_keeps_a_stable_profile_stable(profile, exchange):
    after = profile.copy()
    tank.conduct(after, exchange)
    assert np.all(np.diff(after) >= -1e-9)


@given(PROFILES, TEMPS, st.floats(0.0, 1.0))
def test_loss_reports_its_heat_and_never_passes_the_surroundings(profile, around_c, decay):
    after = profile.copy()
    fall = tank.lose(after, around_c, decay)
    assert fall == pytest.approx(profile.sum() - after.sum(), abs=1e-8)
    assert np.all((after - around_c) * (profile - around_c) >= -1e-9)
    assert np.all(np.abs(after - around_c) <= np.abs(profile - around_c) + 1e-9)


@given(st.floats(0.0, 20.0), st.floats(1e4, 1e7), st.floats(1.0, 3600.0))
def test_two_half_steps_of_loss_are_one_step(loss_w_per_k, capacity, step_s):
    whole = tank.loss_decay(loss_w_per_k, capacity, step_s=step_s)
    half = tank.loss_decay(loss_w_per_k, capacity, step_s=step_s / 2)
    assert 1.0 - whole == pytest.approx((1.0 - half) ** 2, rel=1e-12)


@given(PROFILES)
def test_mixing_conserves_heat_and_leaves_nothing_inverted(profile):
    after = profile.copy()
    tank.mix_inversions(after)
    assert after.sum() == pytest.approx(profile.sum(), abs=1e-8)
    assert np.all(np.diff(after) >= -1e-9)


@given(PROFILES)
def test_mixing_twice_changes_nothing_more(profile):
    once = profile.copy()
    tank.mix_inversions(once)
    twice = once.copy()
    tank.mix_inversions(twice)
    assert same(once, twice)


@given(STABLE)
def test_mixing_leaves_a_stable_profile_alone(profile):
    after = profile.copy()
    tank.mix_inversions(after)
    assert np.array_equal(after, profile)


@given(PROFILES)
def test_mixing_gives_the_pooled_profile_of_an_outside_library(profile):
    """scipy.optimize.isotonic_regression: the least-squares monotone fit, which pools alike."""
    after = profile.copy()
    tank.mix_inversions(after)
    assert np.allclose(after, isotonic_regression(profile).x, atol=1e-8)


@given(STABLE, st.floats(20.0, 95.0))
def test_the_room_below_the_set_point_is_just_what_a_bottom_heater_can_give(profile, setpoint_c):
    after = profile.copy()
    after[0] += tank.room_below_setpoint(profile, setpoint_c, 0)
    tank.mix_inversions(after)
    assert after.min() >= setpoint_c - 1e-8
    assert same(after[profile > setpoint_c], profile[profile > setpoint_c])


@given(PROFILES, st.data())
def test_the_mean_of_the_lower_layers_is_a_mean(profile, data):
    layers = data.draw(st.integers(1, profile.size))
    assert tank.mean_of_lower(profile, layers) == pytest.approx(profile[:layers].mean(), abs=1e-9)


@given(
    STABLE,
    st.floats(0.0, 400.0),
    st.floats(25.0, 70.0),
    st.floats(1.0, 24.0),
    st.floats(2.0, 60.0),
    st.sampled_from([-273.0, 60.0, 70.0]),
    st.floats(0.0, 5.0),
)
def test_a_draw_gives_what_was_wanted_less_what_it_reports_short(
    profile, draw_kg, wanted_c, cold_c, layer_kg, boosted_c, mixing
):
    """Holds for a tank colder than mains, for draws larger than the tank, and with a booster
    behind it."""
    after = profile.copy()
    short_kg_k = kernel.draw(after, draw_kg, wanted_c, cold_c, layer_kg, boosted_c, mixing)
    given_kg_k = (profile.sum() - after.sum()) * layer_kg
    wanted_kg_k = draw_kg * (wanted_c - cold_c)
    assert given_kg_k + short_kg_k == pytest.approx(wanted_kg_k, abs=1e-6)
    assert short_kg_k >= 0.0


@given(st.floats(20.0, 1000.0), st.integers(2, 60), st.floats(60.0, 3600.0))
def test_the_exchange_between_layers_grows_with_the_square_of_their_number(volume_l, layers, dt):
    """Diffusivity x step / thickness squared: doubling the layers quadruples it."""
    coarse = tank.layer_exchange(volume_l, layers, step_s=dt)
    fine = tank.layer_exchange(volume_l, 2 * layers, step_s=dt)
    assert fine == pytest.approx(4.0 * coarse, rel=1e-9)
    assert tank.layer_exchange(volume_l, 1, step_s=dt) == 0.0


AIR = st.floats(-25.0, 45.0)
WATER = st.floats(5.0, 75.0)


@given(AIR, AIR, WATER)
def test_warmer_air_never_lowers_cop_or_power(one_c, other_c, water_c):
    low, high = sorted((one_c, other_c))
    for factor in (heat_pump.cop_factor, heat_pump.capacity_factor):
        assert factor(high, water_c) >= factor(low, water_c) - 1e-12


@given(AIR, WATER, WATER)
def test_hotter_water_never_raises_cop(air_c, one_c, other_c):
    low, high = sorted((one_c, other_c))
    assert heat_pump.cop_factor(air_c, high) <= heat_pump.cop_factor(air_c, low) + 1e-12


@given(AIR, WATER)
def test_a_heat_pump_never_cools_its_tank(air_c, water_c):
    assert heat_pump.capacity_factor(air_c, water_c) >= heat_pump.LEAST_CAPACITY > 0.0


@given(st.floats(-30.0, 50.0), st.floats(0.0, 0.5))
def test_frost_takes_at_most_its_penalty_and_nothing_above_seven_degrees(air_c, penalty):
    factor = heat_pump.frost_factor(air_c, penalty)
    assert 1.0 - penalty - 1e-12 <= factor <= 1.0
    assert factor == 1.0 or air_c < 7.0


@given(st.floats(0.0, 30.0), st.floats(10.0, 30.0), st.floats(35.0, 65.0))
def test_the_cop_of_a_heat_up_lies_between_those_of_its_ends(wet_bulb_c, from_c, to_c):
    mean = heat_pump.heat_up_mean_factor(wet_bulb_c=wet_bulb_c, from_c=from_c, to_c=to_c)
    ends = heat_pump.cop_factor(wet_bulb_c, to_c), heat_pump.cop_factor(wet_bulb_c, from_c)
    assert ends[0] <= mean <= ends[1]


RELATIONS = {
    "displace": (tank.displace, (0.3, 12.0, 1.5)),
    "displace sharply": (tank.displace, (0.3, 12.0, 0.2)),
    "sink": (tank.sink, (0.3, 80.0, 2, 1.5)),
    "sink sharply": (tank.sink, (0.3, 80.0, 2, 0.2)),
    "layer_of": (tank.layer_of, (40.0,)),
    "level_after": (tank.level_after, (7.0,)),
    "temp_at": (tank.temp_at, (1.3,)),
    "conduct": (tank.conduct, (0.2,)),
    "lose": (tank.lose, (18.0, 0.01)),
    "mix_inversions": (tank.mix_inversions, ()),
    "room_below_setpoint": (tank.room_below_setpoint, (58.0, 0)),
    "mean_of_lower": (tank.mean_of_lower, (3.4,)),
    "draw": (kernel.draw, (70.0, 41.0, 13.0, 20.0, 60.0, 1.2)),
}


@pytest.mark.parametrize("name", RELATIONS)
@given(profile=st.lists(TEMPS, min_size=4, max_size=24).map(np.array))
def test_compiled_and_plain_are_the_same(name, profile):
    relation, arguments = RELATIONS[name]
    fast, slow = profile.copy(), profile.copy()
    out_fast, out_slow = relation(fast, *arguments), relation.py_func(slow, *arguments)
    assert same(fast, slow)
    assert same(out_fast or 0.0, out_slow or 0.0)


@given(AIR, WATER, st.floats(0.0, 0.3))
def test_compiled_and_plain_heat_pump_curves_are_the_same(air_c, water_c, penalty):
    for curve in (heat_pump.cop_factor, heat_pump.capacity_factor):
        assert curve(air_c, water_c) == pytest.approx(curve.py_func(air_c, water_c), rel=1e-13)
    frost = heat_pump.frost_factor
    assert frost(air_c, penalty) == pytest.approx(frost.py_func(air_c, penalty), rel=1e-13)


def test_the_loss_of_a_step_tends_to_the_textbook_rate():
    """For short steps: UA x step / C (Newton's law of cooling)."""
    capacity = 250.0 * WATER_CP_J_PER_KG_K
    assert tank.loss_decay(1.5, capacity, step_s=1.0) == pytest.approx(1.5 / capacity, rel=1e-5)
    assert tank.loss_decay(0.0, capacity, step_s=300.0) == 0.0
    assert tank.loss_decay(math.inf, capacity, step_s=300.0) == 1.0
