"""Costs over the years compared, against arithmetic written out by hand."""

from __future__ import annotations

import pytest

from tankful.money.lifetime import (
    EquipmentCost,
    Finance,
    YearOneEnergy,
    add_costs,
    levelised_per_kl,
    levelised_per_kwh,
    lifetime_costs,
    net_present_cost,
    payback_years,
    replacement_times,
    residual_value,
)

NO_ENERGY = YearOneEnergy(electricity=0.0, feed_in_lost=0.0, gas=0.0)


def test_a_life_of_seven_and_a_half_years_over_ten() -> None:
    unit = EquipmentCost(
        upfront=3000.0,
        replacement=4000.0,
        life_years=7.5,
        first_replacement_year=7.5,
        maintenance_per_year=20.0,
        one_off=100.0,
    )
    energy = YearOneEnergy(electricity=200.0, feed_in_lost=10.0, gas=-50.0)
    finance = Finance(
        horizon_years=10,
        discount_rate_real=0.04,
        electricity_growth_real=0.02,
        feed_in_growth_real=-0.10,
        gas_growth_real=0.03,
    )
    costs = lifetime_costs(unit, energy, finance)
    assert [cost.year for cost in costs] == list(range(11))
    # Year 0: 3000 + 100. Year 3: 200 x 1.02^2 = 208.08; 10 x 0.9^2 = 8.10;
    # -50 x 1.03^2 = -53.045; upkeep 20; total 183.135; / 1.04^3 = 1.124864 -> 162.806348
    assert costs[0].total == costs[0].discounted == 3100.0
    assert costs[3].electricity == pytest.approx(208.08)
    assert costs[3].feed_in_lost == pytest.approx(8.10)
    assert costs[3].gas == pytest.approx(-53.045)
    assert costs[3].total == pytest.approx(183.135)
    assert costs[3].discounted == pytest.approx(162.806348, abs=1e-6)
    # The replacement at 7.5 stands in year 8, discounted by 1.04^7.5 = 1.341987 -> 2980.65.
    assert [cost.equipment for cost in costs[1:]] == [0.0] * 7 + [4000.0] + [0.0] * 2
    running = costs[8].total - 4000.0
    assert costs[8].discounted - running / 1.04**8 == pytest.approx(2980.65, abs=0.01)
    # The second unit would last to 15: 5 of its 7.5 years are left, 4000 x 5 / 7.5 = 2666.67
    assert costs[10].residual == pytest.approx(-2666.666667)


def test_keeping_what_is_there_pays_when_it_fails() -> None:
    kept = EquipmentCost(0.0, 1800.0, 12.0, 4.0, 0.0)
    finance = Finance(horizon_years=15, discount_rate_real=0.0)
    costs = lifetime_costs(kept, NO_ENERGY, finance)
    # Bought at 4; the next would be due at 16. At 15 one of twelve years is left: 150.
    assert [cost.year for cost in costs if cost.equipment] == [4]
    assert net_present_cost(costs) == pytest.approx(1800.0 - 150.0)
    failed = lifetime_costs(EquipmentCost(0.0, 1800.0, 15.0, 0.0, 0.0), NO_ENERGY, finance)
    assert failed[0].equipment == 1800.0
    assert net_present_cost(failed) == 1800.0


def test_nothing_is_bought_at_the_very_end() -> None:
    for life in (5.0, 7.5, 15.0, 15.0 / 7):
        unit = EquipmentCost(1000.0, 1000.0, life, life, 0.0)
        times = replacement_times(unit, 15)
        assert len(times) == round(15 / life) - 1
        assert residual_value(unit, 15) == 0.0
    longer = EquipmentCost(2000.0, 2000.0, 20.0, 20.0, 0.0, one_off=500.0)
    # 5 of 20 years are left of 2000; the one-off is gone.
    assert residual_value(longer, 15) == 500.0


def test_payback_is_simple_and_without_residual() -> None:
    finance = Finance(horizon_years=12, discount_rate_real=0.05)
    option = lifetime_costs(EquipmentCost(2400.0, 2400.0, 20.0, 20.0, 0.0), NO_ENERGY, finance)
    dear = lifetime_costs(
        EquipmentCost(0.0, 0.0, 20.0, 20.0, 0.0), YearOneEnergy(400.0, 0.0, 0.0), finance
    )
    assert payback_years(option, dear) == pytest.approx(6.0)
    # The base must buy a new heater for 1800 within the third year: behind by 1600 after two
    # years, ahead by 600 after three: 2 + 1600 / 2200 = 2.7273
    failing = lifetime_costs(
        EquipmentCost(0.0, 1800.0, 20.0, 3.0, 0.0), YearOneEnergy(400.0, 0.0, 0.0), finance
    )
    assert payback_years(option, failing) == pytest.approx(2 + 1600 / 2200)
    # Cheaper at the start, level after six years, dearer from then on: it never pays back.
    assert payback_years(dear, option) is None
    assert payback_years(option, option) == 0.0
    none = lifetime_costs(EquipmentCost(0.0, 0.0, 20.0, 20.0, 0.0), NO_ENERGY, finance)
    assert payback_years(option, none) is None  # its residual would not pay it back either


