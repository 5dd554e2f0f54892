"""The standard load of AS/NZS 4234: the shipped table, and heaters simulated under it.

The load is a day's heat by size and zone, a factor for the month and shares by the hour; all of
it from memory. It is drawn here at 45 degC.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache, partial

import numpy as np

from tankful.clock import month_of_day
from tankful.model.case import HeaterKind
from tankful.money.certificates import LoadSize, reference_heater_kwh
from tankful.proof.capitals import POSTCODES, YEAR, capital_of
from tankful.proof.check import Claim, band, published_rows
from tankful.proof.defaults import default_heater, family_year
from tankful.proof.solar_years import capital_run
from tankful.simulate.drive import HomeYear
from tankful.simulate.run import simulate
from tankful.units import (
    DAYS_PER_YEAR,
    J_PER_KWH,
    J_PER_MJ,
    MJ_PER_KWH,
    SECONDS_PER_DAY,
    WATER_CP_J_PER_KG_K,
)
from tankful.use.draws import Draws, draws_on_steps

STANDARD = "AS/NZS 4234, Appendix A (loads, seasons and hours from memory)"
MINIMUM = (
    "NSW Energy Savings Scheme Rule D17, least saving in zone 3 and HP5-AU: 60 % (transcribed)"
)
WANTED_C = 45.0
DRAW_S = 600.0
ZONES = {"Sydney": "zones 1-3", "Melbourne": "zones 4-5", "Canberra": "zones 4-5"}


def claims() -> Iterator[Claim]:
    """Every claim about the standard load."""
    yield from _table()
    yield from _simulated()


def _rows(quantity: str) -> dict[str, float]:
    rows = (row for row in published_rows("asnzs4234_load") if row["quantity"] == quantity)
    return {row["key"]: float(row["value"]) for row in rows}


# The table behind estimated certificates


def _yearly_load_kwh(size: LoadSize, zones: str) -> float:
    """Peak day x season, summed over the days of the year."""
    season = _rows("season")
    factors = [season[str(month)] for month in month_of_day(YEAR)]
    return _rows("peak_mj_per_day")[f"{zones} {size}"] * sum(factors) / MJ_PER_KWH


def _table() -> Iterator[Claim]:
    sizes: tuple[tuple[LoadSize, float], ...] = (("small", 1.66), ("medium", 2.46))
    for size, loss_kwh_per_day in sizes:
        for zone, zones in ((3, "zones 1-3"), (4, "zones 4-5")):
            expected = _yearly_load_kwh(size, zones) + loss_kwh_per_day * DAYS_PER_YEAR
            yield Claim(
                id=f"standard-load-{size}-{zone}",
                claim=f"Electricity of the reference heater behind estimated certificates, {size} "
                f"load, zone {zone}",
                source=f"{STANDARD}; tank losing {loss_kwh_per_day} kWh a day, AS/NZS 4692.2 Table "
                "A5 (transcribed)",
                basis="from memory",
                expected=expected,
                tolerance=0.1,
                unit="kWh/year",
                compute=lambda size=size, zone=zone: float(  # type: ignore[misc]
                    reference_heater_kwh(size, zone)
                ),
            )
    yield Claim(
        id="standard-load-hours",
        claim="Sum of the day's shares by the hour",
        source=STANDARD,
        basis="from memory",
        expected=1.0,
        tolerance=1e-9,
        unit="-",
        compute=lambda: _drawn_kwh("Sydney") / _yearly_load_kwh("medium", ZONES["Sydney"]),
    )


# Heaters under it


def _standard_draws(city: str) -> Draws:
    """A year of the medium load: ten minutes from each full hour that has a share."""
    hours = _rows("hour")
    season = _rows("season")
    peak_j = _rows("peak_mj_per_day")[f"{ZONES[city]} medium"] * J_PER_MJ
    capital = capital_of(POSTCODES[city])
    cold_c = capital.cold_c[:: capital.clock.steps_per_day]
    day_j = peak_j * np.array([season[str(month)] for month in month_of_day(YEAR)])
    start_s = np.array([float(hour) * 3600.0 for hour in hours])
    shares = np.array(list(hours.values()))
    days_s = np.arange(DAYS_PER_YEAR)[:, None] * SECONDS_PER_DAY
    litres = day_j[:, None] * shares / (WATER_CP_J_PER_KG_K * (WANTED_C - cold_c[:, None]))
    n = litres.size
    return Draws(
        start_s=(days_s + start_s).ravel(),
        duration_s=np.full(n, DRAW_S),
        mixed_l=litres.ravel(),
        wanted_c=np.full(n, WANTED_C),
        fixture=np.zeros(n, dtype=np.int64),
        fixture_names=("tap",),
        cold_reference_c=15.0,
        source_id="asnzs-4234-load",
    )


@lru_cache(maxsize=4)
def standard_year(city: str) -> HomeYear:
    """A capital's year under the medium load."""
    clock = capital_of(POSTCODES[city]).clock
    return replace(family_year(city), draws=draws_on_steps(_standard_draws(city), clock))


