"""What must hold of the inputs that flips, maps and futures turn."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from tankful import service
from tankful.advice.levers import reach_of
from tankful.advice.money_levers import money_levers
from tankful.advice.options import build_options
from tankful.model.home import Home
from tankful.model.tariff import FeedIn
from tankful.service import what_if

CASE = """
as_of = 2026-11-25
[simulation]
step_min = 60
[place]
postcode = "2480"
[[electricity.arrays]]
kw = 6.6
[electricity.tariff]
name = "Plain"
supply_per_day = 1.0
[[electricity.tariff.usage]]
price_per_kwh = 0.3
"""


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("home") / "home.toml"
    path.write_text(CASE)
    return path


@pytest.fixture(scope="module")
def home(path: Path) -> Home:
    return service.load_home(path)


def test_a_plan_that_pays_nothing_for_exports_still_has_their_price_as_an_input(path, home) -> None:
    assert home.electricity_tariff.feed_in == ()
    assert "feed-in" in dict(what_if.inputs(path))


def test_what_is_expected_lies_around_today() -> None:
    """Interest of nothing can only be higher, one of 10 % a year only lower."""
    none, high = reach_of("discount-rate", 0.0, "a year"), reach_of("discount-rate", 0.1, "a year")
    assert none is not None
    assert high is not None
    assert (none.p10, none.p90) == (0.0, 0.07)
    assert (high.p10, high.p90) == (0.02, 0.1)


def test_a_feed_in_of_other_money_reaches_by_shares() -> None:
    dollars, yen = reach_of("feed-in", 0.08, "AUD/kWh"), reach_of("feed-in", 8.0, "JPY/kWh")
    assert dollars is not None
    assert yen is not None
    assert dollars.high == 0.6
    assert yen.high == pytest.approx(40.0)
    assert yen.p10 == pytest.approx(100.0 * (dollars.p10 or 0.0))
    assert reach_of("feed-in", 0.0, "JPY/kWh") is None


def test_prices_before_and_after_a_contracts_end_turn_in_either_order(home) -> None:
    contract = FeedIn(price_per_kwh=0.44, until=date(2028, 6, 30))
    tariff = home.electricity_tariff.model_copy(update={"feed_in": (contract,)})
    bound = replace(home, electricity_tariff=tariff)
    levers = {item.key: item for item in money_levers(bound, build_options(bound)[0])}
    now, after = levers["feed-in"], levers["feed-in:after"]
    one, other = now.at(after.at(bound, 0.1), 0.3), after.at(now.at(bound, 0.3), 0.1)
    assert one.electricity_tariff == other.electricity_tariff
    (entry,) = one.electricity_tariff.feed_in
    assert (entry.price_per_kwh, entry.price_after_per_kwh) == (0.3, 0.1)
    assert now.known
