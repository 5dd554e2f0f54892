"""What must hold of flips, the decision map and futures, and how they agree with the answer."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankful import service
from tankful.advice.along import Landscape, costs_along, landscape_of
from tankful.advice.circumstances import TODAY, Circumstances, day_order, heater_in, home_in
from tankful.advice.compare import BASES, Comparison, compare
from tankful.advice.decision_map import find_map
from tankful.advice.flips import find_flips
from tankful.advice.futures import drawn, find_futures, uncertain_of
from tankful.advice.levers import Lever
from tankful.advice.money_levers import with_feed_in
from tankful.advice.options import build_options
from tankful.advice.price_turn import price_turn
from tankful.model.answer import OptionResult
from tankful.model.home import Home
from tankful.model.whatif import Flips

CENT = 0.005
CASE = """
as_of = 2026-11-25
[simulation]
step_min = 15
[place]
postcode = "2480"
[heater]
kind = "gas_storage"
age_years = 11.0
[[electricity.arrays]]
kw = 6.6
[[quotes]]
family = "heat_pump"
installed_price = 3850.0
"""


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Home:
    path: Path = tmp_path_factory.mktemp("home") / "home.toml"
    path.write_text(CASE)
    return with_feed_in(service.load_home(path))


@pytest.fixture(scope="module")
def land(home: Home) -> Landscape:
    return landscape_of(Comparison(home), build_options(home)[0])


@pytest.fixture(scope="module")
def results(home: Home) -> dict[str, OptionResult]:
    found = compare(Comparison(home), build_options(home)[0])
    return {item.id: item for item in found}


@pytest.fixture(scope="module")
def flips(land: Landscape) -> Flips:
    return find_flips(land)


def lever(land: Landscape, key: str) -> Lever:
    return next(item for item in land.levers if item.key == key)


def winner(home: Home) -> str:
    """The best option by the whole search."""
    return compare(Comparison(home), build_options(home)[0])[0].id


def test_todays_costs_are_the_answers_and_the_waterfalls_to_the_cent(land, results) -> None:
    costs = land.fine.cheapest(land.fine.trial_costs())
    for option, cost in zip(land.fine.options, costs, strict=True):
        assert cost == pytest.approx(results[option.id].net_present_cost, abs=CENT)
        assert cost == pytest.approx(results[option.id].waterfall.end, abs=2 * CENT)


def test_a_longer_step_is_corrected_to_agree_today(land) -> None:
    rough = land.rough.cheapest(land.rough.trial_costs())
    assert rough == pytest.approx(land.fine.cheapest(land.fine.trial_costs()), abs=CENT)


@given(st.sampled_from(["feed-in", "usage", "off-peak", "certificate-price"]), st.floats(0, 1))
@settings(max_examples=20, deadline=None)
def test_one_settings_cost_is_linear_in_a_price(land, key: str, share: float) -> None:
    turned = lever(land, key)
    low, high = turned.reach.low, turned.reach.high
    at = [
        land.fine.under(turned.at(land.fine.home, value)).trial_costs()
        for value in (low, low + share * (high - low), high)
    ]
    assert at[1] == pytest.approx(at[0] + share * (at[2] - at[0]), abs=1e-6)


def test_the_whole_search_agrees_on_both_sides_of_a_price_flip(land, flips) -> None:
    flip = next(item for item in flips.flips if item.key == "price:heat_pump")
    price = lever(land, flip.key)
    crossing = flip.above
    assert crossing is not None
    assert winner(price.at(land.fine.home, crossing.value - 20.0)) == flips.best_id
    assert winner(price.at(land.fine.home, crossing.value + 20.0)) == crossing.option_id


def test_the_price_that_turns_the_answer_is_the_flips_own(land, flips, results) -> None:
    """Those that buy the same get dearer together: here the runner-up is a heat pump too."""
    first, second, *_ = results.values()
    assert first.heater.kind == second.heater.kind == "heat_pump"
    flip = next(item for item in flips.flips if item.key == "price:heat_pump")
    turn = price_turn(land.fine.home, land.fine.options, tuple(results.values()))
    assert flip.above is not None
    assert turn is not None
    assert turn.above is not None
    assert (turn.label, turn.today, turn.high) == (flip.label, flip.today, flip.high)
    assert turn.above.option_id == flip.above.option_id
    assert turn.above.value == pytest.approx(flip.above.value, abs=CENT)
    assert results[turn.above.option_id].heater.kind != "heat_pump"


def test_the_whole_search_agrees_on_both_sides_of_a_feed_in_flip(land, flips) -> None:
    flip = next(item for item in flips.flips if item.key == "feed-in")
    price = lever(land, "feed-in")
    crossing = flip.below or flip.above
    assert crossing is not None
    away = -0.004 if flip.below else 0.004
    assert winner(price.at(land.fine.home, crossing.value - away)) == flips.best_id
    assert winner(price.at(land.fine.home, crossing.value + away)) == crossing.option_id


def test_the_whole_answer_agrees_on_both_sides_of_a_simulated_flip(land, flips) -> None:
    key = "heat-pump"
    flip = next(item for item in flips.flips if item.key == key)
    ways = [(way, end) for way, end in ((flip.below, flip.low), (flip.above, flip.high)) if way]
    assert flip.simulated
    assert ways
    for crossing, end in ways:
        away = 0.03 * (end - flip.today)
        assert winner_at(land, key, crossing.value - away) == flips.best_id
        assert winner_at(land, key, crossing.value + away) == crossing.option_id


def winner_at(land: Landscape, key: str, value: float) -> str:
    """The best of all options by the whole search, an input that is simulated at this value."""
    _, how = lever(land, key).turn(land.fine.home, TODAY, value)
    home = home_in(land.fine.home, how)
    options = [replace(o, heater=heater_in(o.heater, how)) for o in build_options(home)[0]]
    return compare(Comparison(home), tuple(options))[0].id


def test_another_life_of_todays_heater_costs_what_the_whole_answer_says(land) -> None:
    """Its renewal moves with it: half as long a life again puts off a new one by as much."""
    life = lever(land, "life:gas_storage")
    other = life.at(land.fine.home, 1.5 * life.today)
    found = {item.id: item for item in compare(Comparison(other), build_options(other)[0])}
    costs = land.fine.under(other)
    for option, cost in zip(land.fine.options, costs.cheapest(costs.trial_costs()), strict=True):
        assert cost == pytest.approx(found[option.id].net_present_cost, abs=CENT)


def test_the_map_shows_the_flips_where_they_are(land, flips) -> None:
    x, y = lever(land, "price:heat_pump"), lever(land, "certificate-price")
    xs = np.linspace(x.reach.low, x.reach.high, 301)
    ys = np.array([0.0, y.today, 60.0])
    found = find_map(land, x, y, xs, ys)
    flip = next(item for item in flips.flips if item.key == x.key)
    row = found.winner[1]
    best = found.option_ids.index(flips.best_id)
    beyond = xs[(xs > x.today) & (row != best)]
    assert flip.above is not None
    assert beyond.min() == pytest.approx(flip.above.value, abs=2 * (xs[1] - xs[0]))
    assert found.option_ids[row[xs == beyond.min()][0]] == flip.above.option_id


def test_turning_the_map_round_changes_nothing(land) -> None:
    x, y = lever(land, "feed-in"), lever(land, "discount-rate")
    xs, ys = np.linspace(0.0, 0.3, 7), np.linspace(0.01, 0.1, 5)
    one, other = find_map(land, x, y, xs, ys), find_map(land, y, x, ys, xs)
    assert one.margin == pytest.approx(other.margin.T)
    ids = np.array(one.option_ids)[one.winner]
    assert (ids == np.array(other.option_ids)[other.winner].T).all()
    assert (one.tie == (one.margin <= one.tie_margin)).all()


def test_sun_never_goes_through_a_diverter_where_off_peak_is_cheaper_than_exports_pay(land) -> None:
    """Common practice, no source: who is paid more for a kilowatt-hour than it costs at night
    sells it and heats at night. The tank is the same; the diverter costs more than a connection."""
    feed_in = lever(land, "feed-in")
    prices = np.linspace(0.25, 0.6, 15)
    costs = costs_along(land, feed_in, prices, land.fine.home).cheapest
    ids = [option.id for option in land.fine.options]
    night = land.fine.home.electricity_tariff.controlled_load.price_per_kwh
    assert night < prices.min()
    diverted, off_peak = (costs[:, ids.index(f"electric-{n}")] for n in ("diverter", "off-peak"))
    assert (diverted > off_peak).all()


def test_a_generous_feed_in_favours_the_heat_pump_over_the_diverter(land) -> None:
    feed_in = lever(land, "feed-in")
    costs = costs_along(land, feed_in, np.linspace(0.0, 0.6, 13), land.fine.home).cheapest
    ids = [option.id for option in land.fine.options]
    pumps = [i for i, name in enumerate(ids) if name.startswith("heat-pump")]
    lead = costs[:, ids.index("electric-diverter")] - costs[:, pumps].min(axis=1)
    assert (np.diff(lead) > 0.0).all()
    assert lead[-1] > 5000.0


def test_flips_are_sorted_and_lie_within_reason(flips) -> None:
    distances = [flip.distance for flip in flips.flips]
    assert distances == sorted(distances)
    for flip in flips.flips:
        if flip.below is not None:
            assert flip.low <= flip.below.value <= flip.today
        if flip.above is not None:
            assert flip.today <= flip.above.value <= flip.high
        for crossing in (flip.below, flip.above):
            if crossing is not None and crossing.clear_value is not None:
                further = abs(crossing.clear_value - flip.today)
                assert further >= abs(crossing.value - flip.today) - 1e-9


def test_other_weather_keeps_every_month_and_its_own_order(home) -> None:
    order = day_order(home.clock, 3)
    assert sorted(order) == list(range(365))
    assert (order != np.arange(365)).any()
    assert (day_order(home.clock, 3) == order).all()
    other = home_in(home, Circumstances(weather=3))
    month = home.clock.month
    for number in range(1, 13):
        chosen = month == number
        assert other.pv_w[chosen].sum() == pytest.approx(home.pv_w[chosen].sum())


def test_circumstances_scale_what_they_name(home) -> None:
    how = replace(TODAY, hot_water=1.3, house_use=0.5, panels=2.0, sun=1.1, air_k=1.0)
    other = home_in(home, how)
    assert other.draws.mixed_l.sum() == pytest.approx(1.3 * home.draws.mixed_l.sum())
    assert other.house_w.sum() == pytest.approx(0.5 * home.house_w.sum())
    assert other.pv_w.sum() == pytest.approx(2.2 * home.pv_w.sum())
    assert (other.temp_air_c - home.temp_air_c).mean() == pytest.approx(1.0)
    same = home_in(home, TODAY)
    assert (same.pv_w == home.pv_w).all()
    assert (same.draws.start_s == home.draws.start_s).all()


def test_more_hot_water_is_what_the_case_makes_of_more_litres(home, tmp_path: Path) -> None:
    """Not the same draws for longer: a tank is asked for them one at a time."""
    path = tmp_path / "home.toml"
    path.write_text(f"{CASE}\n[people]\nhot_litres_per_person_per_day = 80.0\n")
    usual = home.case.people.hot_litres_per_person_per_day
    turned = home_in(home, Circumstances(hot_water=80.0 / usual)).draws
    asked = service.load_home(path).draws
    assert (turned.start_s == asked.start_s).all()
    assert turned.mixed_l == pytest.approx(asked.mixed_l)
    assert turned.start_s.size > home.draws.start_s.size


def test_draws_follow_their_ranges_and_their_seed(land) -> None:
    uncertain = uncertain_of(land)
    values = drawn(uncertain, 400, seed=5)
    assert (values == drawn(uncertain, 400, seed=5)).all()
    assert (values != drawn(uncertain, 400, seed=6)).any()
    for i, item in enumerate(uncertain):
        assert item.reach.low <= values[:, i].min()
        assert values[:, i].max() <= item.reach.high
        if item.reach.p10 < item.today < item.reach.p90:
            # A Latin hypercube of 400 puts 40 in each tenth, give or take its last one.
            assert (values[:, i] < item.reach.p10).sum() == pytest.approx(40, abs=1)
            assert (values[:, i] > item.reach.p90).sum() == pytest.approx(40, abs=1)


def test_what_a_quote_says_is_known_and_what_a_plan_pays_may_fall(land) -> None:
    keys = {item.key for item in uncertain_of(land)}
    assert "price:heat_pump" in {item.key for item in land.levers}
    assert "price:heat_pump" not in keys
    assert {"price:electric_storage", "feed-in", "usage"} <= keys


def test_futures_are_shares_and_ranges_of_paired_draws(land) -> None:
    found = find_futures(land, draws=24, seed=2)
    assert sum(option.best_share for option in found.options) == pytest.approx(1.0)
    for option in found.options:
        assert 0.0 <= option.best_share <= option.near_best_share <= 1.0
        assert option.saving_p10 <= option.saving_p50 <= option.saving_p90
        assert option.regret_mean >= 0.0
    base = next(option for option in found.options if option.id == found.base_id)
    assert (base.saving_p10, base.saving_p90) == (0.0, 0.0)
    assert found.base_id == BASES[0]
    assert all(0.0 <= driver.share <= 1.0 for driver in found.drivers)
    shares = [driver.share for driver in found.drivers]
    assert shares == sorted(shares, reverse=True)
    assert found == find_futures(land, draws=24, seed=2)


def test_a_certain_future_is_todays_answer(land) -> None:
    """With every range shut to today's value, weather apart, the best of today stays the best."""
    sure = tuple(
        replace(item, reach=replace(item.reach, p10=item.today, p90=item.today))
        for item in land.levers
    )
    found = find_futures(replace(land, levers=sure), draws=20, seed=1)
    best = next(option for option in found.options if option.id == found.best_id)
    assert best.near_best_share > 0.9
