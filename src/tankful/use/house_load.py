"""A home's electricity use without water heating: from a yearly figure or from its meter."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tankful.clock import FloatArray, YearClock, month_of_day
from tankful.errors import Fault, FileError
from tankful.units import DAYS_PER_YEAR, J_PER_KWH, MINUTES_PER_DAY
from tankful.use.load_shape import relative_load
from tankful.use.meter import MeterData
from tankful.use.meter_days import FAR_DAYS, NEAR_DAYS, PlacedDays, place_days
from tankful.use.meter_parts import (
    check_self_use,
    monthly_profile,
    resampled,
    self_use_share,
    without_heater,
)

FEWEST_DAYS = 183
"""Half a year: with less the seasons would be guessed (judgement)."""

LEAST_EXPORT_KWH = 1.0
"""Less in all the readings is a home without panels (judgement)."""

HEATER_LEFT_WARNING = 0.20


@dataclass(frozen=True, eq=False)
class HouseLoad:
    """House load on the steps of the year and how it was made.

    ``house_w`` has shape ``(n_steps,)`` [W], never negative. ``controlled_kwh`` is the yearly
    use of the separately switched circuit, which is not in it, or None. ``filled_share`` is
    the share of days without a metered day nearby. ``heater_left_share`` is the share of the
    modelled water heating that could not be taken out. ``notes`` say this in words.
    """

    house_w: FloatArray
    controlled_kwh: float | None
    filled_share: float
    heater_left_share: float
    notes: tuple[str, ...]


def load_from_annual(clock: YearClock, annual_kwh: float, *, southern: bool = True) -> FloatArray:
    """House load [W] of the published shape whose year is exactly ``annual_kwh``."""
    relative = relative_load(clock, southern=southern)
    house_w: FloatArray = relative * (annual_kwh * J_PER_KWH / clock.step_s / relative.sum())
    return house_w


def load_from_meter(
    meter: MeterData,
    clock: YearClock,
    *,
    pv_w: FloatArray | None = None,
    heater_w: FloatArray | None = None,
    pv_kw: float | None = None,
    southern: bool = True,
) -> HouseLoad:
    """The home's own load from meter data placed on the simulated year.

    Each day takes the metered day of the same weekday nearest in the year, at most 28 days
    off; other days take the published shape at the metered level. ``pv_w``, shape
    ``(n_steps,)`` [W], is the modelled yield of panels that stood there during the metering:
    what the home used of it is added, estimated by month and half hour as mean yield less
    mean export. ``heater_w``, same shape, is a modelled electric water heater inside the
    general register: its mean by month and half hour is taken out, never below the month's
    base load. ``pv_kw`` is for messages only.

    Raises FileError when fewer than 183 days are metered, CaseError when export and panels
    do not fit together.
    """
    placed = place_days(meter, clock)
    short = too_short(placed, meter)
    if short is not None:
        raise FileError("The meter file is too short.", [short])
    month = month_of_day(clock.year)
    load_kw = _placed_kw(meter.import_kwh, meter, placed)
    own_kw, pv_notes = _self_used_kw(meter, clock, placed, pv_w, pv_kw)
    load_kw = load_kw + own_kw
    left_share = 0.0
    notes = [_cover_note(placed), *meter.notes, *pv_notes]
    if heater_w is not None and heater_w.any():
        heater_kw = monthly_profile(_daily_kw(heater_w, meter), month, placed.covered)
        load_kw, left_share = without_heater(load_kw, heater_kw, month, placed.covered)
        notes.append(_heater_note(left_share))
    house_w = resampled(load_kw, clock.steps_per_day).ravel() * 1000.0
    return HouseLoad(
        house_w=_filled(house_w, placed, clock, southern=southern),
        controlled_kwh=_controlled_kwh(meter, placed),
        filled_share=float(1.0 - placed.near.mean()),
        heater_left_share=left_share,
        notes=tuple(notes),
    )


def too_short(placed: PlacedDays, meter: MeterData) -> Fault | None:
    """What is wrong with readings that cover too little of the year; ``None`` where they do not."""
    days = int(placed.near.sum())
    if days >= FEWEST_DAYS:
        return None
    return Fault(
        "meter_file",
        f"readings cover only {days} days of the year",
        allowed=f"at least {FEWEST_DAYS} days, better a whole year",
        mend="ask for a longer period, or leave `meter_file|<electricity.meter_file>` out "
        "and give `annual_use_kwh|<electricity.annual_use_kwh>`",
        file=meter.file,
    )


def _cover_note(placed: PlacedDays) -> str:
    near, covered = int(placed.near.sum()), int(placed.covered.sum())
    return (
        f"House load from the meter: {near} of {DAYS_PER_YEAR} days are a metered day of the same "
        f"weekday within {NEAR_DAYS} days, {covered - near} one within {FAR_DAYS} days, "
        f"{DAYS_PER_YEAR - covered} follow the published shape."
    )


def _placed_kw(kwh: FloatArray, meter: MeterData, placed: PlacedDays) -> FloatArray:
    """Power on the simulated year's days at the meter's intervals, shape (365, intervals)."""
    return kwh[placed.index] * (60.0 / meter.interval_min)


def _daily_kw(series_w: FloatArray, meter: MeterData) -> FloatArray:
    """A series of the simulated year [W] at the meter's intervals, shape (365, intervals)."""
    return resampled(
        series_w.reshape(DAYS_PER_YEAR, -1) / 1000.0, MINUTES_PER_DAY // meter.interval_min
    )


