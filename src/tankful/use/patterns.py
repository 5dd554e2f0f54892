"""The standard days of hot-water draws of European and American tests, every day alike."""

from __future__ import annotations

import numpy as np

from tankful.clock import FloatArray, YearClock
from tankful.data.store import load_table
from tankful.errors import CaseError, Fault
from tankful.units import (
    DAYS_PER_YEAR,
    J_PER_KWH,
    SECONDS_PER_DAY,
    WATER_CP_J_PER_KG_K,
    WATER_KG_PER_L,
)
from tankful.use.draws import Draws

LITRES_PER_GALLON = 3.785411784
"""US liquid gallon, exact by definition (231 cubic inches)."""

EU_COLD_C = 10.0
"""Cold water of the tapping patterns (EN 16147, from memory)."""

EU_LEAST_WANTED_C = 40.0
"""Wanted temperature of a tapping whose law names no peak and a lower useful temperature."""

US_COLD_C = (58.0 - 32.0) / 1.8
US_WANTED_C = (125.0 - 32.0) / 1.8
"""58 and 125 degF (10 CFR 430 subpart B appendix E)."""

US_DAY_STARTS_H = 6.0
"""The American test counts hours from its first draw; the day is begun here (judgement)."""


def standard_names() -> tuple[str, ...]:
    """Names that ``standard_draws`` knows, such as ``EU-M`` and ``US-medium``."""
    eu = dict.fromkeys(f"EU-{row['profile']}" for row in load_table("eu_tapping_patterns"))
    us = dict.fromkeys(f"US-{row['pattern']}" for row in load_table("us_draw_patterns"))
    return (*eu, *us)


def standard_draws(clock: YearClock, name: str) -> Draws:
    """One standard day of draws on each of the 365 days of ``clock``.

    Days are in standard time throughout: a fixed test day has no daylight saving, so the
    arrays are the same for every clock. European tappings carry exactly the heat of the
    law's table above 10 degC; American draws the table's volume at 125 degF. Raises
    CaseError for an unknown name.
    """
    if name not in standard_names():
        fault = Fault(
            "people.pattern",
            "there is no standard day of this name",
            value=repr(name),
            allowed=", ".join(standard_names()),
            mend="use one of these names, or household",
        )
        raise CaseError("The pattern of draws is not known.", [fault])
    region, _, pattern = name.partition("-")
    start_s, duration_s, mixed_l, wanted_c = (
        _eu_day(pattern) if region == "EU" else _us_day(pattern)
    )
    day_s = np.repeat(np.arange(DAYS_PER_YEAR) * SECONDS_PER_DAY, start_s.size)

    def year(series: FloatArray) -> FloatArray:
        return np.tile(series, DAYS_PER_YEAR)

    return Draws(
        start_s=day_s + year(start_s),
        duration_s=year(duration_s),
        mixed_l=year(mixed_l),
        wanted_c=year(wanted_c),
        fixture=np.zeros(day_s.size, dtype=np.int64),
        fixture_names=("tap",),
        cold_reference_c=EU_COLD_C if region == "EU" else US_COLD_C,
        source_id="eu-tapping-patterns" if region == "EU" else "us-uef-draws",
        notes=_EU_NOTES if region == "EU" else _US_NOTES,
    )


_EU_NOTES = (
    "Each tapping carries the heat of the law's table above 10 degC cold water, at its peak "
    "temperature, or where it names none at its useful temperature but at least 40 degC.",
    "The table's flow is taken as the flow of mixed water. Times are standard time all year.",
)
_US_NOTES = (
    "Volumes are drawn at 51.7 degC. With 1 kg/L they carry 2.5 % more heat than the test's "
    "count at hot-water density, 0.5 % more than at cold-water density.",
    f"The first draw is put at {US_DAY_STARTS_H:.0f}:00 standard time (judgement); the times "
    "after it are from memory.",
)


def _eu_day(profile: str) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Start [s], duration [s], mixed volume [L] and wanted temperature [degC] of a day."""
    rows = [row for row in load_table("eu_tapping_patterns") if row["profile"] == profile]
    heat_j = np.array([float(row["energy_kwh"]) * J_PER_KWH for row in rows])
    wanted_c = np.array(
        [
            float(row["peak_temp_c"] or max(float(row["useful_temp_c"]), EU_LEAST_WANTED_C))
            for row in rows
        ]
    )
    mixed_l = heat_j / (WATER_CP_J_PER_KG_K * WATER_KG_PER_L * (wanted_c - EU_COLD_C))
    flow_l_min = np.array([float(row["min_flow_l_min"]) for row in rows])
    start_s = np.array([_seconds(row["time"]) for row in rows])
    return start_s, 60.0 * mixed_l / flow_l_min, mixed_l, wanted_c


def _us_day(pattern: str) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """As ``_eu_day``, from gallons and gallons per minute."""
    rows = [row for row in load_table("us_draw_patterns") if row["pattern"] == pattern]
    gallons = np.array([float(row["volume_gal"]) for row in rows])
    flow_gal_min = np.array([float(row["flow_gal_min"]) for row in rows])
    start_s = np.array([_seconds(row["time_from_start_h_mm"]) for row in rows])
    return (
        start_s + US_DAY_STARTS_H * 3600.0,
        60.0 * gallons / flow_gal_min,
        gallons * LITRES_PER_GALLON,
        np.full(gallons.size, US_WANTED_C),
    )


def _seconds(h_mm: str) -> float:
    hours, _, minutes = h_mm.partition(":")
    return int(hours) * 3600.0 + int(minutes) * 60.0
