"""Germs and scalds: kill tables, burn tables, and the sanitising rule over whole years."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache, partial

import numpy as np

from tankful.advice.cautions import TAP_LIMIT_C, TAP_LIMIT_VULNERABLE_C
from tankful.advice.controls import RESERVES_C
from tankful.advice.options import build_options
from tankful.advice.search import Trial
from tankful.model.case import HeaterToday
from tankful.proof.check import Claim, band, published_rows
from tankful.proof.homes import family_home
from tankful.simulate.kernel import SANITISING_C, SANITISING_S, THERMOMETER_K
from tankful.simulate.params import BOOSTED_TO_C

KILL = "Current Microbiology 1989, doi 10.1007/BF01568833 (abstract): D = 0.74 min at 60 degC"
TENFOLD_K = 5.29
"""Rise that makes germs die ten times as fast (handbook page, seen)."""
BURNS = "Moritz and Henriques 1947, as restated in a US table (transcribed), interpolated by log"
RULE = (
    "AS 3498:2020 clause 7.2 as restated by a modelling consultancy (transcribed): weekly 90 % of "
    "the water at 60 degC for 32 minutes, or daily 45 %"
)
HOME = ("Melbourne", 6.6)
TRIED = 6
"""Settings of each option that are compared here, evenly picked: all would take too long."""
KINDS = {
    "electric_storage": "electric tanks",
    "heat_pump": "heat pumps",
    "gas_storage": "gas storage heaters",
}
PREHEATED = {"solar_flat": "flat plates", "solar_tube": "evacuated tubes"}


def claims() -> Iterator[Claim]:
    """Every claim about germs and scalds."""
    yield from _germs()
    yield from _scald()
    yield from _years()
    yield from _booster()


# Germs


def _decades(temp_c: float, decimal_reduction_min: float) -> float:
    """Powers of ten by which the rule's time at ``temp_c`` reduces germs.

    ``decimal_reduction_min`` holds at 60 degC.
    """
    slower = 10.0 ** ((60.0 - temp_c) / TENFOLD_K)
    return float(SANITISING_S / 60.0 / (decimal_reduction_min * slower))


def _hours_for_three_decades(temp_c: float) -> float:
    rows = published_rows("legionella_kill")
    minutes = next(float(r["decimal_reduction_min"]) for r in rows if float(r["temp_c"]) == temp_c)
    return 3.0 * minutes / 60.0


def _germs() -> Iterator[Claim]:
    hardest = max(
        float(row["decimal_reduction_min"])
        for row in published_rows("legionella_kill")
        if row["temp_c"] == "60"
    )
    yield Claim(
        id="hygiene-kill-60",
        claim="Powers of ten by which the heat-through reduces legionella at 60 degC",
        source=f"{KILL}; 32 min / 0.74 min",
        basis="published",
        expected=43.2,
        tolerance=0.1,
        unit="decades",
        compute=lambda: _decades(SANITISING_C, 0.74),
    )
    yield Claim(
        id="hygiene-kill-least",
        claim="The same at the lowest temperature that the program accepts, hardiest strain",
        source=f"Public table: D up to {hardest:g} min at 60 degC (weak); ten times slower for "
        "each 5.29 K less (handbook page, seen); at least 6 decades asked (judgement)",
        basis="published",
        **band(6.0, 60.0),
        unit="decades",
        compute=lambda: _decades(SANITISING_C - THERMOMETER_K, hardest),
    )
    yield Claim(
        id="hygiene-reserve",
        claim="Lowest temperature at which any setting starts to top up",
        source="Legionella grow from 20 to 45 degC (public table and a field study, seen)",
        basis="published",
        **band(45.0, 60.0),
        unit="degC",
        compute=lambda: min(RESERVES_C),
    )
    yield Claim(
        id="hygiene-warm-is-not-enough",
        claim="Time at the warmest reserve for three decades: why a weekly heat-through is needed",
        source="Current Microbiology 1989 (abstract): D = 13.93 min at 55 degC; of use only where "
        "the whole tank is that warm",
        basis="published",
        expected=0.6965,
        tolerance=0.001,
        unit="h",
        compute=lambda: _hours_for_three_decades(max(RESERVES_C)),
    )


# Scalds


def burn_s(temp_c: float, degree: str) -> float:
    """Seconds of contact to a burn of ``second`` or ``third`` degree, 45 to 60 degC."""
    rows = published_rows("scald_time")
    temps_c = [float(row["temp_c"]) for row in rows]
    if not temps_c[0] <= temp_c <= temps_c[-1]:
        raise ValueError(f"{temp_c} degC is outside the table")
    logs = [math.log(float(row[f"{degree}_degree_s"])) for row in rows]
    return math.exp(float(np.interp(temp_c, temps_c, logs)))


def _scald() -> Iterator[Claim]:
    rows = (
        ("tap", "at the highest temperature named for taps", "second", TAP_LIMIT_C, 120.0, 480.0),
        (
            "care",
            "where children or frail people live",
            "second",
            TAP_LIMIT_VULNERABLE_C,
            3600,
            2e4,
        ),
    )
    for key, text, degree, temp_c, low, high in rows:
        yield Claim(
            id=f"hygiene-scald-{key}",
            claim=f"Contact to a second-degree burn {text}",
            source=f"{BURNS}; at least {low / 60:.0f} minutes asked (judgement)",
            basis="published",
            **band(low, high),
            unit="s",
            compute=partial(burn_s, temp_c, degree),
        )
    yield Claim(
        id="hygiene-scald-store",
        claim="The same with water as stored, why every answer asks for a tempering valve",
        source=BURNS,
        basis="published",
        **band(1.0, 5.0),
        unit="s",
        compute=lambda: burn_s(HeaterToday().setpoint_c, "second"),
    )


# Whole years


@lru_cache(maxsize=1)
def _chosen() -> tuple[Trial, ...]:
    """Every storage option of a home with gas and panels, under its best setting."""
    city, panels_kw = HOME
    comparison = family_home(city, panels_kw=panels_kw, today="gas_storage")
    options, _ = build_options(comparison.home)
    chosen = []
    for option in options:
        if option.heater.tank_l and not option.heater.booster:
            every = max(1, len(option.controls) // TRIED)
            few = replace(option, controls=option.controls[::every][:TRIED])
            chosen.append(comparison.search(few).best)
    return tuple(chosen)


def _longest_gap_h(kind: str) -> float:
    """Of all options of the kind."""
    return max(trial.longest_below_60_h for trial in _chosen() if trial.heater.kind == kind)


def _unchecked() -> int:
    return sum(trial.heater.kind not in {**KINDS, **PREHEATED} for trial in _chosen())


def _years() -> Iterator[Claim]:
    city, panels_kw = HOME
    where = f"family in {city}, {panels_kw} kW of panels, best of a few settings"
    limits = (
        (KINDS, 168.0, "the heat-through", "weekly"),
        (PREHEATED, 48.0, "one of the boosted half", "daily, early one day and late on the next"),
    )
    for kinds, limit_h, what, often in limits:
        for kind, name in kinds.items():
            yield Claim(
                id=f"hygiene-year-{kind.replace('_', '-')}",
                claim=f"Longest time of a year without {what}, all options with {name}: {where}",
                source=f"{RULE}; {often}",
                basis="published",
                **band(0.0, limit_h),
                unit="h",
                compute=partial(_longest_gap_h, kind),
            )
    yield Claim(
        id="hygiene-year-all",
        claim="Storage options of that home which none of these checks looks at",
        source="Counted: every kind of tank heater that the program offers is on the list",
        basis="published",
        expected=0.0,
        tolerance=0.0,
        unit="options",
        compute=_unchecked,
    )


def _booster() -> Iterator[Claim]:
    yield Claim(
        id="hygiene-booster",
        claim="Temperature to which a booster lifts the water of a tank that only preheats",
        source="AS 3498: 60 to 70 degC (from memory)",
        basis="from memory",
        **band(60.0, 70.0),
        unit="degC",
        compute=lambda: BOOSTED_TO_C,
    )
