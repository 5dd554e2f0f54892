"""Interest arithmetic. Rates are fractions a period; flows fall at the end of each period.

The relations are those of every engineering economics textbook (for example Duffie &
Beckman, Solar Engineering of Thermal Processes, chapter on economic analysis). Money may be
real or nominal, as long as the rate is of the same kind.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from tankful.clock import FloatArray

LOWEST_RATE, HIGHEST_RATE = -0.99, 10.0
"""Range in which an internal rate is looked for."""


def capital_recovery_factor(rate: float, periods: float) -> float:
    """Equal yearly payment that repays 1 with interest: i / (1 - (1 + i)^-n)."""
    return 1.0 / annuity_pv(1.0, rate, periods)


def present_value(amount: float, rate: float, periods: float) -> float:
    """Worth today of one amount after ``periods`` (0 or more, fractions allowed)."""
    _check(rate, periods)
    return float(amount * (1.0 + rate) ** -periods)


def annuity_pv(payment: float, rate: float, periods: float) -> float:
    """Worth today of a payment at the end of each period; payment x n at rate 0."""
    return growing_annuity_pv(payment, rate, 0.0, periods)


def growing_annuity_pv(payment: float, rate: float, growth: float, periods: float) -> float:
    """Worth today of payments that start at ``payment`` and grow by ``growth`` a period.

    a / (i - g) x [1 - ((1 + g) / (1 + i))^n], and a n / (1 + i) where i equals g. The first
    payment, not yet grown, falls at the end of the first period. ``periods`` above 0.
    """
    _check(rate, periods)
    if periods == 0.0 or growth <= -1.0:
        raise ValueError("periods must be above 0 and growth above -1")
    ratio_log = np.log1p(growth) - np.log1p(rate)
    if abs(ratio_log) < 1e-12:
        return payment * periods / (1.0 + rate)
    return float(payment * -np.expm1(periods * ratio_log) / (rate - growth))


def net_present_value(flows: Sequence[float], rate: float) -> float:
    """Sum of ``flows[k] / (1 + rate)^k``; the first flow is today's and not discounted."""
    return float(discounted(flows, rate).sum())


def discounted(flows: Sequence[float], rate: float) -> FloatArray:
    """Each flow as worth today, shape ``(len(flows),)``."""
    _check(rate, 0.0)
    amounts = np.asarray(flows, dtype=np.float64)
    if not np.isfinite(amounts).all():
        raise ValueError("flows must be finite")
    return amounts * (1.0 + rate) ** -np.arange(amounts.size)


def internal_rate(flows: Sequence[float]) -> float | None:
    """The rate at which the flows are worth nothing today.

    ``None`` when no rate, or more than one, does so between -99 % and 1000 %.
    """
    from scipy.optimize import brentq

    rates = np.expm1(np.linspace(np.log1p(LOWEST_RATE), np.log1p(HIGHEST_RATE), 2001))
    worth = np.array([_scaled_worth(flows, rate) for rate in rates])
    # A grid value of exactly nought counts with the positive side, so it is found once.
    crossings = np.flatnonzero(np.diff(np.where(worth >= 0.0, 1, -1)))
    if crossings.size != 1 or not np.any(worth):
        return None
    i = int(crossings[0])
    return float(brentq(lambda rate: _scaled_worth(flows, rate), rates[i], rates[i + 1]))


def _scaled_worth(flows: Sequence[float], rate: float) -> float:
    """Worth with the sign of the present value: at the last flow's time for negative rates,
    which keeps long lists within range."""
    if rate >= 0.0:
        return net_present_value(flows, rate)
    return net_present_value(flows[::-1], 1.0 / (1.0 + rate) - 1.0)


def discounted_payback(flows: Sequence[float], rate: float) -> float | None:
    """Periods until the discounted flows first add up to 0, linear within a period.

    0.0 when the first flow is not negative, ``None`` when they never do.
    """
    total = 0.0
    sums = [total := total + flow for flow in discounted(flows, rate).tolist()]
    return first_zero(sums)


def simple_payback(flows: Sequence[float]) -> float | None:
    """``discounted_payback`` without discounting."""
    return discounted_payback(flows, 0.0)


def first_zero(sums: Sequence[float]) -> float | None:
    """Position at which running sums first reach 0 from below, linear in between."""
    if not sums:
        return None
    if sums[0] >= 0.0:
        return 0.0
    for k, (before, after) in enumerate(pairwise(sums)):
        if after >= 0.0:
            return k + before / (before - after)
    return None


def real_rate(nominal_rate: float, inflation: float) -> float:
    """Interest above inflation (Fisher): (1 + nominal) / (1 + inflation) - 1."""
    _check(nominal_rate, 0.0)
    _check(inflation, 0.0)
    return (1.0 + nominal_rate) / (1.0 + inflation) - 1.0


def levelised_cost(
    upfront: float, rate: float, years: float, *, cost_per_year: float, output_per_year: float
) -> float:
    """Cost of a unit of output: (upfront x capital recovery + yearly cost) / yearly output."""
    if not output_per_year > 0.0:
        raise ValueError("output_per_year must be above 0")
    yearly = upfront * capital_recovery_factor(rate, years) + cost_per_year
    return yearly / output_per_year


def _check(rate: float, periods: float) -> None:
    if not (-1.0 < rate < np.inf and 0.0 <= periods < np.inf):
        raise ValueError(f"rate must be above -1 and periods not negative, got {rate}, {periods}")
