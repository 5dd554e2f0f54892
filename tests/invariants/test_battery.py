"""Laws of the home battery: it makes no energy, keeps its limits and shuns the grid."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankful.physics.battery import run_battery

STEP_S = 300.0

NET_W = st.builds(
    lambda seed, size, lean: np.random.default_rng(seed).normal(lean, 4000.0, size),
    st.integers(0, 2**32 - 1),
    st.integers(1, 400),
    st.floats(-4000.0, 4000.0),
)
CAPACITY_J = st.floats(0.0, 1e8)
POWER_W = st.floats(0.0, 10_000.0)
ONE_WAY = st.floats(0.7, 1.0)


def run(net_w, capacity_j, power_w, one_way):
    """The battery's power and the energy left in it."""
    battery_w = np.full_like(net_w, np.nan)
    left_j = run_battery(net_w, battery_w, capacity_j, power_w, one_way, STEP_S)
    return battery_w, left_j


def stored_j(battery_w, one_way):
    """Energy in the battery after each step, worked out from its power alone."""
    moved_w = np.where(battery_w > 0.0, battery_w * one_way, battery_w / one_way)
    return np.cumsum(moved_w) * STEP_S


@given(NET_W, CAPACITY_J, POWER_W, ONE_WAY)
def test_no_energy_is_made_or_lost_but_for_its_efficiency(net_w, capacity_j, power_w, one_way):
    battery_w, left_j = run(net_w, capacity_j, power_w, one_way)
    assert stored_j(battery_w, one_way)[-1] == pytest.approx(left_j, abs=1e-3, rel=1e-9)
    given_back = -battery_w[battery_w < 0.0].sum()
    assert given_back <= battery_w[battery_w > 0.0].sum() * one_way**2 * (1 + 1e-9) + 1e-6


@given(NET_W, CAPACITY_J, POWER_W, ONE_WAY)
def test_it_is_never_emptier_than_empty_nor_fuller_than_full(net_w, capacity_j, power_w, one_way):
    battery_w, _ = run(net_w, capacity_j, power_w, one_way)
    inside_j = stored_j(battery_w, one_way)
    assert inside_j.min() >= -1e-3
    assert inside_j.max() <= capacity_j + 1e-3
    assert np.abs(battery_w).max() <= power_w + 1e-9


@given(NET_W, CAPACITY_J, POWER_W, ONE_WAY)
def test_it_charges_from_surplus_only_and_never_discharges_into_export(
    net_w, capacity_j, power_w, one_way
):
    battery_w, _ = run(net_w, capacity_j, power_w, one_way)
    spare, short = net_w < 0.0, net_w >= 0.0
    rounding_w = 1e-9
    assert np.all(battery_w[spare] >= -rounding_w)
    assert np.all(battery_w[spare] <= -net_w[spare])
    assert np.all(battery_w[short] <= rounding_w)
    assert np.all(battery_w[short] >= -net_w[short])


@given(NET_W, CAPACITY_J, POWER_W, ONE_WAY, st.floats(0.0, 1e8), st.floats(0.0, 5000.0))
def test_a_larger_or_stronger_battery_never_buys_more(
    net_w, capacity_j, power_w, one_way, more_j, more_w
):
    def bought(capacity, power):
        battery_w, _ = run(net_w, capacity, power, one_way)
        return np.maximum(0.0, net_w + battery_w).sum()

    assert bought(capacity_j + more_j, power_w) <= bought(capacity_j, power_w) + 1e-6
    assert bought(capacity_j, 0.0) == pytest.approx(np.maximum(0.0, net_w).sum())


@given(NET_W, POWER_W, ONE_WAY)
def test_without_capacity_nothing_happens(net_w, power_w, one_way):
    battery_w, left_j = run(net_w, 0.0, power_w, one_way)
    assert np.all(battery_w == 0.0)
    assert left_j == 0.0
