"""Regulated offers and default plans."""

from __future__ import annotations

import numpy as np
import pytest

from tankful.casefile.offers import (
    STATES,
    default_electricity_tariff,
    default_gas_tariff,
    default_leaving_cost,
)
from tankful.clock import year_clock
from tankful.data.store import load_table, sources
from tankful.errors import CaseError
from tankful.model.tariff import ElectricityTariff, UsageCharge
from tankful.money.settle import electricity_bill, price_year

OWN_TABLES = (
    "state_notes",
    "default_tariffs",
    "controlled_load_hours",
    "stc_rules",
    "emission_factors",
)


@pytest.mark.parametrize(
    ("kwh", "price_per_kwh", "supply_per_day", "published_dollars", "to_the_cent"),
    [
        # AER, Default Market Offer 2026-27 final determination (as transcribed): yearly price
        # with tax of the Endeavour Energy and Ausgrid areas, published to the dollar.
        (4900, 0.337273, 1.85135, 2328, 2328.38),
        (3900, 0.331372, 1.662289, 1899, 1899.09),
    ],
)
def test_default_market_offer_is_reproduced(
    kwh: float,
    price_per_kwh: float,
    supply_per_day: float,
    published_dollars: int,
    to_the_cent: float,
) -> None:
    clock = year_clock(2027, "Australia/Sydney", 30, "AU", "NSW")
    tariff = ElectricityTariff(
        supply_per_day=supply_per_day, usage=(UsageCharge(price_per_kwh=price_per_kwh),)
    )
    shape = np.random.default_rng(1).random(clock.n_steps)
    nothing = np.zeros(clock.n_steps)
    bill = electricity_bill(shape * kwh / shape.sum(), nothing, nothing, price_year(tariff, clock))
    assert round(bill.total) == published_dollars
    assert round(bill.total, 2) == to_the_cent


def test_nsw_default_is_the_regulated_offer() -> None:
    tariff, source_id = default_electricity_tariff("NSW")
    assert source_id == "aer-dmo-2026-27-ausgrid"
    assert tariff.usage[0].price_per_kwh == 0.331372
    assert tariff.supply_per_day == 1.662289
    # IPART all-day benchmark 2026-27: 3.4 to 6.5 c/kWh (fact sheet).
    assert tariff.feed_in[0].price_per_kwh is not None
    assert 0.034 <= tariff.feed_in[0].price_per_kwh <= 0.065


def test_victorian_default_is_the_mean_of_the_five_areas() -> None:
    # ESC, Victorian Default Offer 2026-27, flat usage by area, c/kWh (as transcribed).
    areas = [31.98, 25.96, 27.47, 28.22, 27.35]
    tariff, _ = default_electricity_tariff("VIC")
    assert tariff.usage[0].price_per_kwh == pytest.approx(sum(areas) / 500, abs=5e-5)


def test_ausgrid_switching_hours_are_those_published() -> None:
    # Controlled Load 1 from July 2024, hours a day by season: winter 22:00-06:45 and
    # 10:00-16:45 = 8.75 + 6.75; October 7.25 + 6.75; November on 8.75 + 4.5.
    clock = year_clock(2027, "Australia/Sydney", 15, "AU", "NSW")
    load = default_electricity_tariff("NSW")[0].controlled_load
    assert load is not None
    on = np.any([window.mask(clock) for window in load.hours], axis=0)
    for month, hours in ((7, 15.5), (10, 14.0), (12, 13.25)):
        day = clock.clock_day == clock.clock_day[clock.clock_month == month][0] + 14
        assert on[day].sum() / 4 == hours


@pytest.mark.parametrize("state", STATES)
def test_every_state_has_a_plan_that_names_its_sources(state: str) -> None:
    tariff, source_id = default_electricity_tariff(state)
    gas, gas_id = default_gas_tariff(state)
    leaving, leaving_id = default_leaving_cost(state)
    assert {source_id, gas_id, leaving_id} <= set(sources())
    assert tariff.source
    assert gas.source
    # Common practice, no source: off-peak is cheaper than flat usage and dearer than feed-in.
    flat, paid = tariff.usage[0].price_per_kwh, tariff.feed_in[0].price_per_kwh
    assert flat is not None
    assert paid is not None
    assert 0.0 <= paid < flat
    if tariff.controlled_load is not None:
        assert paid < tariff.controlled_load.price_per_kwh < flat
    assert 0.0 < gas.blocks[0].price_per_mj < flat / 3.6
    assert leaving > 0.0


def test_the_leaving_charge_of_nsw_carries_tax() -> None:
    # Jemena reference tariff schedule 2026-27: 259.06 before tax; 259.06 x 1.1 = 284.966
    assert default_leaving_cost("NSW")[0] == pytest.approx(259.06 * 1.1, abs=0.005)


@pytest.mark.parametrize(
    "default", [default_electricity_tariff, default_gas_tariff, default_leaving_cost]
)
def test_a_place_without_default_asks_for_prices(default: object) -> None:
    assert callable(default)
    with pytest.raises(CaseError, match="mend: give"):
        default("Lisboa")


@pytest.mark.parametrize("table", OWN_TABLES)
def test_every_shipped_value_names_a_known_source(table: str) -> None:
    assert {row["source_id"] for row in load_table(table)} <= set(sources())
