"""Interest arithmetic against numpy-financial."""

from __future__ import annotations

import numpy as np
import numpy_financial as npf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankful.money.finance import (
    annuity_pv,
    capital_recovery_factor,
    internal_rate,
    net_present_value,
    present_value,
)

# The reference loses its digits, then divides by 0, as the rate goes to 0; ours does not.
rates = st.floats(-0.05, -1e-4) | st.floats(1e-4, 0.30)
periods = st.integers(1, 40)


@given(rates, periods, st.floats(-1e4, 1e4))
def test_annuities_and_single_sums_agree(rate: float, n: int, amount: float) -> None:
    assert annuity_pv(amount, rate, n) == pytest.approx(-npf.pv(rate, n, amount), rel=1e-8)
    assert present_value(amount, rate, n) == pytest.approx(-npf.pv(rate, n, 0, amount), rel=1e-9)
    assert capital_recovery_factor(rate, n) == pytest.approx(-npf.pmt(rate, n, 1.0), rel=1e-8)


@given(rates, st.lists(st.floats(-1e4, 1e4), min_size=1, max_size=40))
def test_net_present_values_agree(rate: float, flows: list[float]) -> None:
    assert net_present_value(flows, rate) == pytest.approx(npf.npv(rate, flows), abs=1e-6)


@given(st.floats(500.0, 5000.0), st.lists(st.floats(50.0, 900.0), min_size=3, max_size=20))
@settings(deadline=None)
def test_internal_rates_agree(cost: float, income: list[float]) -> None:
    ours = internal_rate([-cost, *income])
    assert ours is not None
    assert ours == pytest.approx(float(npf.irr([-cost, *income])), abs=1e-7)


def test_no_sign_change_gives_none_where_the_reference_gives_nan() -> None:
    assert np.isnan(npf.irr([100.0, 100.0]))
    assert internal_rate([100.0, 100.0]) is None
