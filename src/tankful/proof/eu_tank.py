"""An electric tank on the European tapping patterns: a day's electricity, efficiency, class.

The efficiency's formulas are a reference, from memory (the law's copies show them as images).
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from tankful.model.system import WaterHeater
from tankful.proof.check import Claim, band
from tankful.proof.day_test import DayTest, run_day
from tankful.proof.rig import electric_tank
from tankful.use.patterns import EU_COLD_C

LAW = "Commission Delegated Regulation (EU) 812/2013"
ROOM_C = 20.0
STORE_C = 65.0
"""Store and room of the standing loss test (EN 50440, from memory)."""

CONVERSION = 2.5
"""Primary energy for electricity in the law's text of 2013."""
CORRECTION = 0.23
"""The law's k for patterns up to XL."""
LABEL_DAYS = 0.6 * 366.0

TANKS_L = {"M": 80.0, "L": 150.0}
USEFUL_KWH = {"M": 5.845, "L": 11.655}
SETPOINT_C = 60.0


def class_b_loss_w(volume_l: float) -> float:
    """Highest standing loss of class B [W] (812/2013 Annex II Table 2)."""
    return 12.0 + 5.93 * float(volume_l**0.4)


def efficiency(useful_kwh: float, bought_kwh: float) -> float:
    """Water heating efficiency of an electric tank without smart control [-]."""
    correction = -CORRECTION * CONVERSION * (bought_kwh - useful_kwh)
    return useful_kwh / (CONVERSION * bought_kwh + correction)


def annual_kwh(useful_kwh: float, bought_kwh: float) -> float:
    """Annual electricity consumption on the label [kWh]."""
    return LABEL_DAYS * (bought_kwh - CORRECTION * (bought_kwh - useful_kwh))


def claims() -> Iterator[Claim]:
    """Every claim about European tanks."""
    yield from _formulas()
    yield _loss()
    for pattern in TANKS_L:
        yield from _day(pattern)


def _formulas() -> Iterator[Claim]:
    rows = (("M", 6.8, 0.3553, 1445.0), ("L", 12.9, 0.3696, 2770.0))
    for pattern, bought_kwh, share, year_kwh in rows:
        useful_kwh = USEFUL_KWH[pattern]
        text = f"pattern {pattern}, {bought_kwh} kWh a day"
        source = f"{LAW} Annex VIII (k seen, formulas from memory); arithmetic"
        yield Claim(
            id=f"eu-tank-formula-{pattern.lower()}",
            claim=f"The method: efficiency of an electric tank, {text}",
            source=source,
            basis="from memory",
            expected=share,
            tolerance=1e-4,
            unit="-",
            compute=partial(efficiency, useful_kwh, bought_kwh),
        )
        yield Claim(
            id=f"eu-tank-label-{pattern.lower()}",
            claim=f"The method: annual consumption on the label, {text}",
            source=source,
            basis="from memory",
            expected=year_kwh,
            tolerance=0.1,
            unit="kWh",
            compute=partial(annual_kwh, useful_kwh, bought_kwh),
        )


def _loss() -> Claim:
    return Claim(
        id="eu-tank-class-b",
        claim="The method: highest standing loss of class B, 250 L",
        source=f"{LAW} Annex II Table 2; arithmetic",
        basis="published",
        expected=65.98,
        tolerance=0.01,
        unit="W",
        compute=partial(class_b_loss_w, 250.0),
    )


# The program's day


def _tank(pattern: str) -> WaterHeater:
    volume_l = TANKS_L[pattern]
    return electric_tank(
        volume_l=volume_l,
        loss_w_per_k=class_b_loss_w(volume_l) / (STORE_C - ROOM_C),
        element_w=2000.0,
        setpoint_c=SETPOINT_C,
    )


def tapped_day(pattern: str) -> DayTest:
    """Cold water of 10 degC, room of 20 degC; a tank at the limit of class B."""
    return run_day(_tank(pattern), f"EU-{pattern}", around_c=ROOM_C, cold_c=EU_COLD_C)


def _bought_kwh(pattern: str) -> float:
    day = tapped_day(pattern)
    return day.bought - day.stored


def _short_kwh(pattern: str) -> float:
    return tapped_day(pattern).unmet


def _efficiency(pattern: str) -> float:
    return efficiency(USEFUL_KWH[pattern], _bought_kwh(pattern))


def _day(pattern: str) -> Iterator[Claim]:
    useful_kwh, volume_l = USEFUL_KWH[pattern], TANKS_L[pattern]
    loss_w_per_k = class_b_loss_w(volume_l) / (STORE_C - ROOM_C)
    hot_kwh = loss_w_per_k * (SETPOINT_C - ROOM_C) * 24.0 / 1000.0
    tank = f"Electric tank of {volume_l:.0f} L at the limit of class B, tapping pattern {pattern}"
    yield Claim(
        id=f"eu-tank-day-{pattern.lower()}",
        claim=f"{tank}: electricity of a settled day",
        source=f"{LAW} Annex VII Table 3: {useful_kwh} kWh drawn; loss between 0.75 and 1 times "
        f"that of a tank hot throughout, {hot_kwh:.2f} kWh: draws leave it part cold (judgement)",
        basis="published",
        **band(useful_kwh + 0.75 * hot_kwh, useful_kwh + hot_kwh),
        unit="kWh",
        compute=partial(_bought_kwh, pattern),
    )
    yield Claim(
        id=f"eu-tank-served-{pattern.lower()}",
        claim=f"{tank}: heat missing from its tappings in the day",
        source=f"{LAW} Annex VII: every tapping must reach its temperature",
        basis="published",
        expected=0.0,
        tolerance=0.01 * useful_kwh,
        unit="kWh",
        compute=partial(_short_kwh, pattern),
    )
    yield Claim(
        id=f"eu-tank-efficiency-{pattern.lower()}",
        claim=f"{tank}: water heating efficiency",
        source=f"{LAW} Annex VIII (formulas from memory); electric tanks are sold with about 0.33 "
        "to 0.40, classes D and C (from memory)",
        basis="from memory",
        **band(0.33, 0.40),
        unit="-",
        compute=partial(_efficiency, pattern),
    )
