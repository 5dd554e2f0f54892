"""Litres and losses behind the bills of a water heater: an energy balance and a small fit.

Energy bought in a period is

    E = L a r^(g - 1) / e + L s + U b / e + C d

with L litres a person a day, a the heat drawn per such litre over the period, r the same a day
over the year's mean, g how strongly this home follows the seasons (1 as expected), e the burner's
efficiency (1 for an element), s what starts waste per such litre, U the tank's loss, b the
degree-hours of the tank over its surroundings, C other use a day and d days. The logarithms of
L, U, e, C and g have normal priors, and that of each bill a normal error: the most probable values
follow by Gauss and Newton. Their ranges come from random values about them, wide as the
curvature there tells, each weighed by how probable it is (textbook importance sampling).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cached_property

import numpy as np

from tankful.clock import FloatArray, IntArray
from tankful.data.store import load_table
from tankful.units import J_PER_KWH, WATER_CP_J_PER_KG_K, WATER_KG_PER_L
from tankful.use.household import COLD_C, HOT_C

BILL_SPREAD = 0.08
"""Spread of a single bill about the balance: people, weather, days away (judgement)."""

SAMPLES = 4000
FREEDOM = 5.0
"""Degrees of freedom of the t distribution that values are drawn from."""

ROUNDS = 200
LONGEST_STEP = 0.7


@dataclass(frozen=True, eq=False)
class Balance:
    """What each bill is made of; arrays of shape ``(bills,)``.

    ``drawn_kwh`` and ``starts_kwh`` are per litre a person a day, ``loss_kwh`` per W/K;
    ``season`` is the heat drawn a day over the year's mean, above 0.
    """

    drawn_kwh: FloatArray
    starts_kwh: FloatArray
    loss_kwh: FloatArray
    days: FloatArray
    season: FloatArray

    def of(self, chosen: np.ndarray) -> Balance:
        """The balance of some of the bills."""
        return Balance(*(getattr(self, name)[chosen] for name in self.__dataclass_fields__))

    def parts_kwh(self, values: FloatArray) -> FloatArray:
        """Energy bought by cause, shape ``(4, bills)``: heat drawn, starts, losses, other use.

        ``values`` are litres, loss [W/K], efficiency, other use [kWh/day] and the strength of
        the seasons.
        """
        litres, loss, efficiency, other, strength = values
        return np.array(
            [
                litres * self.drawn_kwh * self.season ** (strength - 1.0) / efficiency,
                litres * self.starts_kwh,
                loss * self.loss_kwh / efficiency,
                other * self.days,
            ]
        )


@dataclass(frozen=True)
class Prior:
    """What is known of a value before the bills: its middle, and the spread of its logarithm
    (about a relative error). A spread of 0 fixes it; a middle of 0 rules it out."""

    middle: float
    spread: float

    @property
    def is_open(self) -> bool:
        return self.middle > 0.0 and self.spread > 0.0


@dataclass(frozen=True)
class Priors:
    """Of litres a person a day, loss [W/K], efficiency [-], other use [kWh/day], and of how
    strongly the home follows the seasons [-]."""

    litres: Prior
    loss: Prior
    efficiency: Prior
    other: Prior
    strength: Prior

    def with_litres(self, litres: float) -> Priors:
        """The same with litres that are known."""
        return replace(self, litres=Prior(litres, 0.0))

    @property
    def middles(self) -> FloatArray:
        """What is most likely before the bills."""
        return np.array([prior.middle for prior in self.all()])

    def all(self) -> tuple[Prior, ...]:
        return (self.litres, self.loss, self.efficiency, self.other, self.strength)


@dataclass(frozen=True, eq=False)
class Fit:
    """The most probable values in the order of ``Priors``, and the spread of their logarithms by
    the curvature there."""

    values: FloatArray
    spreads: FloatArray
    priors: Priors
    measured_kwh: FloatArray
    balance: Balance
    covariance: FloatArray
    """Of the logarithms of the open values."""

    @property
    def scatter(self) -> float:
        """Root mean square of the bills' relative errors."""
        expected_kwh = self.balance.parts_kwh(self.values).sum(axis=0)
        return float(np.sqrt(np.mean(np.log(self.measured_kwh / expected_kwh) ** 2)))

    @property
    def farthest(self) -> float:
        """How many of its spreads any value lies from what was known before."""
        far = [
            abs(float(np.log(value / prior.middle))) / prior.spread
            for value, prior in zip(self.values, self.priors.all(), strict=True)
            if prior.is_open
        ]
        return max(far, default=0.0)

    def range_of(self, i: int) -> tuple[float, float, float]:
        """The most probable value, and the outer tenths."""
        low, high = self._tenths[i]
        value = float(self.values[i])
        return value, min(value, float(low)), max(value, float(high))

    @cached_property
    def _tenths(self) -> FloatArray:
        """Outer tenths of every value, shape ``(5, 2)``."""
        known = self.priors.all()
        is_open = np.array([prior.is_open for prior in known])
        spreads = np.array([prior.spread for prior in known])[is_open, None]
        middle = np.log(self.values[is_open] / self.priors.middles[is_open])[:, None]
        rng = np.random.default_rng(1)
        wide = rng.normal(size=(is_open.sum(), SAMPLES)) * np.sqrt(
            FREEDOM / rng.chisquare(FREEDOM, SAMPLES)
        )  # Student's t: its long tails reach what the curvature does not foresee
        steps = middle + np.linalg.cholesky(self.covariance) @ wide
        values = np.tile(self.priors.middles[:, None, None], (1, SAMPLES, 1))
        values[is_open, :, 0] *= np.exp(steps)
        errors = np.log(self.measured_kwh / self.balance.parts_kwh(values).sum(axis=0))
        odds = -0.5 * (errors**2).sum(axis=1) / BILL_SPREAD**2
        odds -= 0.5 * ((steps / spreads) ** 2).sum(axis=0)
        odds += 0.5 * (FREEDOM + is_open.sum()) * np.log1p((wide**2).sum(axis=0) / FREEDOM)
        weights = np.exp(odds - odds.max())
        return np.array([_tenths_of(row[:, 0], weights) for row in values])

    @property
    def tells_losses(self) -> bool:
        """Whether the bills narrow the losses by a fifth or more; otherwise their range is
        what was known before."""
        spread = self.priors.loss.spread
        return not self.priors.loss.is_open or bool(self.spreads[1] < 0.8 * spread)


