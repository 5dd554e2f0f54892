"""Shipped equipment values against where they come from."""

from __future__ import annotations

import pytest

from tankful.casefile.defaults import (
    annual_use_from_bill,
    equipment_values,
    tank_loss_w_per_k,
    usual_house_kwh,
    usual_tank_l,
)
from tankful.model.case import Family

LOSSES = [(100.0, 1.25), (250.0, 2.04), (315.0, 2.34), (350.0, 2.43), (600.0, 3.62)]


@pytest.mark.parametrize(("volume_l", "limit_kwh_per_day"), LOSSES)
def test_tank_loss_is_the_standards_limit_with_a_relief_valve(
    volume_l: float, limit_kwh_per_day: float
) -> None:
    """AS/NZS 4692.2:2005 Table A5 at 55 K, and 0.12 kWh a day for a relief valve
    (transcribed in a public review)."""
    expected = (limit_kwh_per_day + 0.12) * 1000.0 / 24.0 / 55.0
    assert tank_loss_w_per_k(volume_l).number == pytest.approx(expected, rel=1e-12)


def test_a_250_l_tank_loses_1_64_w_per_kelvin() -> None:
    """2.04 + 0.12 kWh a day at 55 K is 1.64 W/K (the same review, rounded)."""
    assert tank_loss_w_per_k(250.0).number == pytest.approx(1.64, abs=0.005)


def test_no_loss_is_made_up_beyond_the_table() -> None:
    with pytest.raises(ValueError, match="no standing loss"):
        tank_loss_w_per_k(711.0)


PRICES: list[tuple[Family, float]] = [
    ("heat_pump", 4200.0),
    ("gas_storage", 2200.0),
    ("gas_continuous", 1800.0),
    ("electric_storage", 1800.0),
]


@pytest.mark.parametrize(("family", "price"), PRICES)
def test_installed_prices_are_those_of_the_impact_statement(family: Family, price: float) -> None:
    """E3 Decision Regulation Impact Statement, heat pump water heaters, April 2026, Table 20
    (transcribed twice)."""
    assert equipment_values(family)["installed_price"].number == price


LIVES: list[tuple[Family, float, float]] = [
    ("electric_storage", 8.0, 12.0),
    ("gas_storage", 10.0, 15.0),
    ("gas_continuous", 15.0, 20.0),
    ("heat_pump", 10.0, 15.0),
]


@pytest.mark.parametrize(("family", "low", "high"), LIVES)
def test_lives_lie_in_the_plumbers_ranges(family: Family, low: float, high: float) -> None:
    """Plumbers' pages 2021 to 2025, several agreeing (weak)."""
    assert low <= equipment_values(family)["life_years"].number <= high


def test_gas_values_lie_in_the_trades_ranges() -> None:
    """Maintenance 0.6 to 1.0 MJ/h, storage burner 75 to 82 %, electronics 2 to 10 W
    (AS 4552 and trade, from memory)."""
    storage, continuous = equipment_values("gas_storage"), equipment_values("gas_continuous")
    assert 0.6 <= storage["maintenance_rate_mj_per_h"].number <= 1.0
    assert 0.75 <= storage["efficiency"].number <= 0.82
    assert 2.0 <= continuous["standby_w"].number <= 10.0


@pytest.mark.parametrize("family", ["electric_storage", "heat_pump", "gas_storage"])
def test_stores_are_kept_at_60_degrees(family: Family) -> None:
    """Queensland Government, hot water systems, 2024 (transcribed)."""
    assert equipment_values(family)["setpoint_c"].number >= 60.0


def test_the_regulators_model_home_lies_between_two_and_three_people() -> None:
    """3900 kWh a year without controlled load, Default Market Offer 2026-27, Ausgrid
    (transcribed); that it stands for two to three people is a judgement."""
    assert usual_house_kwh(2).number < 3900.0 < usual_house_kwh(3).number


def test_a_regulated_bill_gives_back_its_use() -> None:
    """1899 AUD at 33.1372 c/kWh and 166.2289 c/day is 3900 kWh (Default Market Offer 2026-27,
    Ausgrid, transcribed); the bill is rounded to the dollar, so to 1.5 kWh."""
    assert annual_use_from_bill(1899.0, 0.331372, 1.662289) == pytest.approx(3900.0, abs=1.6)


def test_tanks_grow_with_the_people_and_stay_in_the_table() -> None:
    """Common practice, no source."""
    for kind in ("electric_storage", "heat_pump", "gas_storage"):
        volumes = [usual_tank_l(kind, people).number for people in range(1, 21)]
        assert volumes == sorted(volumes)
        assert volumes[-1] <= 710.0
