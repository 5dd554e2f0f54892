"""What must hold of every option's costs over the years."""

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tankful.model.result import YearCost
from tankful.money.finance import (
    annuity_pv,
    capital_recovery_factor,
    internal_rate,
    net_present_value,
    real_rate,
)
from tankful.money.lifetime import (
    EquipmentCost,
    Finance,
    YearOneEnergy,
    add_costs,
    lifetime_costs,
    net_present_cost,
    payback_years,
    present_shares,
    shares_of_year,
)

amounts = st.floats(0.0, 10_000.0)
rates = st.floats(-0.05, 0.30)
lives = st.floats(1.0, 50.0)
finances = st.builds(
    Finance,
    horizon_years=st.integers(1, 40),
    discount_rate_real=rates,
    electricity_growth_real=st.floats(-0.2, 0.2),
    feed_in_growth_real=st.floats(-0.5, 0.2),
    gas_growth_real=st.floats(-0.2, 0.2),
)
equipments = st.builds(
    EquipmentCost,
    upfront=amounts,
    replacement=amounts,
    life_years=lives,
    first_replacement_year=lives,
    maintenance_per_year=st.floats(0.0, 500.0),
    one_off=amounts,
)
energies = st.builds(
    YearOneEnergy,
    electricity=st.floats(0.0, 2000.0),
    feed_in_lost=st.floats(0.0, 500.0),
    gas=st.floats(0.0, 2000.0),
)


@given(equipments, energies, finances)
def test_every_year_adds_up(
    equipment: EquipmentCost, energy: YearOneEnergy, finance: Finance
) -> None:
    costs = lifetime_costs(equipment, energy, finance)
    assert len(costs) == finance.horizon_years + 1
    for cost in costs:
        parts = cost.equipment + cost.electricity + cost.feed_in_lost + cost.gas
        assert cost.total == pytest.approx(parts + cost.maintenance + cost.residual, abs=1e-6)


@given(equipments, energies, finances)
def test_without_interest_the_present_cost_is_the_plain_sum(
    equipment: EquipmentCost, energy: YearOneEnergy, finance: Finance
) -> None:
    plain = Finance(finance.horizon_years, 0.0, finance.electricity_growth_real)
    costs = lifetime_costs(equipment, energy, plain)
    assert net_present_cost(costs) == pytest.approx(sum(c.total for c in costs), abs=1e-6)


@given(equipments, energies, st.integers(1, 40), rates, rates)
def test_present_cost_falls_as_the_rate_rises(
    equipment: EquipmentCost, energy: YearOneEnergy, horizon: int, one: float, other: float
) -> None:
    # A life that ends with the horizon leaves no credit at the end, so all flows are costs.
    life = horizon / max(1, round(horizon / equipment.life_years))
    costs_only = EquipmentCost(
        equipment.upfront, equipment.replacement, life, life, equipment.maintenance_per_year
    )
    low, high = sorted((one, other))
    cheap = net_present_cost(lifetime_costs(costs_only, energy, Finance(horizon, high)))
    dear = net_present_cost(lifetime_costs(costs_only, energy, Finance(horizon, low)))
    assert cheap <= dear + 1e-6


@given(equipments, energies, finances)
def test_residual_never_exceeds_the_price_of_a_unit(
    equipment: EquipmentCost, energy: YearOneEnergy, finance: Finance
) -> None:
    costs = lifetime_costs(equipment, energy, finance)
    assert all(cost.residual == 0.0 for cost in costs[:-1])
    dearest = max(equipment.upfront, equipment.replacement)
    assert -dearest - 1e-9 <= costs[-1].residual <= 0.0


@given(equipments, equipments, energies, finances)
def test_adding_options_adds_their_present_costs(
    one: EquipmentCost, other: EquipmentCost, energy: YearOneEnergy, finance: Finance
) -> None:
    parts = [lifetime_costs(unit, energy, finance) for unit in (one, other)]
    assert net_present_cost(add_costs(*parts)) == pytest.approx(
        sum(net_present_cost(costs) for costs in parts), abs=1e-6
    )


def paid(costs: tuple[YearCost, ...]) -> list[float]:
    return list(accumulate(cost.total - cost.residual for cost in costs))


