"""Gas water heaters against the label's load and government efficiencies."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from tankful.clock import year_clock
from tankful.model.case import HeaterKind
from tankful.proof.check import JUDGEMENT_BAND, Claim, band
from tankful.proof.defaults import PEOPLE, default_heater, family_year
from tankful.proof.rig import run, steady_drive
from tankful.simulate.run import simulate, year_sums
from tankful.units import DAYS_PER_YEAR, J_PER_MJ, MJ_PER_KWH, SECONDS_PER_DAY
from tankful.use.household import household_draws

LABEL = "AS/NZS 4552, public explanation of the gas label: 200 L/day from 15 to 60 degC"


def claims() -> Iterator[Claim]:
    """Every claim about gas."""
    yield Claim(
        id="gas-label-load",
        claim="Heat of a family's 200 L a day, before losses",
        source=f"{LABEL} = 37.7 MJ/day",
        basis="published",
        expected=37.7,
        tolerance=0.04,
        unit="MJ/day",
        compute=_label_load_mj,
    )
    yield Claim(
        id="gas-storage-year",
        claim="Heat at the taps over gas burned in a year, assumed storage heater in Sydney, "
        "200 L a day",
        source="energyrating.gov.au: 55 % in zone 3 at the medium load of AS/NZS 4234 "
        f"(transcribed); {JUDGEMENT_BAND}",
        basis="published",
        **band(0.50, 0.60),
        unit="-",
        compute=partial(_year_efficiency, "gas_storage"),
    )
    yield Claim(
        id="gas-storage-maintenance",
        claim="Gas that keeps the assumed storage heater hot in air 45 K colder, nothing drawn",
        source="Maintenance rate 0.6 to 1.0 MJ/h, AS 4552 (from memory)",
        basis="from memory",
        **band(0.6, 1.0),
        unit="MJ/h",
        compute=_maintenance_mj_per_h,
    )
    kinds: tuple[tuple[HeaterKind, str], ...] = (
        ("gas_storage", "storage"),
        ("gas_continuous", "continuous flow"),
    )
    for kind, name in kinds:
        yield Claim(
            id=f"gas-steady-{kind.removeprefix('gas_')}",
            claim=f"Steady efficiency assumed for a {name} heater",
            source="YourHome, hot water, Australian Government: 75 to 96 % (as cited in a "
            "public source list)",
            basis="published",
            **band(0.75, 0.96),
            unit="-",
            compute=partial(_steady_efficiency, kind),
        )


def _label_load_mj() -> float:
    clock = year_clock(2027, "Australia/Sydney", 60, "AU", "NSW")
    heat_kwh = household_draws(clock, PEOPLE).heat_kwh(15.0)
    return float(heat_kwh.sum()) * MJ_PER_KWH / DAYS_PER_YEAR


def _year_efficiency(kind: HeaterKind) -> float:
    year = family_year("Sydney")
    sums = year_sums(simulate(default_heater(kind), year), year)
    return sums.heat_delivered_kwh / sums.gas_kwh


def _steady_efficiency(kind: HeaterKind) -> float:
    return default_heater(kind).efficiency


def _maintenance_mj_per_h() -> float:
    heater = default_heater("gas_storage")
    step_s, days = 300.0, 30
    steps = round(days * SECONDS_PER_DAY / step_s)
    drive = steady_drive(steps, around_c=heater.setpoint_c - 45.0, allowed_w=heater.burner_w)
    record = run(heater, drive, step_s=step_s, start_c=heater.setpoint_c).record
    return float(np.sum(record.gas_w)) * step_s / J_PER_MJ / (days * 24)
