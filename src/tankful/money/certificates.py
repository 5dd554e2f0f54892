"""Small-scale technology certificates: one for each MWh an installation is deemed to save.

The scheme ends with 2030, so what is installed later earns none, and every year of waiting
costs a year of certificates. Numbers are exact (fractions, not floats) and rounded down.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import Literal

import numpy as np

from tankful.clock import ANY_COMMON_YEAR
from tankful.data.store import load_table
from tankful.model.case import SOLAR_THERMAL, Family
from tankful.money.lines import days_in_months

LoadSize = Literal["small", "medium"]
HEAT_PUMP_ZONES = (1, 2, 3, 4, 5)
SOLAR_HEATER_ZONES = (1, 2, 3, 4)


@lru_cache(maxsize=1)
def stc_rules() -> dict[tuple[str, str], Fraction]:
    """The shipped table ``stc_rules`` by item and key, as exact fractions."""
    return {(row["item"], row["key"]): Fraction(row["value"]) for row in load_table("stc_rules")}


def deeming_years(install_year: int) -> int:
    """Years left in the scheme, the year of installation included: 2031 - year, never below 0."""
    return max(0, int(_rule("scheme_last_year")) + 1 - install_year)


def pv_certificates(kw: float, zone: int, install_year: int) -> int:
    """Certificates of new panels: floor(kW x zone rating x years left).

    ``kw`` is the rated power of all panels (not negative), ``zone`` the postcode's zone 1 to
    4 for panels. At most 15 years count; above 100 kW the system is a power station and
    earns none. The power is taken to the watt, so that 3.3 + 3.3 is 6.6. ValueError on an
    unknown zone or a negative power. Source ids ``stc-pv-zone-ratings``, ``stc-pv-deeming``.
    """
    rating = stc_rules().get(("pv_zone_rating_mwh_per_kw_year", str(zone)))
    if rating is None or not kw >= 0.0:
        raise ValueError(f"zone must be 1 to 4 and kw not negative, got {zone}, {kw}")
    if kw > _rule("pv_max_kw"):
        return 0
    years = min(deeming_years(install_year), int(_rule("pv_max_deeming_years")))
    return int(Fraction(round(kw * 1000), 1000) * rating * years)


def water_heater_certificates(ten_year_number: int, install_year: int) -> int:
    """Certificates of a water heater now, from its registered ten-year number.

    floor(number x years left / 10), at most the registered number (until 2021). Source id
    ``stc-water-heater-deeming``.
    """
    if ten_year_number < 0:
        raise ValueError(f"ten_year_number must not be negative, got {ten_year_number}")
    register_years = int(_rule("water_heater_register_years"))
    return ten_year_number * min(deeming_years(install_year), register_years) // register_years


EARNING: frozenset[str] = SOLAR_THERMAL | {"heat_pump"}
"""Families that draw heat from sun or air."""


def estimated_ten_year_certificates(family: Family, zone: int, tank_l: float) -> int:
    """A careful estimate of the registered ten-year number of a model not looked up.

    A heat pump or a solar heater is taken to save 60 % of the reference electric heater, the
    minimum that a scheme asks of heat pumps. That heater meets the standard load of its size
    and zone and makes good the heat loss of its tank. Most models do better, so the register's
    number is usually higher. ``zone`` is the postcode's zone in the table of the family: 1 to 5
    for heat pumps, 1 to 4 for solar heaters. Heat pumps with tanks above 425 L, and families
    that do not draw heat from sun or air, earn none. Show it as an estimate. Source ids
    ``ess-d17-minimum-saving``, ``asnzs-4234-load``, ``stc-reference-tank``,
    ``stc-load-by-tank``.
    """
    zones = SOLAR_HEATER_ZONES if family in SOLAR_THERMAL else HEAT_PUMP_ZONES
    if zone not in zones or not tank_l >= 0.0:
        raise ValueError(f"zone must be in {zones} and tank_l not negative, got {zone}, {tank_l}")
    if family not in EARNING or (
        family == "heat_pump" and tank_l > _rule("heat_pump_max_volume_l")
    ):
        return 0
    size: LoadSize = "small" if tank_l < _rule("small_load_below_tank_l") else "medium"
    saved_kwh = reference_heater_kwh(size, zone) * _rule("heat_pump_minimum_saving_fraction")
    return int(saved_kwh * 10 / 1000)


def reference_heater_kwh(size: LoadSize, zone: int) -> Fraction:
    """Yearly electricity of the reference electric heater [kWh].

    The standard's peak day x its season factors, plus the heat loss of the tank. The loss
    is the greatest allowed at the test's temperature rise of 55 K, all year.
    """
    zones = "zones 1-3" if zone <= 3 else "zones 4-5"
    peak_mj = stc_rules()["reference_peak_load_mj_per_day", f"{size} {zones}"]
    days = days_in_months(ANY_COMMON_YEAR).astype(np.int64).tolist()
    season = [stc_rules()["reference_load_season_fraction", str(m)] for m in range(1, 13)]
    load_mj = peak_mj * sum((n * part for n, part in zip(days, season, strict=True)), Fraction(0))
    loss_kwh = stc_rules()["reference_tank_loss_kwh_per_day", size]
    return load_mj / Fraction("3.6") + loss_kwh * sum(days, Fraction(0))


def _rule(item: str) -> Fraction:
    return stc_rules()[item, "all"]
