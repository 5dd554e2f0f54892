"""Litres and losses behind the bills of a water heater: an energy balance and a small fit.

Energy bought in a period is

    E = L a / e + L s + U b / e + C d

with L litres a person a day, a the heat drawn per such litre over the period, e the burner's
efficiency (1 for an element), s what starts waste per such litre, U the tank's loss, b the
degree-hours of the tank over its surroundings, C other use a day and d days. The logarithms of
L, U, e and C have normal priors, and that of each bill a normal error: the most probable values
follow by Gauss and Newton, their spread from the curvature there (textbook Bayesian
least squares).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from tankful.clock import FloatArray, IntArray
from tankful.data.store import load_table
from tankful.units import J_PER_KWH, WATER_CP_J_PER_KG_K, WATER_KG_PER_L
from tankful.use.household import COLD_C, HOT_C

BILL_SPREAD = 0.08
"""Spread of a single bill about the balance: people, weather, days away (judgement)."""

TENTH = 1.2816
"""Standard deviations from the middle of a normal spread to its outer tenths."""

ROUNDS = 200
LONGEST_STEP = 0.7


@dataclass(frozen=True, eq=False)
class Balance:
    """What each bill is made of; arrays of shape ``(bills,)``.

    ``drawn_kwh`` and ``starts_kwh`` are per litre a person a day, ``loss_kwh`` per W/K.
    """

    drawn_kwh: FloatArray
    starts_kwh: FloatArray
    loss_kwh: FloatArray
    days: FloatArray

    def of(self, chosen: np.ndarray) -> Balance:
        """The balance of some of the bills."""
        return Balance(*(getattr(self, name)[chosen] for name in self.__dataclass_fields__))

    def parts_kwh(self, values: FloatArray) -> FloatArray:
        """Energy bought by cause, shape ``(4, bills)``: heat drawn, starts, losses, other use.

        ``values`` are litres, loss [W/K], efficiency and other use [kWh/day].
        """
        litres, loss, efficiency, other = values
        return np.array(
            [
                litres * self.drawn_kwh / efficiency,
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
    """Of litres a person a day, loss [W/K], efficiency [-] and other use [kWh/day]."""

    litres: Prior
    loss: Prior
    efficiency: Prior
    other: Prior

    def with_litres(self, litres: float) -> Priors:
        """The same with litres that are known."""
        return replace(self, litres=Prior(litres, 0.0))

    @property
    def middles(self) -> FloatArray:
        """What is most likely before the bills."""
        return np.array([prior.middle for prior in self.all()])

    def all(self) -> tuple[Prior, ...]:
        return (self.litres, self.loss, self.efficiency, self.other)


@dataclass(frozen=True, eq=False)
class Fit:
    """The most probable values in the order of ``Priors``, and the spread of their logarithms."""

    values: FloatArray
    spreads: FloatArray
    priors: Priors
    expected_kwh: FloatArray
    scatter: float
    """Root mean square of the bills' relative errors."""

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
        """Middle and outer tenths of one value."""
        middle, width = self.values[i], np.exp(TENTH * self.spreads[i])
        return float(middle), float(middle / width), float(middle * width)

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
        shares = (
            np.array([parts[0] + parts[1], parts[2], -(parts[0] + parts[2]), parts[3]])[is_open]
            / total
        )  # slopes of the logarithm of a bill
        errors = np.log(measured_kwh / total)
        curvature = shares @ shares.T / BILL_SPREAD**2 + np.diag(weights)
        gradient = shares @ errors / BILL_SPREAD**2 - weights * steps
        move = np.clip(np.linalg.solve(curvature, gradient), -LONGEST_STEP, LONGEST_STEP)
        steps = steps + move
        if np.abs(move).max(initial=0.0) < 1e-9:
            break
    values = _values(middles, is_open, steps)
    expected_kwh = balance.parts_kwh(values).sum(axis=0)
    spreads = np.zeros(middles.size)
    spreads[is_open] = np.sqrt(np.diag(np.linalg.inv(curvature)))
    scatter = float(np.sqrt(np.mean(np.log(measured_kwh / expected_kwh) ** 2)))
    return Fit(values, spreads, priors, expected_kwh, scatter)


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
