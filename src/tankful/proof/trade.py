"""Facts of the trade, without a source: heaters against one another, panels, and bills."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache, partial

from tankful.advice.controls import (
    SANITISE_AFTER_H,
    SANITISE_EARLY_H,
    SUN_SETPOINT_C,
    clock_window,
)
from tankful.advice.settle import year_one
from tankful.model.case import Family
from tankful.model.result import YearSums
from tankful.model.system import Control, WaterHeater
from tankful.proof.capitals import POSTCODES
from tankful.proof.check import Claim, band
from tankful.proof.homes import family_home
from tankful.proof.solar_years import capital_run
from tankful.simulate.run import simulate, year_sums
from tankful.units import J_PER_KWH

FACT = "common practice, no source"
USUAL_KW = 6.6
MORE_KW = 8.1
TROPICS = ("Darwin",)

DIVERTED = Control(
    "diverter",
    catch_up_c=47.5,
    sanitise_after_h=SANITISE_AFTER_H,
    sanitise_early_h=SANITISE_EARLY_H,
    setpoint_c=SUN_SETPOINT_C,
)
BY_DAY = Control(
    "hours",
    windows=(clock_window(10, 6),),
    catch_up_c=45.0,
    sanitise_after_h=SANITISE_AFTER_H,
    sanitise_early_h=SANITISE_EARLY_H,
)


def claims() -> Iterator[Claim]:
    """Every fact of the trade."""
    yield from _diverted()
    yield from _solar()
    yield from _bills()
    yield from _panels()


@lru_cache(maxsize=64)
def _heater(city: str, kind: Family, control: Control | None) -> WaterHeater:
    heater = family_home(city, panels_kw=USUAL_KW).home.equipment[kind].heater
    assert heater is not None
    return heater if control is None else heater.under(control)


@lru_cache(maxsize=64)
def _sums(
    city: str, kind: Family, control: Control | None = None, panels_kw: float = USUAL_KW
) -> YearSums:
    year = family_home(city, panels_kw=panels_kw).year
    return year_sums(simulate(_heater(city, kind, control), year), year)


# Heaters against one another


def _diverted_over_heat_pump(city: str) -> float:
    diverted = _sums(city, "electric_storage", DIVERTED).electricity_kwh
    return diverted / _sums(city, "heat_pump", BY_DAY).electricity_kwh


def _diverted() -> Iterator[Claim]:
    for city in POSTCODES:
        yield Claim(
            id=f"trade-diverted-{city.lower()}",
            claim="Electricity of a tank on a diverter over that of a heat pump run from 10 to 16 "
            f"h, a year in {city}",
            source=f"About 4: {FACT}; 3 to 5 accepted. A heat pump that also runs in the cold of "
            "night comes to 2.8 in Canberra and Hobart",
            basis="common practice",
            **band(3.0, 5.0),
            unit="-",
            compute=partial(_diverted_over_heat_pump, city),
        )


def _heat_pump_over_flat_plates(city: str) -> float:
    run = capital_run(city)
    solar = year_sums(run.flows, run.year)
    return _sums(city, "heat_pump").electricity_kwh / solar.electricity_kwh


def _solar() -> Iterator[Claim]:
    for city in (city for city in POSTCODES if city not in TROPICS):
        yield Claim(
            id=f"trade-flat-plates-{city.lower()}",
            claim="Electricity of a heat pump over that of flat plates with an electric boost, "
            f"both always on, a year in {city}",
            source=f"About as much, outside the tropics: {FACT}; a factor of 1.6 either way "
            "accepted",
            basis="common practice",
            **band(1.0 / 1.6, 1.6),
            unit="-",
            compute=partial(_heat_pump_over_flat_plates, city),
        )


# Bills


def _year_cost(city: str, kind: Family, control: Control | None) -> float:
    """First year's money of hot water in a home that burns gas for nothing else."""
    home = family_home(city, panels_kw=USUAL_KW, today="gas_storage")
    heater = home.home.equipment[kind].heater
    assert heater is not None
    flows = simulate(heater if control is None else heater.under(control), home.year)
    burns_gas = kind == "gas_storage"
    return year_one(home.money.bills(flows, burns_gas), home.bills_without).total


