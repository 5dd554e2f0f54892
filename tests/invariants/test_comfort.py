"""Comfort read off a year: cold draws and cold litres of showers and baths."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankful.clock import year_clock
from tankful.simulate.comfort import COLD_BY_K, cold_events, cold_litres, felt_draws
from tankful.use.draws import FELT_L, Draws, draws_on_steps

CLOCK = year_clock(2027, "Australia/Sydney", 15, "AU", "NSW")


def draws(*events: tuple[float, float, float]) -> Draws:
    """Events of (start in minutes, minutes, litres) at 40 degC."""
    start, minutes, litres = (np.array(column, dtype=float) for column in zip(*events, strict=True))
    return Draws(
        start_s=start * 60.0,
        duration_s=minutes * 60.0,
        mixed_l=litres,
        wanted_c=np.full(start.size, 40.0),
        fixture=np.zeros(start.size, dtype=np.int64),
        fixture_names=("shower",),
        cold_reference_c=15.0,
        source_id="judgement",
    )


def outlet(*cold_steps: int) -> np.ndarray:
    """Water as wanted but on the steps named, where it comes 5 K too cold."""
    outlet_c = np.full(CLOCK.n_steps, 40.0)
    outlet_c[list(cold_steps)] = 35.0
    return outlet_c


def test_only_the_part_of_a_shower_that_came_cold_counts_in_litres():
    """60 L over two steps, a third of them in the second, which comes cold."""
    steps = draws_on_steps(draws((5.0, 15.0, 60.0)), CLOCK)
    assert cold_events(outlet(1), steps) == 1
    assert cold_litres(outlet(1), steps) == pytest.approx(20.0)
    assert cold_litres(outlet(0, 1), steps) == pytest.approx(60.0)


def test_a_short_tap_in_the_same_step_is_not_felt():
    steps = draws_on_steps(draws((1.0, 5.0, 40.0), (2.0, 1.0, FELT_L - 1.0)), CLOCK)
    assert cold_litres(outlet(0), steps) == pytest.approx(40.0)
    assert felt_draws(steps) == 1


def test_water_within_the_margin_is_not_cold():
    steps = draws_on_steps(draws((1.0, 5.0, 40.0)), CLOCK)
    near = np.full(CLOCK.n_steps, 40.0 - COLD_BY_K + 0.01)
    assert cold_litres(near, steps) == 0.0
    assert cold_litres(np.full(CLOCK.n_steps, np.nan), steps) == 0.0


@given(
    st.lists(
        st.tuples(st.floats(0.0, 500_000.0), st.floats(0.0, 60.0), st.floats(0.1, 200.0)),
        min_size=1,
        max_size=20,
    ),
    st.integers(0, 2**32 - 1),
)
def test_cold_litres_lie_between_nought_and_all_that_is_felt(events, seed):
    some = draws(*events)
    steps = draws_on_steps(some, CLOCK)
    felt_l = some.mixed_l[some.mixed_l >= FELT_L].sum()
    assert steps.felt_kg.sum() == pytest.approx(felt_l, rel=1e-9, abs=1e-9)
    assert np.all(steps.felt_kg <= steps.mixed_kg + 1e-9)
    outlet_c = np.random.default_rng(seed).uniform(30.0, 40.0, CLOCK.n_steps)
    litres = cold_litres(outlet_c, steps)
    assert 0.0 <= litres <= felt_l + 1e-6
    assert (litres > 0.0) == (cold_events(outlet_c, steps) > 0)
