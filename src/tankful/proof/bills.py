"""Bills and emissions against regulators' and government worked examples."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from tankful.casefile.offers import default_electricity_tariff
from tankful.clock import year_clock
from tankful.model.tariff import ElectricityTariff, UsageCharge
from tankful.money.emissions import year_emissions_kg
from tankful.money.settle import electricity_bill, price_year
from tankful.proof.check import Claim
from tankful.units import MJ_PER_KWH

DEFAULT_OFFER = (
    "Australian Energy Regulator, Default Market Offer 2026-27, final determination "
    "(transcribed; May 2026): annual price at the benchmark use, to the dollar"
)
FACTORS = "National Greenhouse Accounts Factors 2025, Australian Government"


def claims() -> Iterator[Claim]:
    """Every claim about bills and emissions."""
    endeavour = ElectricityTariff(
        supply_per_day=1.85135, usage=(UsageCharge(price_per_kwh=0.337273),)
    )
    yield Claim(
        id="bills-default-offer-endeavour",
        claim="4,900 kWh at 33.7273 c/kWh and 185.135 c/day (Endeavour area): bill of a year",
        source=DEFAULT_OFFER,
        basis="published",
        expected=2328.0,
        tolerance=0.5,
        unit="AUD",
        compute=partial(_even_bill, endeavour, 4900.0),
    )
    yield Claim(
        id="bills-default-offer-ausgrid",
        claim="3,900 kWh on the plan assumed for New South Wales (Ausgrid area): bill of a year",
        source=DEFAULT_OFFER,
        basis="published",
        expected=1899.0,
        tolerance=0.5,
        unit="AUD",
        compute=lambda: _even_bill(default_electricity_tariff("NSW")[0], 3900.0),
    )
    yield Claim(
        id="emissions-gas-sydney",
        claim="100,000 GJ of pipeline gas burned in Sydney: greenhouse gas with upstream",
        source=f"{FACTORS}, Example 4: 5,153 t scope 1 and 1,310 t scope 3 (transcribed)",
        basis="published",
        expected=6_463_000.0,
        tolerance=500.0,
        unit="kg CO2-e",
        compute=partial(year_emissions_kg, 0.0, 1e8, "NSW"),
    )
    yield Claim(
        id="emissions-gas-per-kwh",
        claim="Gas with upstream in New South Wales, for each kWh of gas",
        source=f"{FACTORS}: (51.53 + 13.1) kg/GJ x 0.0036 GJ/kWh (transcribed)",
        basis="published",
        expected=0.23267,
        tolerance=1e-5,
        unit="kg/kWh",
        compute=partial(year_emissions_kg, 0.0, MJ_PER_KWH, "NSW"),
    )


def _even_bill(tariff: ElectricityTariff, year_kwh: float) -> float:
    """The bill of a year's use spread evenly over the year."""
    clock = year_clock(2027, "Australia/Sydney", 30, "AU", "NSW")
    nothing = np.zeros(clock.n_steps)
    used = np.full(clock.n_steps, year_kwh / clock.n_steps)
    return electricity_bill(used, nothing, nothing, price_year(tariff, clock)).total
