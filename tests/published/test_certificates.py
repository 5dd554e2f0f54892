"""Small-scale certificates by the scheme's rules."""

from __future__ import annotations

import pytest

from tankful.money.certificates import (
    deeming_years,
    estimated_ten_year_certificates,
    pv_certificates,
    water_heater_certificates,
)


@pytest.mark.parametrize(
    ("kw", "zone", "year", "expected"),
    [
        # kW x zone rating x years left, rounded down; ratings and years of the Clean Energy
        # Regulator as restated on several public pages.
        (6.6, 4, 2023, 62),  # published example: 6.6 x 1.185 x 8 = 62.568
        (3.0, 3, 2016, 62),  # 62.19
        (6.6, 1, 2026, 53),  # 53.526
        (6.6, 2, 2026, 50),  # 50.688
        (6.6, 3, 2026, 45),  # 45.606
        (6.6, 4, 2026, 39),  # 39.105
        (13.2, 3, 2026, 91),  # 91.212
        (10.0, 3, 2027, 55),  # 55.28
        (5.0, 4, 2030, 5),  # 5.925
        (5.0, 4, 2031, 0),  # the scheme has ended
        (100.1, 3, 2026, 0),  # above the size limit, from memory
    ],
)
def test_panels_earn_the_published_number(kw: float, zone: int, year: int, expected: int) -> None:
    assert pv_certificates(kw, zone, year) == expected


def test_panel_numbers_are_exact_where_floats_are_not() -> None:
    # 12.5 x 1.536 x 5 = 96 exactly; 8 x 1.185 x 5 = 47.4; 100 x 1.185 x 4 = 474 exactly
    assert pv_certificates(12.5, 2, 2026) == 96
    assert pv_certificates(100.0, 4, 2027) == 474
    # Panels added up in floats come out a hair under 100 kW: 99.9999999999986.
    total = 0.0
    for _ in range(1000):
        total += 0.1
    assert total < 100.0
    assert pv_certificates(total, 4, 2027) == 474


def test_deeming_years_run_out_in_2030() -> None:
    # Regulator's table: 2016 15 years ... 2026 5 ... 2030 1 (a trader's notices).
    assert [deeming_years(year) for year in (2016, 2023, 2026, 2030, 2031, 2040)] == [
        15,
        8,
        5,
        1,
        0,
        0,
    ]
    assert pv_certificates(3.0, 3, 2010) == pv_certificates(3.0, 3, 2016)


@pytest.mark.parametrize(
    ("year", "share_of_100"),
    [
        *((2020, 100), (2021, 100), (2022, 90), (2023, 80), (2024, 70), (2025, 60)),
        *((2026, 50), (2027, 40), (2028, 30), (2029, 20), (2030, 10), (2031, 0)),
    ],
)
def test_water_heaters_earn_the_registered_share(year: int, share_of_100: int) -> None:
    # Multiplier on the registered ten-year number: 0.9 in 2022 (trader's notice), 0.5 to 0.1
    # in 2026 to 2030 (regulator's guidance, transcribed); rounded down.
    assert water_heater_certificates(100, year) == share_of_100
    assert water_heater_certificates(29, year) == 29 * share_of_100 // 100


def test_estimate_is_at_or_a_little_below_the_trade_example() -> None:
    # An example in the trade (weak source): about 14 for a heat pump of 180 L, zone 3, 2026.
    # By hand: peak 38 MJ/day x 330.15 season days / 3.6 = 3484.9 kWh; tank 2.46 x 365 = 897.9;
    # 60 % of 4382.8 kWh over ten years = 26.3 MWh, so 26, halved 13.
    number = estimated_ten_year_certificates("heat_pump", 3, 180.0)
    assert number == 26
    assert 0.9 * 14 <= water_heater_certificates(number, 2026) <= 14


def test_only_heat_pumps_within_the_size_limit_are_estimated_to_earn() -> None:
    # Limit of 425 L: register of the Clean Energy Regulator.
    assert estimated_ten_year_certificates("heat_pump", 3, 425.0) > 0
    assert estimated_ten_year_certificates("heat_pump", 3, 425.1) == 0
    for family in ("electric_storage", "gas_storage", "gas_continuous", "diverter"):
        assert estimated_ten_year_certificates(family, 3, 250.0) == 0  # type: ignore[arg-type]


def test_solar_heaters_are_estimated_by_zones_of_their_own() -> None:
    # Loads of the standard by hand as above: 38 MJ in zone 3, 42 MJ in zone 4 (from memory).
    # Solar heaters know no zone 5: the regulator's table for them ends with 4.
    assert estimated_ten_year_certificates("solar_flat", 3, 300.0) == 26
    assert estimated_ten_year_certificates("solar_flat", 4, 300.0) == 28
    with pytest.raises(ValueError, match="zone"):
        estimated_ten_year_certificates("solar_flat", 5, 300.0)


@pytest.mark.parametrize("zone", [0, 6])
def test_unknown_zones_are_refused(zone: int) -> None:
    with pytest.raises(ValueError, match="zone"):
        estimated_ten_year_certificates("heat_pump", zone, 250.0)
    with pytest.raises(ValueError, match="zone"):
        pv_certificates(5.0, zone, 2026)
    with pytest.raises(ValueError, match="negative"):
        pv_certificates(-1.0, 3, 2026)
    with pytest.raises(ValueError, match="negative"):
        water_heater_certificates(-1, 2026)