def fit_bills(measured_kwh: FloatArray, balance: Balance, priors: Priors) -> Fit:
    """Litres, losses, efficiency and other use that best explain the bills.

    ``measured_kwh`` has shape ``(bills,)``, each above 0. ValueError without bills.
    """
    if measured_kwh.size == 0 or not (measured_kwh > 0.0).all():
        raise ValueError("a fit needs bills, each above nought")
    known = priors.all()
    middles = priors.middles
    is_open = np.array([prior.is_open for prior in known])
    weights = np.array([1.0 / prior.spread**2 for prior in known if prior.is_open])
    steps = np.zeros(is_open.sum())
    curvature = np.diag(weights)
    for _ in range(ROUNDS):
        values = _values(middles, is_open, steps)
        parts = balance.parts_kwh(values)
        total = parts.sum(axis=0)
        shares = _slopes(parts, balance, values[4])[is_open] / total
        errors = np.log(measured_kwh / total)
        curvature = shares @ shares.T / BILL_SPREAD**2 + np.diag(weights)
        gradient = shares @ errors / BILL_SPREAD**2 - weights * steps
        move = np.clip(np.linalg.solve(curvature, gradient), -LONGEST_STEP, LONGEST_STEP)
        steps = steps + move
        if np.abs(move).max(initial=0.0) < 1e-9:
            break
    values = _values(middles, is_open, steps)
    covariance = np.linalg.inv(curvature)
    spreads = np.zeros(middles.size)
    spreads[is_open] = np.sqrt(np.diag(covariance))
    return Fit(values, spreads, priors, measured_kwh, balance, covariance)


def _slopes(parts: FloatArray, balance: Balance, strength: float) -> FloatArray:
    """Change of each bill [kWh] with the logarithm of each value, shape ``(5, bills)``."""
    drawn, starts, loss, other = parts
    seasonal = drawn * strength * np.log(balance.season)
    return np.array([drawn + starts, loss, -(drawn + loss), other, seasonal])


def _tenths_of(values: FloatArray, weights: FloatArray) -> FloatArray:
    order = np.argsort(values)
    below = np.cumsum(weights[order]) / weights.sum()
    tenths: FloatArray = values[order][np.searchsorted(below, [0.1, 0.9])]
    return tenths


def _values(middles: FloatArray, is_open: np.ndarray, steps: FloatArray) -> FloatArray:
    values = middles.copy()
    values[is_open] *= np.exp(steps)
    return values


def drawn_kwh_per_litre(cold_c: FloatArray) -> FloatArray:
    """Heat drawn [kWh] with one litre counted at 60 degC and cold water at 15 degC, when the
    cold water really is ``cold_c``: the taps mix to the temperatures of the draws."""
    heat_k = np.zeros_like(cold_c)
    for row in load_table("draw_fixtures"):
        wanted_c = float(row["wanted_c"])
        mixed_l = float(row["share_of_volume_pct"]) / 100.0 * (HOT_C - COLD_C) / (wanted_c - COLD_C)
        heat_k += mixed_l * np.maximum(0.0, wanted_c - cold_c)
    return heat_k * WATER_KG_PER_L * WATER_CP_J_PER_KG_K / J_PER_KWH


def starts_per_litre() -> float:
    """Draws for each litre of hot water, counted so: as often does a continuous heater start."""
    starts = 0.0
    for row in load_table("draw_fixtures"):
        wanted_c = float(row["wanted_c"])
        mixed_l = float(row["share_of_volume_pct"]) / 100.0 * (HOT_C - COLD_C) / (wanted_c - COLD_C)
        starts += mixed_l / (float(row["mean_flow_l_min"]) * float(row["duration_min"]))
    return starts


def year_days(first: date, last: date) -> IntArray:
    """Days of a year of 365 (from 0) of each day of a period; 29 February counts as the 28th."""
    days = (first + timedelta(days=i) for i in range((last - first).days + 1))
    return np.array([_year_day(day) for day in days], dtype=np.int64)


def _year_day(day: date) -> int:
    common = date(2001, day.month, min(day.day, 28) if day.month == 2 else day.day)
    return common.timetuple().tm_yday - 1


def period_sums(daily: FloatArray, periods: Iterable[tuple[date, date]]) -> FloatArray:
    """Sums over periods of a daily series of the year, shape ``(365,)``."""
    return np.array([float(daily[year_days(first, last)].sum()) for first, last in periods])
