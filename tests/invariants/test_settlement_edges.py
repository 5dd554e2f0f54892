"""Edges of settlement: step lengths, the controlled circuit, wrong input, gas."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankful.clock import year_clock
from tankful.model.tariff import (
    ControlledLoad,
    DemandCharge,
    ElectricityTariff,
    GasBlock,
    GasTariff,
    UsageCharge,
)
from tankful.model.window import Window
from tankful.money.gas import gas_bill
from tankful.money.settle import (
    bill_metered,
    electricity_bill,
    meter_year,
    price_year,
)

TZ, YEAR = "Australia/Adelaide", 2027
HOURLY = year_clock(YEAR, TZ, 60, "AU", "SA")
prices = st.floats(0.0, 2.0).map(lambda value: round(value, 4))
ends = st.floats(0.5, 40.0).map(lambda value: round(value, 2))


@pytest.mark.parametrize("step_min", [1, 4, 12, 20, 60])
def test_demand_of_a_steady_load_is_that_load_at_every_step(step_min: int) -> None:
    clock = year_clock(YEAR, TZ, step_min, "AU", "SA")
    tariff = ElectricityTariff(
        supply_per_day=0.0,
        usage=(UsageCharge(price_per_kwh=0.0),),
        demand=(DemandCharge(start="15:00", end="21:00", price_per_kw_per_day=0.1),),
    )
    nothing = np.zeros(clock.n_steps)
    steady = np.full(clock.n_steps, 3.0 * step_min / 60)
    bill = electricity_bill(steady, nothing, nothing, price_year(tariff, clock))
    assert bill.total == pytest.approx(3.0 * 0.1 * 365)


def test_controlled_circuit_is_charged_when_used_or_asked_for() -> None:
    load = ControlledLoad(supply_per_day=0.10, price_per_kwh=0.2, hours=(Window(),))
    tariff = ElectricityTariff(
        supply_per_day=1.0, usage=(UsageCharge(price_per_kwh=0.3),), controlled_load=load
    )
    priced = price_year(tariff, HOURLY)
    nothing, some = np.zeros(HOURLY.n_steps), np.full(HOURLY.n_steps, 0.1)
    assert electricity_bill(nothing, nothing, nothing, priced).total == pytest.approx(365.0)
    asked = electricity_bill(nothing, nothing, nothing, priced, with_controlled_circuit=True)
    assert asked.total == pytest.approx(365.0 + 36.5)
    used = electricity_bill(nothing, nothing, some, priced)
    assert used.total == pytest.approx(365 + 36.5 + 876 * 0.2)
    with pytest.raises(ValueError, match="not there"):
        electricity_bill(nothing, nothing, some, priced, with_controlled_circuit=False)
    bare = price_year(tariff.model_copy(update={"controlled_load": None}), HOURLY)
    with pytest.raises(ValueError, match="no controlled load"):
        electricity_bill(nothing, nothing, some, bare)


def test_wrong_series_are_refused() -> None:
    tariff = ElectricityTariff(supply_per_day=1.0, usage=(UsageCharge(price_per_kwh=0.3),))
    priced = price_year(tariff, HOURLY)
    good = np.zeros(HOURLY.n_steps)
    for bad in (np.nan, np.inf, -1.0):
        broken = good.copy()
        broken[7] = bad
        for series in ((broken, good, good), (good, broken, good), (good, good, broken)):
            with pytest.raises(ValueError, match="finite and not negative"):
                electricity_bill(*series, priced)
    with pytest.raises(ValueError, match="shape"):
        electricity_bill(good[:-1], good, good, priced)
    metered = meter_year(good, good, good, priced)
    two = tariff.model_copy(update={"usage": tariff.usage * 2})
    with pytest.raises(ValueError, match="not read"):
        bill_metered(metered, two)


@given(
    st.integers(0, 2**32 - 1),
    st.lists(ends, max_size=3, unique=True),
    st.lists(prices, min_size=4, max_size=4),
)
@settings(max_examples=25, deadline=None)
def test_more_gas_never_costs_less(seed: int, edges: list[float], four: list[float]) -> None:
    tariff = GasTariff(
        supply_per_day=0.8,
        blocks=(
            *(
                GasBlock(up_to_mj_per_day=end, price_per_mj=price)
                for end, price in zip(sorted(edges), four, strict=False)
            ),
            GasBlock(price_per_mj=four[-1]),
        ),
    )
    rng = np.random.default_rng(seed)
    gas_mj = rng.gamma(0.5, 4.0, HOURLY.n_steps)
    other = rng.gamma(1.0, 900.0, 12)
    alone = gas_bill(gas_mj, tariff, HOURLY).total
    together = gas_bill(gas_mj, tariff, HOURLY, other_use_mj_by_month=other).total
    assert together >= alone - 1e-6
    assert gas_bill(2 * gas_mj, tariff, HOURLY).total >= alone - 1e-6
