"""Yearly solar heat by the United Kingdom's SAP 2012, Appendix H: a reference of its own.

Steps as seen in public code. Fitted to British sun, about 900 to 1,200 kWh/m2 a year on the
collectors; it knows no weather but the year's sun.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log


@dataclass(frozen=True)
class SolarYear:
    """The method's steps and its result."""

    loss_coefficient: float
    """a* = 0.892 (a1 + 45 a2) [W/m2K]."""
    available_kwh: float
    utilisation: float
    performance: float
    store_factor: float

    @property
    def solar_kwh(self) -> float:
        """Solar heat of the year [kWh]."""
        return self.available_kwh * self.utilisation * self.performance * self.store_factor


def solar_year(
    *,
    area_m2: float,
    eta0: float,
    a1: float,
    a2: float,
    sun_kwh_per_m2: float,
    load_kwh: float,
    solar_store_l: float,
    whole_store_l: float,
    daily_l: float,
) -> SolarYear:
    """The steps for collectors without shade.

    ``solar_store_l`` is the part of the store below the boost, ``daily_l`` the hot water of
    a day.
    """
    loss = 0.892 * (a1 + 45.0 * a2)
    ratio = loss / eta0
    if ratio < 20.0:
        performance = 0.97 - 0.0367 * ratio + 0.0006 * ratio**2
    else:
        performance = 0.693 - 0.0108 * ratio
    available_kwh = area_m2 * eta0 * sun_kwh_per_m2
    effective_l = solar_store_l + 0.3 * (whole_store_l - solar_store_l)
    return SolarYear(
        loss_coefficient=loss,
        available_kwh=available_kwh,
        utilisation=1.0 - exp(-load_kwh / available_kwh),
        performance=performance,
        store_factor=min(1.0, 1.0 + 0.2 * log(effective_l / daily_l)),
    )
