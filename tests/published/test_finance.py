"""Interest arithmetic against textbook table values and worked cases."""

from __future__ import annotations

import pytest

from tankful.money.finance import (
    annuity_pv,
    capital_recovery_factor,
    discounted_payback,
    growing_annuity_pv,
    internal_rate,
    levelised_cost,
    net_present_value,
    present_value,
    real_rate,
    simple_payback,
)

FIVE_YEARS = [-1000.0, *[300.0] * 5]
TWELVE_YEARS = [-2400.0, *[400.0] * 12]


def test_standard_interest_tables() -> None:
    # Interest tables of any engineering economics textbook: 0.0802, 0.1295, 6.7101, 0.4632.
    assert capital_recovery_factor(0.05, 20) == pytest.approx(0.0802426, abs=1e-6)
    assert capital_recovery_factor(0.05, 10) == pytest.approx(0.1295046, abs=1e-6)
    assert annuity_pv(1.0, 0.08, 10) == pytest.approx(6.710081, abs=1e-5)
    assert present_value(1.0, 0.08, 10) == pytest.approx(0.4631935, abs=1e-6)


def test_net_present_values() -> None:
    # Arithmetic on the textbook formula: payments at year ends, year 0 not discounted.
    assert net_present_value(FIVE_YEARS, 0.08) == pytest.approx(197.8130, abs=1e-3)
    assert net_present_value(TWELVE_YEARS, 0.05) == pytest.approx(1145.3007, abs=1e-3)


def test_internal_rates() -> None:
    # Textbook 15.24 %; the second is arithmetic.
    assert internal_rate(FIVE_YEARS) == pytest.approx(0.1523824, abs=1e-6)
    assert internal_rate(TWELVE_YEARS) == pytest.approx(0.1269468, abs=1e-6)


def test_paybacks() -> None:
    # 2400 / 400 = 6 years; discounted at 5 %, linear within the year, 7.31562 (arithmetic).
    assert simple_payback(TWELVE_YEARS) == 6.0
    assert discounted_payback(TWELVE_YEARS, 0.05) == pytest.approx(7.31562, abs=1e-4)


def test_growing_annuity() -> None:
    # a / (i - g) x [1 - ((1 + g) / (1 + i))^n] with 400, 3 %, 5 %, 12 (arithmetic).
    assert growing_annuity_pv(400.0, 0.05, 0.03, 12) == pytest.approx(4121.6598, abs=1e-3)
    # Limit i = g: a n / (1 + i) = 400 x 12 / 1.05
    assert growing_annuity_pv(400.0, 0.05, 0.05, 12) == pytest.approx(4571.428571, abs=1e-6)


def test_levelised_cost_of_heat() -> None:
    # Capital 4200 at 5 % over 12 years, 900 kWh x 0.30 + 50 upkeep, 2600 kWh of heat:
    # (4200 x 0.1128254 + 320) / 2600 = 0.305333 (arithmetic).
    cost = levelised_cost(4200.0, 0.05, 12, cost_per_year=320.0, output_per_year=2600.0)
    assert cost == pytest.approx(0.305333, abs=1e-6)


def test_real_rate_by_fisher() -> None:
    assert real_rate(0.07, 0.025) == pytest.approx(0.0439024, abs=1e-6)


def test_limits_are_met_or_refused() -> None:
    assert capital_recovery_factor(0.0, 10) == pytest.approx(0.1)
    assert internal_rate([100.0, 100.0]) is None
    assert internal_rate([0.0, 0.0]) is None
    # -100 + 230 v - 132 v^2 = 0 has two roots, 10 % and 20 %: no single answer.
    assert internal_rate([-100.0, 230.0, -132.0]) is None
    assert simple_payback([-100.0, 10.0]) is None
    assert simple_payback([]) is None
    assert simple_payback([1.0, -5.0]) == 0.0
    for rate, periods in ((-1.0, 5), (float("inf"), 5), (float("nan"), 5), (0.05, -1), (0.05, 0)):
        with pytest.raises(ValueError, match="must be above"):
            annuity_pv(1.0, rate, periods)
    with pytest.raises(ValueError, match="finite"):
        net_present_value([float("nan")], 0.05)
    with pytest.raises(ValueError, match="output"):
        levelised_cost(1.0, 0.05, 5, cost_per_year=0.0, output_per_year=0.0)
