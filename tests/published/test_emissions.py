"""Emissions by the National Greenhouse Accounts Factors 2025."""

from __future__ import annotations

import pytest

from tankful.casefile.offers import STATES
from tankful.data.store import load_table
from tankful.money.emissions import emission_factors, year_emissions_kg


def test_official_gas_example_is_reproduced() -> None:
    # NGA Factors 2025, Example 4: 100,000 GJ of pipeline gas in Sydney: scope 1 5,153 t and
    # scope 3 1,310 t, together 6,463 t.
    assert year_emissions_kg(0.0, 100_000e3, "NSW") == pytest.approx(6_463e3, rel=1e-12)


def test_gas_factor_per_kwh() -> None:
    # 51.53 kg/GJ x 0.0036 = 0.18551 kg/kWh; with 13.1 upstream 0.23267 (arithmetic).
    scope_1 = next(
        float(row["value"])
        for row in load_table("emission_factors")
        if row["item"] == "natural_gas_kg_per_gj" and row["scope"] == "1"
    )
    assert scope_1 * 0.0036 == pytest.approx(0.18551, abs=1e-5)
    assert year_emissions_kg(0.0, 3.6, "NSW") == pytest.approx(0.23267, abs=1e-5)


@pytest.mark.parametrize(
    ("state", "kg_per_kwh"),
    # NGA Factors 2025, Table 1, scope 2 + scope 3.
    [
        ("NSW", 0.67),
        ("ACT", 0.67),
        ("VIC", 0.87),
        ("QLD", 0.76),
        ("SA", 0.26),
        ("WA", 0.56),
        ("TAS", 0.23),
        ("NT", 0.65),
    ],
)
def test_electricity_factors_by_state(state: str, kg_per_kwh: float) -> None:
    assert year_emissions_kg(1000.0, 0.0, state) == pytest.approx(1000 * kg_per_kwh)


def test_bottled_gas_counts_by_the_litre() -> None:
    # NGA Factors 2025: 1.55 kg/L scope 1; upstream 20.2 kg/GJ x 25.7 MJ/L = 0.519 from memory.
    assert year_emissions_kg(0.0, 0.0, "SA", lpg_l=100.0) == pytest.approx(
        100 * (1.55 + 20.2 * 0.0257), abs=0.1
    )


def test_every_state_has_all_factors_and_other_places_none() -> None:
    for state in STATES:
        factors = emission_factors(state)
        assert factors is not None
        assert min(factors.electricity_kg_per_kwh, factors.lpg_kg_per_l) > 0.0
        assert factors.gas_kg_per_mj > 51.53e-3
    assert emission_factors("CA") is None
    assert year_emissions_kg(1000.0, 0.0, None) is None
