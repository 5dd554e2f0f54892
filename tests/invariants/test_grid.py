"""Laws of the home's side of the meter: panels, phases, battery and export limit."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankful.model.case import Battery
from tankful.simulate.grid import GridSide

STEP_S = 900.0
STEPS = 200

BATTERIES = st.one_of(
    st.none(),
    st.builds(
        Battery,
        capacity_kwh=st.floats(0.5, 20.0),
        power_kw=st.floats(0.5, 10.0),
        round_trip_efficiency=st.floats(0.6, 1.0),
        reserve_fraction=st.floats(0.0, 0.5),
        first=st.sampled_from(["water", "battery"]),
    ),
)
LIMITS = st.one_of(st.just(np.inf), st.floats(0.0, 8000.0))
PHASES = st.sampled_from([1, 3])


@st.composite
def powers(draw) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """House, heater and panels [W]; panels and heater rest at times."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    house_w = rng.exponential(draw(st.floats(50.0, 3000.0)), STEPS)
    heater_w = draw(st.floats(0.0, 5000.0)) * (rng.random(STEPS) < draw(st.floats(0.0, 1.0)))
    pv_w = draw(st.floats(0.0, 9000.0)) * np.maximum(0.0, rng.uniform(-1.0, 1.0, STEPS))
    return house_w, heater_w, pv_w


def side(limit_w: float, phases: int, battery: Battery | None) -> GridSide:
    return GridSide(np.full(STEPS, limit_w), phases, battery, STEP_S)


@given(powers(), LIMITS, PHASES, BATTERIES)
def test_power_balances_at_every_step(some, limit_w, phases, battery):
    house_w, heater_w, pv_w = some
    grid = side(limit_w, phases, battery).flows(house_w, heater_w, pv_w)
    used_w = house_w + heater_w + grid.battery_w
    assert np.allclose(pv_w + grid.import_w, used_w + grid.export_w + grid.curtailed_w, atol=1e-6)
    for flow in (grid.import_w, grid.export_w, grid.curtailed_w):
        assert flow.min() >= 0.0


@given(powers(), st.floats(0.0, 8000.0), PHASES, BATTERIES)
def test_no_more_is_exported_than_the_limit_allows_and_nothing_is_cut_below_it(
    some, limit_w, phases, battery
):
    grid = side(limit_w, phases, battery).flows(*some)
    assert grid.export_w.max() <= limit_w
    assert np.all(grid.export_w[grid.curtailed_w > 1e-9] == limit_w)


@given(powers(), PHASES, BATTERIES)
def test_a_limit_by_the_hour_takes_each_hour_by_itself(some, phases, battery):
    by_hour_w = np.where(np.arange(STEPS) % 96 < 48, 0.0, np.inf)
    grid = replace(side(0.0, phases, battery), export_limit_w=by_hour_w).flows(*some)
    assert np.all(grid.export_w[by_hour_w == 0.0] == 0.0)
    assert np.all(grid.curtailed_w[by_hour_w > 0.0] == 0.0)


@given(powers(), LIMITS, BATTERIES)
def test_phases_metered_one_by_one_never_import_less_than_metered_net(some, limit_w, battery):
    """What one phase spares cannot serve another, so import and export both grow by it."""
    net, each = (side(limit_w, phases, battery).flows(*some) for phases in (1, 3))
    assert np.all(each.import_w >= net.import_w - 1e-6)
    gained_w = each.export_w + each.curtailed_w - net.export_w - net.curtailed_w
    assert np.allclose(each.import_w - net.import_w, gained_w, atol=1e-6)
    assert np.allclose(each.battery_w, net.battery_w, atol=1e-6)


@given(powers(), LIMITS)
def test_without_a_water_heater_even_phases_are_as_good_as_net(some, limit_w):
    house_w, _, pv_w = some
    nothing_w = np.zeros(STEPS)
    net, each = (side(limit_w, n, None).flows(house_w, nothing_w, pv_w) for n in (1, 3))
    assert np.allclose(each.import_w, net.import_w, atol=1e-9)


@given(powers(), PHASES, BATTERIES)
def test_a_diverter_that_takes_what_is_spare_imports_nothing_more(some, phases, battery):
    """Spare sun of the heater's own phase; a battery that comes first keeps its share."""
    house_w, _, pv_w = some
    grid = side(np.inf, phases, battery)
    spare_w = grid.spare_w(house_w, pv_w)
    assert spare_w.min() >= -1e-9
    without, with_it = (grid.flows(house_w, each, pv_w) for each in (np.zeros(STEPS), spare_w))
    if battery is None or battery.first == "battery":
        assert with_it.import_w.sum() <= without.import_w.sum() + 1e-6
    at_once_w = np.maximum(0.0, (house_w - pv_w) / phases + spare_w)
    short_w = np.maximum(0.0, (house_w - pv_w) / phases)
    assert np.allclose(at_once_w, short_w, atol=1e-6)


@given(powers(), PHASES, st.floats(1.0, 20.0))
def test_the_water_gets_no_more_where_the_battery_comes_first(some, phases, capacity_kwh):
    house_w, _, pv_w = some
    first = {
        who: side(np.inf, phases, Battery(capacity_kwh=capacity_kwh, first=who))
        for who in ("water", "battery")
    }
    spare = {who: grid.spare_w(house_w, pv_w) for who, grid in first.items()}
    assert np.all(spare["battery"] <= spare["water"] + 1e-9)
    assert spare["water"].sum() == pytest.approx(
        np.maximum(0.0, pv_w - house_w).sum() / phases, abs=1e-6
    )


@given(powers(), LIMITS, PHASES, BATTERIES, st.floats(0.01, 1.0), st.floats(0.01, 1.0))
def test_a_heater_in_bursts_balances_and_buys_more_the_shorter_they_are(
    some, limit_w, phases, battery, share, shorter
):
    """At the same energy: less of a short burst meets the sun of the whole step."""
    house_w, heater_w, pv_w = some
    grid = side(limit_w, phases, battery)
    long, short = (
        grid.flows(house_w, heater_w, pv_w, np.full(STEPS, each))
        for each in (share, share * shorter)
    )
    for each in (long, short):
        used_w = house_w + heater_w + each.battery_w + each.export_w + each.curtailed_w
        assert np.allclose(pv_w + each.import_w, used_w, atol=1e-6)
    if battery is None:  # a battery fills and empties at other moments
        assert np.all(short.import_w >= long.import_w - 1e-6)


@given(powers(), LIMITS, PHASES, BATTERIES)
def test_a_burst_that_lasts_the_whole_step_is_steady(some, limit_w, phases, battery):
    grid = side(limit_w, phases, battery)
    for whole in (np.ones(STEPS), np.zeros(STEPS)):
        steady, burst = grid.flows(*some), grid.flows(*some, whole)
        assert np.allclose(steady.import_w, burst.import_w)
        assert np.allclose(steady.export_w, burst.export_w)
