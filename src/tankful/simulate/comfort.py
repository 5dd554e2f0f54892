"""Comfort and hygiene read off a simulated year."""

from __future__ import annotations

import numpy as np

from tankful.clock import BoolArray, FloatArray, YearClock, in_clock_window
from tankful.units import WATER_KG_PER_L
from tankful.use.draws import FELT_L, DrawSteps

COLD_BY_K = 2.0
"""A draw is called cold when any step of it comes this much below what was wanted (judgement)."""


def is_cold(outlet_c: FloatArray, draws: DrawSteps) -> BoolArray:
    """Steps on which water came too cold, shape (n,); ``outlet_c`` is NaN without a draw."""
    return np.asarray(draws.wanted_c - outlet_c > COLD_BY_K)


def cold_litres(outlet_c: FloatArray, draws: DrawSteps) -> float:
    """Litres of showers and baths that came too cold."""
    return float(draws.felt_kg[is_cold(outlet_c, draws)].sum()) / WATER_KG_PER_L


def cold_events(outlet_c: FloatArray, draws: DrawSteps) -> int:
    """Number of showers and baths (draws of at least ``FELT_L``) that came too cold.

    A draw spans the steps from ``event_step_start`` up to and including ``event_step_end``.
    """
    cold_steps = np.flatnonzero(is_cold(outlet_c, draws))
    before = np.searchsorted(cold_steps, draws.event_step_start)
    cold = np.searchsorted(cold_steps, draws.event_step_end, side="right") > before
    return int((cold & (draws.event_mixed_l >= FELT_L)).sum())


def felt_draws(draws: DrawSteps) -> int:
    """Number of draws that ``cold_events`` looks at."""
    return int((draws.event_mixed_l >= FELT_L).sum())


def longest_gap_h(since_hot_h: FloatArray) -> float:
    """Longest time without meeting the sanitising rule [h].

    ``since_hot_h`` is the time since it was last met, shape (n,), NaN for a heater without a
    tank (which gives 0). A year in which it is never met gives the year.
    """
    return 0.0 if np.isnan(since_hot_h).all() else float(since_hot_h.max())


STAGNANT_C = 120.0
"""Collectors hotter than this stand without flow (judgement)."""


def stagnation_h(collector_c: FloatArray, *, step_s: float) -> float:
    """Hours of the year in which the collectors stagnate; 0 without collectors."""
    return float((collector_c > STAGNANT_C).sum()) * step_s / 3600.0


NIGHT_MIN = (22 * 60, 7 * 60)
"""Start and end of the night in which appliances must not be heard next door on working days:
minutes of the clock (source id ``nsw-noise-control``)."""


def night_run_h(heat_w: FloatArray, clock: YearClock) -> float:
    """Hours of the year in which a heater heats at night; a step with any heat counts whole."""
    at_night = in_clock_window(clock.clock_minute, *NIGHT_MIN)
    return float((at_night & (heat_w > 0.0)).sum()) * clock.step_s / 3600.0