def test_an_option_that_costs_nothing_now_and_more_every_year_never_pays_back() -> None:
    finance = Finance(horizon_years=10, discount_rate_real=0.0)
    nothing = EquipmentCost(0.0, 0.0, 20.0, 20.0, 0.0)
    cheap, dear = (
        lifetime_costs(nothing, YearOneEnergy(cost, 0.0, 0.0), finance) for cost in (500.0, 700.0)
    )
    assert payback_years(dear, cheap) is None
    assert payback_years(cheap, dear) == 0.0


def test_what_is_dearer_in_the_end_is_not_paid_back_on_the_way() -> None:
    """120 now against 10 a year: level after 12 years by the plain sum. At 4 % the ten a year
    for 15 years are worth 111.18 (annuity factor 11.1184), so the 120 are never earned."""
    option = lifetime_costs(
        EquipmentCost(120.0, 0.0, 15.0, 15.0, 0.0), NO_ENERGY, Finance(15, 0.04)
    )
    base = lifetime_costs(
        EquipmentCost(0.0, 0.0, 15.0, 15.0, 0.0), YearOneEnergy(10.0, 0.0, 0.0), Finance(15, 0.04)
    )
    assert net_present_cost(base) == pytest.approx(111.18, abs=0.01)
    assert payback_years(option, base) is None
    plain = Finance(15, 0.0)
    option = lifetime_costs(EquipmentCost(120.0, 0.0, 15.0, 15.0, 0.0), NO_ENERGY, plain)
    base = lifetime_costs(
        EquipmentCost(0.0, 0.0, 15.0, 15.0, 0.0), YearOneEnergy(10.0, 0.0, 0.0), plain
    )
    assert payback_years(option, base) == pytest.approx(12.0)


def test_payback_leaves_out_what_the_base_could_sell() -> None:
    finance = Finance(horizon_years=10, discount_rate_real=0.0)
    option = lifetime_costs(EquipmentCost(2050.0, 2050.0, 40.0, 40.0, 0.0), NO_ENERGY, finance)
    base = lifetime_costs(
        EquipmentCost(0.0, 2000.0, 20.0, 1.0, 0.0), YearOneEnergy(5.2, 0.0, 0.0), finance
    )
    # Behind by 50 - 5.2 k after k years, so level at 50 / 5.2 = 9.6154, in the last year, in
    # which the base's tank is worth 2000 x 11 / 20 = 1100 and its own 2050 x 30 / 40 = 1537.50.
    assert base[10].residual == -1100.0
    assert option[10].residual == -1537.5
    assert payback_years(option, base) == pytest.approx(50 / 5.2)


def test_a_renewal_of_its_own_does_not_take_back_a_payback() -> None:
    """1,000 now, 200 saved a year: paid back after five years. The next unit, 1,000 after six of
    fifteen years, puts the sums behind until ten, but was bought to save again."""
    plain = Finance(horizon_years=15, discount_rate_real=0.0)
    option = lifetime_costs(EquipmentCost(1000.0, 1000.0, 6.0, 6.0, 0.0), NO_ENERGY, plain)
    base = lifetime_costs(
        EquipmentCost(0.0, 0.0, 20.0, 20.0, 0.0), YearOneEnergy(200.0, 0.0, 0.0), plain
    )
    assert [cost.year for cost in option if cost.equipment] == [0, 6, 12]
    assert payback_years(option, base) == pytest.approx(5.0)


def test_levelised_cost_spreads_the_present_cost_evenly() -> None:
    # 4200 at 5 % over 12 years = 473.867 a year (capital recovery 0.1128254), plus 320 a year:
    # 793.867 / 2600 kWh = 0.305333; / 45 kL = 17.6415 (arithmetic).
    finance = Finance(horizon_years=12, discount_rate_real=0.05)
    unit = EquipmentCost(4200.0, 4200.0, 12.0, 12.0, 50.0)
    costs = lifetime_costs(unit, YearOneEnergy(270.0, 0.0, 0.0), finance)
    assert levelised_per_kwh(costs, finance, heat_kwh_per_year=2600.0) == pytest.approx(
        0.305333, abs=1e-6
    )
    assert levelised_per_kl(costs, finance, hot_water_kl_per_year=45.0) == pytest.approx(
        17.6415, abs=1e-4
    )


def test_parts_with_lives_of_their_own_add_up() -> None:
    finance = Finance(horizon_years=10, discount_rate_real=0.03)
    tank = lifetime_costs(EquipmentCost(1500.0, 1500.0, 12.0, 12.0, 10.0), NO_ENERGY, finance)
    box = lifetime_costs(EquipmentCost(900.0, 900.0, 8.0, 8.0, 5.0), NO_ENERGY, finance)
    both = add_costs(tank, box)
    assert [cost.year for cost in both] == list(range(11))
    assert both[0].equipment == 2400.0
    assert both[5].maintenance == 15.0
    assert net_present_cost(both) == pytest.approx(net_present_cost(tank) + net_present_cost(box))


def test_impossible_lives_and_horizons_are_refused() -> None:
    with pytest.raises(ValueError, match="life"):
        EquipmentCost(1.0, 1.0, 0.0, 0.0, 0.0)
    with pytest.raises(ValueError, match="past"):
        EquipmentCost(1.0, 1.0, 5.0, -1.0, 0.0)
    with pytest.raises(ValueError, match="year"):
        Finance(horizon_years=0, discount_rate_real=0.0)
