"""An electricity plan laid over a year's clock: which price applies in which step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd

import numpy as np

from tankful.clock import BoolArray, FloatArray, IntArray, YearClock
from tankful.model.tariff import ElectricityTariff, FreeWindow
from tankful.model.window import Window
from tankful.money.lines import MONTHS, days_in_months

HALF_HOUR_MIN = 30


@dataclass(frozen=True, eq=False)
class FreeHours:
    """Steps of the free window, in order of time.

    ``steps`` indexes the year; ``day_first`` is, for each of them, the position in
    ``steps`` of the first one of the same clock day.
    """

    steps: IntArray
    day_first: IntArray
    cap_kwh_per_day: float


@dataclass(frozen=True, eq=False)
class PricedYear:
    """What every settlement of one plan over one year needs.

    ``usage_row`` and ``feed_in_row`` are charge x 12 + month (0..11) of each step, shape
    ``(n_steps,)``; the feed-in row after the last entry holds hours that pay nothing.
    ``demand_half_hours`` holds, for each demand charge and month, the half hours of the year
    inside its window.
    """

    tariff: ElectricityTariff
    clock: YearClock
    days: FloatArray
    usage_row: IntArray
    feed_in_row: IntArray
    free: FreeHours | None
    demand_half_hours: tuple[tuple[IntArray, ...], ...]


def price_year(tariff: ElectricityTariff, clock: YearClock) -> PricedYear:
    """Lay a plan over the year. A step takes the price that applies at its start."""
    month = clock.clock_month - 1
    usage = first_match(tariff.usage, clock)
    if (usage == len(tariff.usage)).any():
        raise ValueError(f"usage prices of {tariff.name!r} leave steps of the year without a price")
    feed_in = first_match(tariff.feed_in, clock)
    free = None if tariff.free_window is None else _free_hours(tariff.free_window, clock)
    return PricedYear(
        tariff=tariff,
        clock=clock,
        days=days_in_months(clock.year),
        usage_row=usage * MONTHS + month,
        feed_in_row=feed_in * MONTHS + month,
        free=free,
        demand_half_hours=tuple(
            _half_hours_by_month(charge.mask(clock), clock) for charge in tariff.demand
        ),
    )


def first_match(windows: Sequence[Window], clock: YearClock) -> IntArray:
    """Index of the first window that fits each step, ``len(windows)`` where none does."""
    index = np.full(clock.n_steps, len(windows), dtype=np.int64)
    for i in range(len(windows) - 1, -1, -1):
        index[windows[i].mask(clock)] = i
    return index


def half_hour_kw(energy_kwh: FloatArray, clock: YearClock) -> FloatArray:
    """Mean power of each half hour [kW], shape ``(17_520,)``.

    A step that spans two half hours counts as constant power.
    """
    pieces_kw = _by_half_hour(energy_kwh * (60.0 / clock.step_min), clock)
    half_hours: FloatArray = pieces_kw.mean(axis=1)
    return half_hours


def _by_half_hour(values: np.ndarray, clock: YearClock) -> np.ndarray:
    """Values of the pieces of each half hour: shape ``(17_520, pieces)``."""
    piece_min = gcd(clock.step_min, HALF_HOUR_MIN)
    pieces = np.repeat(values, clock.step_min // piece_min)
    return pieces.reshape(-1, HALF_HOUR_MIN // piece_min)


def _half_hours_by_month(inside: BoolArray, clock: YearClock) -> tuple[IntArray, ...]:
    """Half hours with any part inside the window, by the clock month they start in."""
    touched = _by_half_hour(inside, clock).any(axis=1)
    month = _by_half_hour(clock.clock_month, clock)[:, 0]
    return tuple(np.flatnonzero(touched & (month == m)) for m in range(1, MONTHS + 1))


def _free_hours(window: FreeWindow, clock: YearClock) -> FreeHours:
    steps = np.flatnonzero(window.mask(clock))
    days = clock.clock_day[steps]  # never goes back: clocks fall back within a day
    cap = np.inf if window.cap_kwh_per_day is None else window.cap_kwh_per_day
    return FreeHours(
        steps=steps, day_first=np.searchsorted(days, days, side="left"), cap_kwh_per_day=cap
    )
