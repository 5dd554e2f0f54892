"""Solar water heating against the f-chart method, an independent monthly design method.

First the method's own points, so that the yardstick is right; then the program's year of
the flat-plate heater against the method fed with the same sun, air, cold water and load.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

import numpy as np

from tankful.clock import FloatArray
from tankful.model.case import HeaterKind
from tankful.proof.check import JUDGEMENT_BAND, Claim, band, published_rows
from tankful.proof.fchart_method import (
    Months,
    hot_water_factor,
    monthly_fractions,
    solar_fraction,
    store_factor,
)
from tankful.proof.solar_years import (
    EU_CLIMATES,
    EU_MODIFIER,
    INDOOR_C,
    SolarRun,
    capital_run,
    european_run,
)

CAPITALS = ("Sydney", "Melbourne", "Perth")
YEAR_BAND = 0.05
MONTH_BAND = 0.10
BAND = (
    "f-chart: Klein, Beckman and Duffie, Solar Energy 18, 1976. Same sun, air, cold water, load; "
    "loop without losses, the load with the loss of the boosted half, as the method has it. "
    "Month's means do not see draws, layers or the boost's share of the tank: {band} allowed "
    "(judgement)"
)


def claims() -> Iterator[Claim]:
    """Every claim about the f-chart method."""
    for row in published_rows("fchart_points"):
        yield _point(row)
    for city in CAPITALS:
        sun = f"family of four in {city}, built-in year"
        yield from _simulated(f"fchart-{city.lower()}", sun, partial(capital_run, city, bare=True))
    yield from _optics()
    for climate in EU_CLIMATES:
        sun = f"tapping pattern L in the European {climate} climate"
        run = partial(european_run, climate, bare=True)
        yield from _simulated(f"fchart-european-{climate}", sun, run)


# The method itself


def _point(row: dict[str, str]) -> Claim:
    numbers = [float(row[name]) for name in ("first", "second", "third") if row[name]]
    relation = row["relation"]
    relations: dict[str, tuple[str, Callable[..., float]]] = {
        "fraction": ("solar fraction at X = {}, Y = {}", _fraction),
        "store": ("factor on X for {} L for each m2 of collectors", store_factor),
        "hot water": ("factor on X for water at {} from {} degC, air {} degC", _hot_water),
        "Madison": ("January's fraction of the Madison example, {} m2", _madison),
    }
    text, compute = relations[relation]
    return Claim(
        id="-".join(["fchart", relation.replace(" ", "-").lower(), *(f"{n:g}" for n in numbers)]),
        claim="The method: " + text.format(*(f"{n:g}" for n in numbers)),
        source=row["source"],
        basis="from memory" if "from memory" in row["source"] else "published",
        expected=float(row["expected"]),
        tolerance=float(row["tolerance"]),
        unit="-",
        compute=partial(compute, *numbers),
    )


def _fraction(loss: float, gain: float) -> float:
    return float(solar_fraction(loss, gain))


def _hot_water(delivery_c: float, mains_c: float, air_c: float) -> float:
    return float(hot_water_factor(delivery_c, mains_c, air_c))


def _madison(area_m2: float) -> float:
    """FR UL 4.0 W/m2K, FR (ta) 0.74, exchanger 0.97, 12.9 MJ/m2 a day, -7 degC, 36.0 GJ."""
    loss = area_m2 * 4.0 * 0.97 * (100.0 + 7.0) * 31 * 86_400 / 36.0e9
    gain = area_m2 * 0.74 * 0.97 * 0.96 * 12.9e6 * 31 / 36.0e9
    return _fraction(loss, gain)


# What reflection takes, of which the simulation and the method are both told


def _kept_light(kind: HeaterKind) -> float:
    """Light absorbed in a year in Sydney over all light on the collectors x eta0."""
    run = capital_run("Sydney", kind, bare=True)
    return float(run.absorbed_w_per_m2.sum() / (run.collector.eta0 * run.sun_w_per_m2.sum()))


def _optics() -> Iterator[Claim]:
    kinds: tuple[tuple[HeaterKind, str, float, float, str], ...] = (
        ("solar_flat", "flat plates", 0.89, 0.97, "0.93 to 0.96 for glazed flat plates"),
        ("solar_tube", "evacuated tubes", 0.98, 1.20, "round tubes take more from the side"),
    )
    for kind, name, low, high, why in kinds:
        yield Claim(
            id=f"fchart-optics-{name.split()[-1]}",
            claim=f"Year's mean incidence modifier of {name} in Sydney, sky and ground included",
            source=f"Duffie and Beckman: {why} (from memory); {JUDGEMENT_BAND}",
            basis="from memory",
            **band(low, high),
            unit="-",
            compute=partial(_kept_light, kind),
        )


# The program's year against it


def fractions(run: SolarRun) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Solar fraction by the method and by the simulation, and the load [J], by month.

    The fraction is 1 - boost / load; the load is the heat drawn and what the boosted part of
    the tank would lose at its setting.
    """
    heater = run.heater
    around_c = np.full_like(run.year.air_c, INDOOR_C) if heater.indoors else run.year.air_c
    boosted_loss_w_per_k = heater.loss_w_per_k * (1.0 - heater.heater_height)
    kept_w = boosted_loss_w_per_k * (heater.setpoint_c - around_c)
    load_j = run.month_sums(run.flows.delivered_w + kept_w)
    sun_j = run.month_sums(run.sun_w_per_m2)
    in_europe = heater.indoors
    absorbed_j = run.month_sums(run.absorbed_w_per_m2)
    months = Months(
        load_j=load_j,
        sun_j_per_m2=sun_j,
        modifier=EU_MODIFIER if in_europe else absorbed_j / (run.collector.eta0 * sun_j),
        air_c=run.month_means(run.year.air_c),
        mains_c=run.month_means(run.year.cold_c),
        seconds=run.month_sums(np.ones_like(kept_w)),
    )
    method = monthly_fractions(run.collector, heater.tank_l, heater.setpoint_c, months)
    simulated = 1.0 - run.month_sums(run.flows.heater_w) / load_j
    return method, simulated, load_j


def year_fractions(run: SolarRun) -> tuple[float, float]:
    """The year's solar fraction by the method and by the simulation."""
    method, simulated, load_j = fractions(run)
    weights = load_j / load_j.sum()
    return float((method * weights).sum()), float((simulated * weights).sum())


def _year_difference(run_of: partial[SolarRun]) -> float:
    method, simulated = year_fractions(run_of())
    return simulated - method


def _worst_month(run_of: partial[SolarRun]) -> float:
    """Difference of the month in which it is largest, with its sign."""
    method, simulated, _ = fractions(run_of())
    apart = simulated - method
    return float(apart[np.argmax(np.abs(apart))])


def _simulated(name: str, sun: str, run_of: partial[SolarRun]) -> Iterator[Claim]:
    rows = (
        ("year", "year's solar fraction, simulation less method", YEAR_BAND, _year_difference),
        ("month", "the same in the month farthest off", MONTH_BAND, _worst_month),
    )
    for key, text, tolerance, difference in rows:
        yield Claim(
            id=f"{name}-{key}",
            claim=f"Flat plates, electric boost always on, {sun}: {text}",
            source=BAND.format(band=tolerance),
            basis="published",
            expected=0.0,
            tolerance=tolerance,
            unit="-",
            compute=partial(difference, run_of),
        )
