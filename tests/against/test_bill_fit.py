"""The small fit of bills against a general-purpose least-squares solver."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import least_squares

from tankful.use.bill_fit import BILL_SPREAD, Balance, Prior, Priors, fit_bills

BALANCE = Balance(
    drawn_kwh=np.array([13.0, 15.0, 17.0, 14.0]),
    starts_kwh=np.array([0.4, 0.4, 0.5, 0.4]),
    loss_kwh=np.array([80.0, 95.0, 110.0, 90.0]),
    days=np.array([91.0, 92.0, 92.0, 90.0]),
    season=np.array([0.88, 1.02, 1.15, 0.96]),
)
PRIORS = Priors(
    Prior(50.0, 0.6), Prior(3.8, 0.2), Prior(0.78, 0.035), Prior(0.6, 1.0), Prior(1.0, 0.4)
)


@pytest.mark.parametrize("scale", [0.4, 1.0, 2.5])
def test_the_fit_is_the_minimum_that_scipy_finds_with_its_curvature(scale: float) -> None:
    measured = scale * np.array([1100.0, 1390.0, 1450.0, 1300.0])
    middles, spreads = PRIORS.middles, np.array([prior.spread for prior in PRIORS.all()])

    def misses(steps: np.ndarray) -> np.ndarray:
        expected = BALANCE.parts_kwh(middles * np.exp(steps)).sum(axis=0)
        return np.concatenate([np.log(measured / expected) / BILL_SPREAD, steps / spreads])

    reference = least_squares(misses, np.zeros(5), xtol=1e-12, ftol=1e-12, gtol=1e-12)
    fit = fit_bills(measured, BALANCE, PRIORS)
    assert np.log(fit.values / middles) == pytest.approx(reference.x, abs=1e-5)
    covariance = np.linalg.inv(reference.jac.T @ reference.jac)
    assert fit.spreads == pytest.approx(np.sqrt(np.diag(covariance)), rel=1e-3)
