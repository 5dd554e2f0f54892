"""A feed-in contract that ends, worked by hand."""

from __future__ import annotations

from datetime import date

import pytest

from tankful.model.tariff import ElectricityTariff
from tankful.money.lifetime import (
    EquipmentCost,
    Finance,
    YearOneEnergy,
    lifetime_costs,
    net_present_cost,
)

NOTHING = EquipmentCost(0.0, 0.0, 1.0, 0.0, 0.0)


def test_the_year_in_which_a_contract_ends_is_paid_by_parts() -> None:
    """By hand: 100 kWh given up a year at 0.60 for a year and a half, then at 0.05: 60, then
    half of 60 and half of 5, then 5. At 10 %: 60/1.1 + 32.5/1.21 + 5/1.331 = 85.1615."""
    energy = YearOneEnergy(0.0, 60.0, 0.0, feed_in_later=((1.5, 5.0),))
    costs = lifetime_costs(NOTHING, energy, Finance(3, 0.10))
    assert [cost.feed_in_lost for cost in costs] == pytest.approx([0.0, 60.0, 32.5, 5.0])
    assert net_present_cost(costs) == pytest.approx(85.1615, abs=5e-4)


PLAN = {
    "supply_per_day": 1.0,
    "usage": [{"price_per_kwh": 0.30}],
    "feed_in": [
        {"price_per_kwh": 0.60, "until": date(2028, 6, 30), "price_after_per_kwh": 0.05},
        {"price_per_kwh": 0.10, "start": "15:00", "end": "21:00", "until": date(2027, 1, 1)},
        {"price_per_kwh": 0.02},
    ],
}


def test_a_plan_pays_by_the_day_and_ends_with_its_last_day() -> None:
    plan = ElectricityTariff.model_validate(PLAN)
    prices = {
        day: [entry.price_per_kwh for entry in plan.on(day).feed_in]
        for day in (date(2027, 1, 1), date(2027, 1, 2), date(2028, 6, 30), date(2028, 7, 1))
    }
    assert list(prices.values()) == [
        [0.60, 0.10, 0.02],
        [0.60, 0.0, 0.02],
        [0.60, 0.0, 0.02],
        [0.05, 0.0, 0.02],
    ]
    assert plan.changes_after(date(2026, 7, 1)) == (date(2027, 1, 2), date(2028, 7, 1))
    assert plan.changes_after(date(2028, 6, 30)) == (date(2028, 7, 1),)
    assert plan.changes_after(date(2028, 7, 1)) == ()
