"""Hygiene and scald limits against codes and government advice."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from tankful.advice.cautions import TAP_LIMIT_C, TAP_LIMIT_VULNERABLE_C
from tankful.advice.controls import SANITISE_AFTER_H
from tankful.model.case import HeaterToday
from tankful.model.system import Control, HeatPumpRating, WaterHeater
from tankful.proof.check import Claim, band
from tankful.proof.rig import run, steady_drive
from tankful.simulate.comfort import longest_gap_h
from tankful.simulate.kernel import sanitising_clocks

WEEKLY = (
    "AS 3498:2020 clause 7.2 as restated by a modelling consultancy (transcribed): 90 % of the "
    "water at 60 degC for 32 minutes once in 7 days"
)
CODE = "National Construction Code 2022 volume 3, NSW B2D5"


def claims() -> Iterator[Claim]:
    """Every claim about hygiene and scald."""
    yield from _sanitising()
    yield from _settings()


def _sanitising() -> Iterator[Claim]:
    yield Claim(
        id="health-weekly-heat-through",
        claim="Heat pump tank set to 50 degC with the weekly programme: longest time between "
        "two heat-throughs in 8 weeks",
        source=WEEKLY,
        basis="published",
        **band(0.0, 168.0),
        unit="h",
        compute=_longest_gap_with_programme_h,
    )
    for minutes, gap_h in ((30, 48.0), (35, 24.0)):
        yield Claim(
            id=f"health-rule-{minutes}-minutes",
            claim=f"{minutes} minutes at 60 degC in the middle of two days: longest time "
            "counted without a heat-through",
            source=f"{WEEKLY}; half an hour is short of the rule",
            basis="published",
            expected=gap_h,
            tolerance=0.6,
            unit="h",
            compute=partial(_gap_around_hot_spell_h, minutes),
        )


def _settings() -> Iterator[Claim]:
    yield Claim(
        id="health-store-setting",
        claim="Thermostat setting assumed for a tank when the case gives none",
        source="Queensland Government, hot water in the home, 2024: store at 60 degC or more",
        basis="published",
        expected=60.0,
        tolerance=0.0,
        unit="degC",
        compute=lambda: HeaterToday().setpoint_c,
    )
    yield Claim(
        id="health-tap-limit",
        claim="Highest temperature at bathroom taps named in the cautions",
        source=CODE,
        basis="published",
        expected=50.0,
        tolerance=0.0,
        unit="degC",
        compute=lambda: TAP_LIMIT_C,
    )
    yield Claim(
        id="health-tap-limit-care",
        claim="The same where small children, elderly or disabled people live",
        source=f"{CODE}: aged care, patient care, early childhood, schools, disability; "
        "carried over to such homes by judgement",
        basis="published",
        expected=45.0,
        tolerance=0.0,
        unit="degC",
        compute=lambda: TAP_LIMIT_VULNERABLE_C,
    )


def _longest_gap_with_programme_h() -> float:
    heater = WaterHeater(
        kind="heat_pump",
        control=Control("always", catch_up_c=45.0, sanitise_after_h=SANITISE_AFTER_H),
        tank_l=250.0,
        setpoint_c=50.0,
        loss_w_per_k=1.64,
        heat_pump=HeatPumpRating(
            heat_w=3000.0, cop=3.5, standby_w=2.0, cut_out_air_c=-5.0, frost_penalty=0.1
        ),
    )
    step_s = 300.0
    drive = steady_drive(
        round(56 * 86_400 / step_s), draw_kg=0.7, wanted_c=40.0, allowed_w=1000.0
    )._replace(catch_up_w=np.full(round(56 * 86_400 / step_s), 1000.0))
    record = run(heater, drive, step_s=step_s, start_c=50.0).record
    return longest_gap_h(record.since_hot_h)


def _gap_around_hot_spell_h(minutes: int) -> float:
    """Longest gap the program counts in 48 h of 50 degC with one spell at 60 degC half-way."""
    low_c = np.full(2 * 24 * 60, 50.0)
    middle = low_c.size // 2
    low_c[middle : middle + minutes] = 60.0
    since_s, hot_for_s = 0.0, 0.0
    since_hot_h = np.empty_like(low_c)
    for t, temp_c in enumerate(low_c):
        since_s, hot_for_s = sanitising_clocks(since_s, hot_for_s, temp_c, 60.0)
        since_hot_h[t] = since_s / 3600.0
    return longest_gap_h(since_hot_h)
