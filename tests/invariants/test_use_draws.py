"""Draws keep their litres, their order and their place on the clock."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankful.clock import month_of_day, year_clock
from tankful.use.draws import YEAR_S, Draws, draws_on_steps
from tankful.use.household import household_draws
from tankful.use.patterns import standard_draws, standard_names

STEPS_MIN = (1, 2, 3, 4, 5, 6, 10, 12, 15, 20, 30, 60)
CLOCK = year_clock(2027, "Australia/Sydney", 5, "AU", "NSW")


def _events(rows: list[tuple[float, float, float, float]]) -> Draws:
    start_s, duration_s, mixed_l, wanted_c = (
        np.array(column) for column in zip(*rows, strict=True)
    )
    start_s = np.minimum(start_s, YEAR_S - np.maximum(duration_s, 1.0))
    fixture = np.zeros(start_s.size, dtype=np.int64)
    return Draws(start_s, duration_s, mixed_l, wanted_c, fixture, ("tap",), 15.0, "judgement")


EVENTS = st.lists(
    st.tuples(
        st.floats(0, YEAR_S) | st.integers(0, YEAR_S // 60).map(lambda i: i * 60.0),
        st.floats(0, 7200) | st.integers(0, 120).map(lambda i: i * 60.0),
        st.floats(0.01, 400),
        st.floats(30, 60),
    ),
    min_size=1,
    max_size=40,
).map(_events)


@given(draws=EVENTS, step_min=st.sampled_from(STEPS_MIN))
def test_no_litre_and_no_heat_is_lost_on_any_step(draws, step_min):
    steps = draws_on_steps(draws, year_clock(2027, "Australia/Sydney", step_min, "AU", "NSW"))
    assert steps.mixed_kg.sum() == pytest.approx(draws.mixed_l.sum(), rel=1e-12)
    heat = (draws.mixed_l * draws.wanted_c).sum()
    assert (steps.mixed_kg * steps.wanted_c).sum() == pytest.approx(heat, rel=1e-12)
    assert (steps.mixed_kg >= 0).all()
    drawn = steps.mixed_kg > 0
    assert (steps.wanted_c[~drawn] == 0).all()
    assert steps.wanted_c[drawn].min() >= draws.wanted_c.min() - 1e-9
    assert steps.wanted_c[drawn].max() <= draws.wanted_c.max() + 1e-9


@given(draws=EVENTS, step_min=st.sampled_from(STEPS_MIN))
def test_a_draw_touches_only_its_own_steps(draws, step_min):
    clock = year_clock(2027, "Australia/Sydney", step_min, "AU", "NSW")
    steps = draws_on_steps(draws, clock)
    first, last = steps.event_step_start, steps.event_step_end
    assert (first >= 0).all()
    assert (first <= last).all()
    assert (last < clock.n_steps).all()
    assert (first * clock.step_s <= draws.start_s).all()
    assert ((last + 1) * clock.step_s >= draws.start_s + draws.duration_s - 1e-6).all()
    touched = np.zeros(clock.n_steps, dtype=bool)
    for a, b in zip(first, last, strict=True):
        touched[a : b + 1] = True
    assert not steps.mixed_kg[~touched].any()


@given(draws=EVENTS, fine=st.sampled_from([1, 2, 3, 5, 6, 10]))
def test_a_coarse_step_holds_what_its_fine_steps_hold(draws, fine):
    clocks = [year_clock(2027, "Australia/Sydney", m, "AU", "NSW") for m in (fine, 60)]
    small, large = (draws_on_steps(draws, clock).mixed_kg for clock in clocks)
    np.testing.assert_allclose(small.reshape(8760, -1).sum(axis=1), large, atol=1e-8)


def test_a_draw_outside_the_year_is_refused():
    outside = _events([(0.0, 60.0, 1.0, 40.0)])
    for start_s in (-1.0, YEAR_S - 59.0, YEAR_S + 0.0, np.inf):
        outside.start_s[0] = start_s
        with pytest.raises(ValueError, match="outside the year"):
            draws_on_steps(outside, CLOCK)


@given(
    people=st.integers(1, 20),
    litres=st.floats(5, 200),
    seed=st.integers(0, 10_000_000),
    season=st.booleans(),
    southern=st.booleans(),
    habits=st.sampled_from(["mixed", "morning", "evening", "day"]),
)
def test_a_household_draws_exactly_the_litres_asked_for(
    people, litres, seed, season, southern, habits
):
    draws = household_draws(
        CLOCK,
        people,
        hot_litres_per_person_per_day=litres,
        seed=seed,
        season=season,
        southern=southern,
        habits=habits,
    )
    hot_l = (draws.mixed_l * (draws.wanted_c - 15.0) / 45.0).sum()
    assert hot_l == pytest.approx(people * litres * 365, rel=1e-9)
    assert (np.diff(draws.start_s) >= 0).all()
    assert draws_on_steps(draws, CLOCK).mixed_kg.sum() == pytest.approx(draws.mixed_l.sum())


def test_the_same_seed_gives_the_same_draws_and_another_seed_others():
    one, again, other = (household_draws(CLOCK, 3, seed=seed) for seed in (7, 7, 8))
    np.testing.assert_array_equal(one.start_s, again.start_s)
    np.testing.assert_array_equal(one.mixed_l, again.mixed_l)
    assert not np.array_equal(one.start_s[:100], other.start_s[:100])


def test_more_people_shower_more_often():
    counts = []
    for people in (1, 2, 4, 8):
        draws = household_draws(CLOCK, people)
        counts.append((draws.fixture == draws.fixture_names.index("shower")).sum())
    np.testing.assert_allclose(np.array(counts) / counts[0], [1, 2, 4, 8], rtol=0.01)


def test_nearly_every_day_has_about_as_many_showers_as_people():
    draws = household_draws(CLOCK, 4, season=False)
    shower = draws.fixture == draws.fixture_names.index("shower")
    a_day = np.bincount((draws.start_s[shower] // 86400).astype(int), minlength=365)
    assert a_day.mean() == pytest.approx(3.6, abs=0.01)
    assert ((a_day >= 1) & (a_day <= 7)).mean() > 0.98


def test_people_shower_by_the_clock_on_the_wall_in_summer_and_winter():
    draws = household_draws(CLOCK, 8, habits="morning")
    shower = draws.fixture == draws.fixture_names.index("shower")
    step = (draws.start_s[shower] // CLOCK.step_s).astype(int)
    hour = CLOCK.clock_minute[step] / 60
    weekday = (CLOCK.clock_weekday[step] < 5) & ~CLOCK.holiday[step]
    early = weekday & (hour > 4) & (hour < 10)
    month = month_of_day(2027)[(draws.start_s[shower] // 86400).astype(int)]
    for m in (1, 7):
        assert np.median(hour[early & (month == m)]) == pytest.approx(6.9, abs=0.15)
    weekend = np.median(hour[~weekday & (hour > 4) & (hour < 12)])
    assert weekend > np.median(hour[early]) + 1.0


@pytest.mark.parametrize(
    ("habits", "first_h", "last_h"), [("morning", 4, 11), ("day", 10, 17), ("evening", 17, 24)]
)
def test_habits_say_when_most_showers_are_taken(habits, first_h, last_h):
    draws = household_draws(CLOCK, 4, habits=habits)
    shower = draws.fixture == draws.fixture_names.index("shower")
    hour = CLOCK.clock_minute[(draws.start_s[shower] // CLOCK.step_s).astype(int)] / 60
    assert ((hour >= first_h) & (hour < last_h)).mean() > 0.5


def test_winter_takes_more_than_summer_and_not_so_without_the_season():
    draws = household_draws(CLOCK, 20)
    flat = household_draws(CLOCK, 20, season=False)

    def july_over_january(these: Draws) -> float:
        month = month_of_day(2027)[(these.start_s // 86400).astype(int)]
        return these.mixed_l[month == 7].sum() / these.mixed_l[month == 1].sum()

    # SAP 2012 Table 1c: 1.10 over 0.90; random baths leave a few percent.
    assert july_over_january(draws) == pytest.approx(1.10 / 0.90, rel=0.05)
    assert july_over_january(flat) == pytest.approx(1.0, abs=0.05)


def test_wrong_households_are_refused():
    for people, litres, habits in ((0, 50, "mixed"), (2, 0, "mixed"), (2, 50, "midnight")):
        with pytest.raises(ValueError, match="draw"):
            household_draws(CLOCK, people, hot_litres_per_person_per_day=litres, habits=habits)


@pytest.mark.parametrize("name", standard_names())
def test_a_standard_year_fits_any_step(name):
    for step_min in (1, 60):
        clock = year_clock(2027, "Australia/Sydney", step_min, "AU", "NSW")
        draws = standard_draws(clock, name)
        assert draws_on_steps(draws, clock).mixed_kg.sum() == pytest.approx(draws.mixed_l.sum())