@given(equipments, equipments, energies, energies, finances)
def test_payback_is_where_the_costs_meet_and_only_for_what_comes_out_ahead(
    one: EquipmentCost,
    other: EquipmentCost,
    energy_one: YearOneEnergy,
    energy_other: YearOneEnergy,
    finance: Finance,
) -> None:
    option = lifetime_costs(one, energy_one, finance)
    base = lifetime_costs(other, energy_other, finance)
    gap = [a - b for a, b in zip(paid(option), paid(base), strict=True)]
    # Sums that meet to the last digit may round either way.
    assume(all(abs(value) > 0.01 for value in gap))
    years = payback_years(option, base)
    dearer = net_present_cost(option) - net_present_cost(base)
    assume(abs(dearer) > 0.01)
    if dearer > 0.0:
        assert years is None
        return
    if years == 0.0:
        assert max(gap) < 0.0
        return
    left_over = sum(cost.total for cost in base) - sum(cost.total for cost in option)
    ends_ahead = gap[-1] < 0.0 or left_over >= -0.01
    renewed = [a.equipment - b.equipment for a, b in zip(option, base, strict=True)]
    falls = [
        j
        for j in range(1, len(gap))
        if gap[j] > 0.0 > gap[j - 1] and gap[j] - max(0.0, renewed[j]) > 0.0
    ]  # by running costs, not by a renewal
    if years is None:
        last = max(falls, default=next(k for k, value in enumerate(gap) if value > 0.0))
        assert left_over <= 0.01 or min(gap[last:]) > 0.0
    else:
        k = int(years)
        assert ends_ahead
        assert gap[k] > 0.0 > gap[k + 1]
        assert not [j for j in falls if j > k]
        assert gap[k] + (years - k) * (gap[k + 1] - gap[k]) == pytest.approx(0.0, abs=1e-6)


@given(rates, st.floats(0.5, 60.0))
def test_capital_recovery_repays_one(rate: float, years: float) -> None:
    assert annuity_pv(capital_recovery_factor(rate, years), rate, years) == pytest.approx(1.0)


@given(st.floats(1.0, 1e5), st.lists(st.floats(1.0, 1e4), min_size=1, max_size=40))
def test_internal_rate_makes_the_flows_worth_nothing(cost: float, income: list[float]) -> None:
    flows = [-cost, *income]
    rate = internal_rate(flows)
    if rate is not None:
        scale = sum(abs(flow) * (1 + rate) ** -k for k, flow in enumerate(flows))
        assert net_present_value(flows, rate) == pytest.approx(0.0, abs=1e-6 * scale)
    else:  # outside the range looked in: one sign change always has one rate
        assert net_present_value(flows, 10.0) > 0.0 or sum(income) < cost


@given(st.floats(-0.5, 1.0), st.floats(-0.1, 1.0))
def test_real_rate_and_inflation_compound_to_the_nominal(nominal: float, inflation: float) -> None:
    assert (1 + real_rate(nominal, inflation)) * (1 + inflation) == pytest.approx(1 + nominal)


moments = st.lists(st.floats(0.0, 45.0), max_size=4).map(sorted)


@given(moments, st.integers(1, 40))
def test_the_parts_of_a_year_add_up_to_it(at: list[float], year: int) -> None:
    shares = shares_of_year(year, at)
    assert len(shares) == len(at) + 1
    assert min(shares) >= 0.0
    assert sum(shares) == pytest.approx(1.0)


@given(moments, finances)
def test_what_the_years_are_worth_is_shared_out_whole(at: list[float], finance: Finance) -> None:
    assert sum(present_shares(at, finance)) == pytest.approx(1.0)


@given(equipments, energies, finances, moments)
def test_a_contract_that_goes_on_at_its_price_changes_nothing(
    equipment: EquipmentCost, energy: YearOneEnergy, finance: Finance, at: list[float]
) -> None:
    later = tuple((moment, energy.feed_in_lost) for moment in at)
    same = lifetime_costs(equipment, replace(energy, feed_in_later=later), finance)
    assert net_present_cost(same) == pytest.approx(
        net_present_cost(lifetime_costs(equipment, energy, finance)), abs=1e-6
    )


@given(finances, st.floats(0.0, 45.0), st.floats(0.0, 500.0), st.floats(0.0, 500.0))
def test_the_weights_of_a_search_are_those_of_the_lifetime(
    finance: Finance, moment: float, first: float, later: float
) -> None:
    nothing = EquipmentCost(0.0, 0.0, 1.0, 0.0, 0.0)

    def worth(energy: YearOneEnergy) -> float:
        return net_present_cost(lifetime_costs(nothing, energy, finance))

    before, after = present_shares([moment], finance)
    mean = before * first + after * later
    assert worth(YearOneEnergy(0.0, first, 0.0, ((moment, later),))) == pytest.approx(
        worth(YearOneEnergy(0.0, mean, 0.0)), abs=1e-6
    )
