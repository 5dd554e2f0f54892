"""The heat pump's curve against laboratory tests, and its year against field studies."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from tankful.model.case import HeaterKind
from tankful.model.result import YearSums
from tankful.physics.heat_pump import capacity_factor, cop_factor
from tankful.proof.capitals import POSTCODES
from tankful.proof.check import JUDGEMENT_BAND, Claim, band, published_rows
from tankful.proof.defaults import default_heater, family_year
from tankful.simulate.run import simulate, year_sums

LAB = (
    "Laboratory tests of heat pump water heaters by the US National Renewable Energy "
    "Laboratory about 2011-12, fitted curve (transcribed from five public copies; the paper "
    "itself from memory)"
)


def claims() -> Iterator[Claim]:
    """Every claim about heat pumps."""
    for row in published_rows("heat_pump_lab"):
        wet_bulb_c, water_c = float(row["wet_bulb_c"]), float(row["water_c"])
        where = f"air of {wet_bulb_c:g} degC wet bulb, water of {water_c:g} degC"
        place = f"{wet_bulb_c:g}-{water_c:g}"
        yield Claim(
            id=f"heat-pump-cop-{place}",
            claim=f"COP relative to rating at {where}",
            source=LAB,
            basis="published",
            expected=float(row["cop_factor"]),
            tolerance=1e-4,
            unit="-",
            compute=partial(cop_factor, wet_bulb_c, water_c),
        )
        yield Claim(
            id=f"heat-pump-capacity-{place}",
            claim=f"Heating power relative to rating at {where}",
            source=LAB,
            basis="published",
            expected=float(row["capacity_factor"]),
            tolerance=1e-4,
            unit="-",
            compute=partial(capacity_factor, wet_bulb_c, water_c),
        )
    yield Claim(
        id="heat-pump-slope",
        claim="Change of COP per kelvin of water between 30 and 60 degC, air 10 degC wet bulb",
        source=f"{LAB}: 1.237 at 30 degC, 0.682 at 60 degC",
        basis="published",
        expected=-0.0185,
        tolerance=0.0001,
        unit="1/K",
        compute=lambda: (cop_factor(10.0, 60.0) - cop_factor(10.0, 30.0)) / 30.0,
    )
    yield from _years()


def _sums(kind: HeaterKind, city: str) -> YearSums:
    year = family_year(city)
    return year_sums(simulate(default_heater(kind), year), year)


def _year_cop(city: str) -> float:
    """Heat into the tank over all electricity, standby and backup included."""
    sums = _sums("heat_pump", city)
    return sums.heat_kwh / sums.electricity_kwh


def _saving(city: str) -> float:
    """Electricity saved against the electric tank that would be assumed."""
    return (
        1.0
        - _sums("heat_pump", city).electricity_kwh / _sums("electric_storage", city).electricity_kwh
    )


def _years() -> Iterator[Claim]:
    for city in POSTCODES:
        yield Claim(
            id=f"heat-pump-year-{city.lower()}",
            claim=f"Year's COP of the assumed heat pump for a family in {city}, always on",
            source="Laboratory 2.8 to 5.5 (Guo et al., Applied Energy, 2011), field 2.2 to 3.0 "
            "(Tangwe and Kusakana, Journal of Energy in Southern Africa 33, 2022); "
            f"{JUDGEMENT_BAND}",
            basis="published",
            **band(2.2, 4.0),
            unit="-",
            compute=partial(_year_cop, city),
        )
    yield Claim(
        id="heat-pump-saving-zone-3",
        claim="Electricity that the assumed heat pump saves against an electric tank in Sydney",
        source="Least saving of a listed heat pump in zone 3: 60 %, NSW Energy Savings Scheme "
        "Rule D17 (transcribed); the test's load and reference differ somewhat",
        basis="published",
        **band(0.60, 0.80),
        unit="-",
        compute=partial(_saving, "Sydney"),
    )