def _bill_cut(city: str) -> float:
    return 1.0 - _year_cost(city, "heat_pump", BY_DAY) / _year_cost(city, "gas_storage", None)


def _bills() -> Iterator[Claim]:
    for city in ("Sydney", "Melbourne", "Adelaide"):
        yield Claim(
            id=f"trade-bill-{city.lower()}",
            claim="Cut of the hot water bill from gas storage to a heat pump by day on 6.6 kW of "
            f"panels, gas left, {city}",
            source=f"70 to 80 %: {FACT}; 60 to 90 % accepted, on the shipped default plans of the "
            "state (regulated or typical offers), export lost counted as a cost",
            basis="common practice",
            **band(0.60, 0.90),
            unit="-",
            compute=partial(_bill_cut, city),
        )


# Panels


def _covering_kw(city: str) -> float:
    """Panels whose year's yield is the year's use of house and electric water heater."""
    year = family_home(city, panels_kw=USUAL_KW).year
    kwh = year.clock.step_s / J_PER_KWH
    used_kwh = float(year.house_w.sum()) * kwh + _sums(city, "electric_storage").electricity_kwh
    return USUAL_KW * used_kwh / (float(year.pv_w.sum()) * kwh)


def sun_share(city: str, panels_kw: float) -> float:
    """Share of a diverter's electricity that comes from the home's own panels."""
    sums = _sums(city, "electric_storage", DIVERTED, panels_kw)
    return sums.own_sun_kwh / sums.electricity_kwh


def _gain(city: str) -> float:
    return sun_share(city, MORE_KW) - sun_share(city, USUAL_KW)


def _panels() -> Iterator[Claim]:
    for city in ("Sydney", "Melbourne"):
        yield Claim(
            id=f"trade-cover-{city.lower()}",
            claim="Panels whose yield is what a family's house and electric tank use in a year, "
            f"{city}",
            source=f"About 6.6 kW in a temperate city: {FACT}; 1.5 kW either way accepted",
            basis="common practice",
            expected=USUAL_KW,
            tolerance=1.5,
            unit="kW",
            compute=partial(_covering_kw, city),
        )
    for city in ("Sydney", "Brisbane", "Perth", "Adelaide"):
        yield Claim(
            id=f"trade-sun-share-{city.lower()}",
            claim=f"Share of a family's diverter fed by 6.6 kW of panels in {city}",
            source=f"Most of the water of a family in a well-lit city: {FACT}; more than half",
            basis="common practice",
            **band(0.5, 1.0),
            unit="-",
            compute=partial(sun_share, city, USUAL_KW),
        )
    steps = ((3.0, 0.2, 0.5), (5.0, 0.5, 0.7), (USUAL_KW, 0.6, 0.8), (MORE_KW, 0.65, 0.85))
    for panels_kw, low, high in (*steps, (10.0, 0.7, 0.9)):
        yield Claim(
            id=f"trade-sun-share-melbourne-{panels_kw:g}-kw",
            claim=f"Share of a family's diverter fed by {panels_kw:g} kW of panels in Melbourne",
            source=f"Grows with the panels, ever more slowly: {FACT}; bands are the developers' "
            "judgement",
            basis="common practice",
            **band(low, high),
            unit="-",
            compute=partial(sun_share, "Melbourne", panels_kw),
        )
    yield Claim(
        id="trade-more-panels",
        claim="What 1.5 kW more than 6.6 kW add to that share in Melbourne",
        source=f"About 1.5 kW more feeds a diverter: {FACT}; something, but no tenth (judgement)",
        basis="common practice",
        **band(0.01, 0.10),
        unit="-",
        compute=partial(_gain, "Melbourne"),
    )
