"""Hot-water draws as events, and the same draws spread over the steps of a year.

A draw is litres of mixed water at the temperature wanted at the tap. How much of them is
hot depends on the store and the cold water of the day, so the heat of a draw is known only
in the simulation; its litres are fixed here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from tankful.clock import FloatArray, IntArray, YearClock
from tankful.units import (
    DAYS_PER_YEAR,
    J_PER_KWH,
    SECONDS_PER_DAY,
    WATER_CP_J_PER_KG_K,
    WATER_KG_PER_L,
)

YEAR_S = DAYS_PER_YEAR * SECONDS_PER_DAY

FELT_L = 10.0
"""Draws of at least this much are felt when they come cold: showers and baths. A short tap
runs cold from the pipe in any case (judgement)."""


@dataclass(frozen=True, eq=False)
class Draws:
    """A year of hot-water draws; event arrays of shape ``(events,)`` in order of time.

    ``start_s`` counts seconds of local standard time from the start of the year; a draw
    lies wholly inside the year. ``mixed_l`` is litres at ``wanted_c`` [degC]; ``fixture``
    indexes ``fixture_names``. ``cold_reference_c`` is the cold water [degC] with which the
    litres were worked out, ``source_id`` the row of the source table they come from.
    """

    start_s: FloatArray
    duration_s: FloatArray
    mixed_l: FloatArray
    wanted_c: FloatArray
    fixture: IntArray
    fixture_names: tuple[str, ...]
    cold_reference_c: float
    source_id: str
    notes: tuple[str, ...] = ()

    def heat_kwh(self, cold_c: float | None = None) -> FloatArray:
        """Heat of each draw above ``cold_c`` (default: the reference) [kWh]."""
        cold = self.cold_reference_c if cold_c is None else cold_c
        kg = self.mixed_l * WATER_KG_PER_L
        return kg * WATER_CP_J_PER_KG_K * (self.wanted_c - cold) / J_PER_KWH


@dataclass(frozen=True, eq=False)
class DrawSteps:
    """Draws on the steps of a year.

    ``mixed_kg`` and ``wanted_c`` have shape ``(n_steps,)``: mixed water drawn in the step
    [kg] and its wanted temperature [degC], weighted by volume, 0 where nothing is drawn;
    ``felt_kg`` is the part of it in draws of at least ``FELT_L``, ``drawn_share`` the share of
    the step that they would take at their usual flow, the mean weighted by volume.
    ``event_step_start`` and ``event_step_end``, shape ``(events,)``, are each draw's first
    and last step (both belong to the draw); ``event_mixed_l`` is its volume [L].
    ``piece_step``, ``piece_kg`` and ``piece_s``, shape ``(pieces,)``, are the parts of draws that
    fall in one step: which, how much of it, and how long it flows.
    """

    mixed_kg: FloatArray
    wanted_c: FloatArray
    event_step_start: IntArray
    event_step_end: IntArray
    event_mixed_l: FloatArray
    felt_kg: FloatArray
    drawn_share: FloatArray
    piece_step: IntArray
    piece_kg: FloatArray
    piece_s: FloatArray

    @cached_property
    def drawn(self) -> IntArray:
        """Indices of the steps on which anything is drawn."""
        return np.flatnonzero(self.mixed_kg > 0.0)


def draws_on_steps(draws: Draws, clock: YearClock) -> DrawSteps:
    """Spread each draw over the steps it lasts, in proportion to time; no litre is lost."""
    step_s = clock.step_s
    end_s = draws.start_s + draws.duration_s
    if ((draws.start_s < 0) | (draws.start_s >= YEAR_S) | (end_s > YEAR_S)).any():
        raise ValueError("a draw lies outside the year")
    first = (draws.start_s // step_s).astype(np.int64)
    last = np.maximum(first, np.ceil(end_s / step_s).astype(np.int64) - 1)
    spans = last - first + 1
    event = np.repeat(np.arange(spans.size), spans)
    piece = np.arange(event.size) - np.repeat(np.cumsum(spans) - spans, spans)
    step = first[event] + piece
    # Shares are differences of the elapsed share at step edges, so that they sum to one.
    seconds = np.maximum(draws.duration_s, 1e-9)[event]
    elapsed = (step * step_s - draws.start_s[event]) / seconds
    share_before = np.where(piece == 0, 0.0, elapsed)
    share_after = np.where(step == last[event], 1.0, elapsed + step_s / seconds)
    kg = draws.mixed_l[event] * WATER_KG_PER_L * (share_after - share_before)
    mixed_kg = _totals(step, kg, clock.n_steps)
    kg_degrees = _totals(step, kg * draws.wanted_c[event], clock.n_steps)
    wanted_c = np.divide(kg_degrees, mixed_kg, out=np.zeros_like(mixed_kg), where=mixed_kg > 0)
    felt_kg = _totals(step, kg * (draws.mixed_l[event] >= FELT_L), clock.n_steps)
    piece_s = np.maximum(seconds * (share_after - share_before), 1e-9)
    kg2_per_s = _totals(step, kg * kg / piece_s, clock.n_steps)
    running_s = np.divide(mixed_kg**2, kg2_per_s, out=np.zeros_like(kg2_per_s), where=kg2_per_s > 0)
    return DrawSteps(
        mixed_kg=mixed_kg,
        wanted_c=wanted_c,
        event_step_start=first,
        event_step_end=last,
        event_mixed_l=draws.mixed_l,
        felt_kg=felt_kg,
        drawn_share=np.minimum(1.0, running_s / step_s),
        piece_step=step,
        piece_kg=kg,
        piece_s=piece_s,
    )


def heat_within_j(draws: DrawSteps, heat_j: FloatArray, power_w: float) -> FloatArray:
    """What a heater of ``power_w`` gives of the heat that each step's draws ask for [J].

    ``heat_j``, shape ``(n_steps,)`` as what is returned, is spread over a step's water evenly;
    power is given only while water runs, and each draw has all of it.
    """
    asked = np.zeros_like(heat_j)
    asked[draws.drawn] = heat_j[draws.drawn] / draws.mixed_kg[draws.drawn]
    given_j = np.minimum(draws.piece_kg * asked[draws.piece_step], draws.piece_s * power_w)
    return _totals(draws.piece_step, given_j, heat_j.size)


def _totals(step: IntArray, weights: FloatArray, n_steps: int) -> FloatArray:
    return np.asarray(np.bincount(step, weights=weights, minlength=n_steps), dtype=np.float64)


def merged(parts: Sequence[Draws]) -> Draws:
    """All draws of ``parts`` in order of their start; names, source and notes of the first."""
    start_s = np.concatenate([part.start_s for part in parts])
    order = np.argsort(start_s, kind="stable")
    return replace(
        parts[0],
        start_s=start_s[order],
        duration_s=np.concatenate([part.duration_s for part in parts])[order],
        mixed_l=np.concatenate([part.mixed_l for part in parts])[order],
        wanted_c=np.concatenate([part.wanted_c for part in parts])[order],
        fixture=np.concatenate([part.fixture for part in parts])[order],
    )