def _self_used_kw(
    meter: MeterData,
    clock: YearClock,
    placed: PlacedDays,
    pv_w: FloatArray | None,
    pv_kw: float | None,
) -> tuple[FloatArray, tuple[str, ...]]:
    """What the home used of its panels' yield, and what to say about it."""
    nothing = np.zeros_like(meter.import_kwh[placed.index])
    export_kwh = 0.0 if meter.export_kwh is None else float(meter.export_kwh.sum())
    if meter.export_kwh is None or export_kwh < LEAST_EXPORT_KWH:
        if pv_w is None or not pv_w.any():
            return nothing, ()
        return nothing, ("The meter shows no export: taken to be from before the panels.",)
    export_kw = _placed_kw(meter.export_kwh, meter, placed)
    yield_kw = nothing if pv_w is None else _daily_kw(pv_w, meter)
    share = self_use_share(yield_kw, export_kw, placed.covered)
    check_self_use(share, export_kwh, pv_kw, meter.file or "the meter file")
    mean_kw = monthly_profile(yield_kw - export_kw, month_of_day(clock.year), placed.covered)
    note = (
        f"The panels' yield of the metered days is not known; by their modelled yield the home "
        f"used {share:.0%} of it itself, which was added by month and half hour."
    )
    return np.maximum(0.0, mean_kw), (note,)


def _heater_note(left_share: float) -> str:
    note = (
        "The modelled water heater was taken out of the general register by month and half hour; "
        f"{left_share:.0%} of it did not fit and stays in the house load."
    )
    if left_share > HEATER_LEFT_WARNING:
        note += (
            " Warning: the meter does not look like this heater; check litres, heater and"
            " whether it is on a circuit of its own."
        )
    return note


def _filled(
    house_w: FloatArray, placed: PlacedDays, clock: YearClock, *, southern: bool
) -> FloatArray:
    """The load with days that nothing stands for taken from the published shape, scaled to
    the level of the others."""
    covered = np.repeat(placed.covered, clock.steps_per_day)
    relative = relative_load(clock, southern=southern)
    level_w = house_w[covered].sum() / relative[covered].sum()
    return np.where(covered, house_w, relative * level_w)


def _controlled_kwh(meter: MeterData, placed: PlacedDays) -> float | None:
    """Yearly use of the controlled circuit, by the mean of the placed days."""
    if meter.controlled_kwh is None:
        return None
    by_day = meter.controlled_kwh[placed.index[placed.covered]].sum(axis=1)
    return float(by_day.mean()) * DAYS_PER_YEAR