@lru_cache(maxsize=16)
def _bought_kwh(city: str, kind: HeaterKind) -> float:
    year = standard_year(city)
    heater = default_heater(kind)
    if heater.collector is not None:
        solar = capital_run(city, kind)
        year = replace(year, absorbed_w_per_m2=solar.year.absorbed_w_per_m2)
        heater = solar.heater
    flows = simulate(heater, year)
    bought_w = flows.heater_w + flows.gas_w
    return float(bought_w.sum()) * flows.step_s / J_PER_KWH


def _drawn_kwh(city: str) -> float:
    year = standard_year(city)
    flows = simulate(default_heater("electric_storage"), year)
    return float((flows.delivered_w + flows.unmet_w).sum()) * flows.step_s / J_PER_KWH


def _saving(city: str, kind: HeaterKind) -> float:
    return 1.0 - _bought_kwh(city, kind) / _bought_kwh(city, "electric_storage")


def _simulated() -> Iterator[Claim]:
    yield Claim(
        id="standard-load-reference",
        claim="Electric tank simulated under the medium load in Sydney, over the reference heater "
        "behind estimated certificates",
        source=f"{STANDARD}; the reference loses heat at a rise of 55 K all year, the simulated "
        "tank at its own: 8 % allowed (judgement)",
        basis="from memory",
        expected=1.0,
        tolerance=0.08,
        unit="-",
        compute=lambda: (
            _bought_kwh("Sydney", "electric_storage") / float(reference_heater_kwh("medium", 3))
        ),
    )
    savings: tuple[tuple[str, HeaterKind, str, str, float, float], ...] = (
        ("Sydney", "heat_pump", "heat pump", MINIMUM, 0.60, 0.80),
        ("Canberra", "heat_pump", "heat pump", MINIMUM, 0.60, 0.80),
        (
            "Sydney",
            "solar_flat",
            "flat plates, boost always on",
            "Registered solar heaters of two panels save about 60 to 80 % in zone 3 (from memory)",
            0.60,
            0.80,
        ),
        (
            "Melbourne",
            "solar_flat",
            "flat plates, boost always on",
            "Registered solar heaters of two panels save about 50 to 70 % in zone 4 (from memory)",
            0.50,
            0.70,
        ),
    )
    for city, kind, name, source, low, high in savings:
        yield Claim(
            id=f"standard-load-saving-{kind.replace('_', '-')}-{city.lower()}",
            claim="Electricity saved against an electric tank under the medium load, "
            f"{name}, {city}",
            source=f"{source}; load: {STANDARD}",
            basis="from memory",
            **band(low, high),
            unit="-",
            compute=partial(_saving, city, kind),
        )
    yield Claim(
        id="standard-load-gas-storage",
        claim="Heat drawn over gas burned, assumed gas storage heater in Sydney, medium load",
        source="energyrating.gov.au: 55 % in zone 3 at the medium load (transcribed); load: "
        f"{STANDARD}; 5 points are a judgement",
        basis="from memory",
        **band(0.50, 0.60),
        unit="-",
        compute=lambda: _drawn_kwh("Sydney") / _bought_kwh("Sydney", "gas_storage"),
    )
