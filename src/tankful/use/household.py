"""A household's hot-water draws, random within what is known about people."""

from __future__ import annotations

from typing import Literal

import numpy as np

from tankful.clock import BoolArray, FloatArray, IntArray, YearClock, month_of_day
from tankful.data.store import load_table
from tankful.units import DAYS_PER_YEAR, MINUTES_PER_DAY
from tankful.use.draws import YEAR_S, Draws, merged

Habits = Literal["mixed", "morning", "evening", "day"]

HOT_C = 60.0
COLD_C = 15.0
"""Litres of hot water are counted at 60 degC drawn with cold water at 15 degC: the 45 K of
the Australian gas label, 200 L/day (AS/NZS 4552, label explanation)."""

LEAST_FLOW_SHARE = 0.25
"""The published normal spread of flows reaches below zero; it is cut here (judgement)."""

NOTES = (
    "Litres per person are hot water at 60 degC drawn with cold water at 15 degC.",
    "Clock times of draws are the developers' judgement, not a measurement.",
    "Every fixture is used at 40 degC (judgement); nobody is away on holiday.",
)


def household_draws(
    clock: YearClock,
    people: int,
    *,
    hot_litres_per_person_per_day: float = 50.0,
    seed: int = 1,
    season: bool = True,
    southern: bool = True,
    habits: Habits = "mixed",
) -> Draws:
    """Draws of a household over the year, by fixture, at the clock times people live by.

    The year's litres are met exactly. Flow, duration and share of each fixture are those of
    Jordan and Vajen (2001, IEA SHC Task 26); the seasonal factor is SAP 2012 Table 1c, six
    months later in the southern hemisphere. The number of draws follows the litres: four
    people at 50 L take 3.6 showers a day. Everyone showers at an even pace; other draws
    come at random. The same seed gives the same draws. ``habits`` says when most showers
    are taken. Raises ValueError for no people, no litres or an unknown habit.
    """
    if people < 1 or not hot_litres_per_person_per_day > 0:
        raise ValueError("draws need at least one person and more than zero litres")
    hot_l = people * hot_litres_per_person_per_day * DAYS_PER_YEAR
    weights = season_factor(clock, southern=southern) if season else np.ones(DAYS_PER_YEAR)
    parts = [
        _fixture_draws(clock, row, code, hot_l, people, weights, seed, habits)
        for code, row in enumerate(load_table("draw_fixtures"))
    ]
    return merged(parts)


def _fixture_draws(
    clock: YearClock,
    row: dict[str, str],
    code: int,
    hot_l: float,
    people: int,
    weights: FloatArray,
    seed: int,
    habits: str,
) -> Draws:
    """All draws of one fixture, with a random stream of its own."""
    rng = np.random.default_rng([seed, code])
    wanted_c = float(row["wanted_c"])
    share_l = hot_l * float(row["share_of_volume_pct"]) / 100.0
    mixed_l = _volumes(rng, share_l * (HOT_C - COLD_C) / (wanted_c - COLD_C), row)
    day = _days(rng, mixed_l.size, weights, people if row["fixture"] == "shower" else None)
    minute = _clock_minutes(rng, row["fixture"], habits, _free_days(clock)[day])
    duration_s = np.full(mixed_l.size, float(row["duration_min"]) * 60.0)
    return Draws(
        start_s=np.minimum(_standard_seconds(clock, day, minute), YEAR_S - duration_s),
        duration_s=duration_s,
        mixed_l=mixed_l,
        wanted_c=np.full(mixed_l.size, wanted_c),
        fixture=np.full(mixed_l.size, code, dtype=np.int64),
        fixture_names=tuple(row["fixture"] for row in load_table("draw_fixtures")),
        cold_reference_c=COLD_C,
        source_id="jordan-vajen-2001",
        notes=NOTES,
    )


def season_factor(clock: YearClock, *, southern: bool) -> FloatArray:
    """Volume of each day over the year's mean, shape ``(365,)`` (SAP 2012 Table 1c)."""
    months = np.array([float(r["volume_factor_north"]) for r in load_table("draw_season")])
    by_day = np.roll(months, 6 if southern else 0)[month_of_day(clock.year) - 1]
    factor: FloatArray = by_day / by_day.mean()
    return factor


def _volumes(rng: np.random.Generator, category_l: float, row: dict[str, str]) -> FloatArray:
    """Litres of every draw of one fixture; they sum to ``category_l``."""
    mean = float(row["mean_flow_l_min"])
    count = max(1, round(category_l / (mean * float(row["duration_min"]))))
    flow = rng.normal(mean, float(row["sigma_l_min"]), count)
    flow = np.maximum(flow, LEAST_FLOW_SHARE * mean)
    volumes_l: FloatArray = flow * (category_l / flow.sum())
    return volumes_l


def _days(rng: np.random.Generator, count: int, weights: FloatArray, pace: int | None) -> IntArray:
    """The day of each draw. With a pace, each round of ``pace`` draws shares one slot of
    the year, so that days differ less than chance would have it."""
    position = rng.random(count)
    if pace is not None:
        rounds = np.arange(count) // pace
        position = (rounds + position) / (rounds[-1] + 1)
    edges = np.cumsum(weights) / weights.sum()
    return np.minimum(np.searchsorted(edges, position, side="right"), DAYS_PER_YEAR - 1)


def _free_days(clock: YearClock) -> BoolArray:
    """True on weekends and public holidays, shape ``(365,)``."""
    noon = slice(clock.steps_per_day // 2, None, clock.steps_per_day)
    free: BoolArray = (clock.clock_weekday[noon] >= 5) | clock.holiday[noon]
    return free


def _clock_minutes(
    rng: np.random.Generator, fixture: str, habits: str, free: BoolArray
) -> FloatArray:
    """Clock minute of day of each draw: a part of the day, then a spread about its peak."""
    part_of_day, spread = rng.random(free.size), rng.normal(size=free.size)
    minute = np.empty(free.size)
    for day, chosen in (("weekday", ~free), ("weekend", free)):
        rows = [
            row
            for row in load_table("draw_times")
            if row["fixture"] == fixture and row["day"] == day and row["habits"] in (habits, "any")
        ]
        if not rows:
            raise ValueError(f"no draw times for {fixture} with habits {habits!r}")
        peak_h, spread_h, share = (
            np.array([float(row[key]) for row in rows])
            for key in ("peak_clock_h", "spread_h", "share_pct")
        )
        edges = np.cumsum(share) / share.sum()
        part = np.searchsorted(edges[:-1], part_of_day[chosen], side="right")
        minute[chosen] = 60.0 * (peak_h[part] + spread_h[part] * spread[chosen])
    return np.mod(minute, MINUTES_PER_DAY)


def _standard_seconds(clock: YearClock, day: IntArray, minute: FloatArray) -> FloatArray:
    """Whole seconds of standard time since the year's start for clock times of the year."""
    half = MINUTES_PER_DAY // 2
    shift = (clock.clock_minute - clock.minute + half) % MINUTES_PER_DAY - half
    on_the_wall = day * MINUTES_PER_DAY + minute
    guess = on_the_wall - _at(clock, shift, on_the_wall)
    standard = on_the_wall - _at(clock, shift, guess)
    return np.mod(np.floor(standard * 60.0), YEAR_S)


def _at(clock: YearClock, series: IntArray, minutes: FloatArray) -> IntArray:
    return series[(minutes // clock.step_min).astype(np.int64) % clock.n_steps]
