"""Solar water heaters in the capitals and in the European reference climates, run once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from tankful.clock import FloatArray, IntArray, YearClock, month_of_day, year_clock
from tankful.model.case import HeaterKind
from tankful.model.result import Flows
from tankful.model.system import Collector, WaterHeater
from tankful.physics.pv import tilted_components
from tankful.proof.capitals import POSTCODES, YEAR, capital_of
from tankful.proof.check import published_rows
from tankful.proof.defaults import default_heater, family_year
from tankful.proof.rig import steady_year
from tankful.simulate.drive import HomeYear
from tankful.simulate.run import simulate
from tankful.site.collector_sun import CollectorSpec, absorbed_w_per_m2
from tankful.site.weather import WeatherSteps
from tankful.use.patterns import EU_COLD_C, standard_draws

EU_CLIMATES = ("average", "colder", "warmer")
EU_TILT_DEG = 45.0
EU_MODIFIER = 0.96
"""What reflection leaves of a month's light on flat plates (Duffie and Beckman, from memory)."""

INDOOR_C = 20.0


@dataclass(frozen=True, eq=False)
class SolarRun:
    """One solar heater's year. ``sun_w_per_m2`` falls on the collectors, shape ``(n,)``."""

    heater: WaterHeater
    collector: Collector
    year: HomeYear
    sun_w_per_m2: FloatArray
    flows: Flows

    @property
    def absorbed_w_per_m2(self) -> FloatArray:
        return self.year.absorbed_w_per_m2[self.collector]

    def month_sums(self, power_w: FloatArray) -> FloatArray:
        """Energy of each month [J], shape ``(12,)``."""
        sums = np.bincount(self._months - 1, weights=power_w, minlength=12) * self.flows.step_s
        return np.asarray(sums, dtype=np.float64)

    def month_means(self, series: FloatArray) -> FloatArray:
        """Mean of each month, shape ``(12,)``."""
        return self.month_sums(series) / self.month_sums(np.ones_like(series))

    @property
    def _months(self) -> IntArray:
        return np.repeat(month_of_day(YEAR), self.year.clock.steps_per_day)


def _heater(kind: HeaterKind, bare: bool) -> tuple[WaterHeater, Collector]:
    """The heater as assumed; ``bare`` without loss of pipes, pump and frost guard."""
    heater = default_heater(kind)
    collector = heater.collector
    assert collector is not None
    if bare:
        collector = replace(collector, pipe_loss_w_per_k=0.0, pump_w=0.0, frost_guard_c=None)
    return replace(heater, collector=collector), collector


def light_on(steps: WeatherSteps, *, tilt_deg: float, facing_deg: float) -> FloatArray:
    """Irradiance on a plane [W/m2], shape ``(n_steps,)``."""
    light = np.zeros_like(steps.ghi)
    up = steps.ghi > 0.0
    names = ("zenith_deg", "azimuth_deg", "ghi", "dni", "dhi", "dni_extra")
    columns = (getattr(steps, name)[up] for name in names)
    light[up] = tilted_components(*columns, tilt_deg=tilt_deg, facing_deg=facing_deg).total
    return light


@lru_cache(maxsize=32)
def capital_run(city: str, kind: HeaterKind = "solar_flat", *, bare: bool = False) -> SolarRun:
    """The assumed solar heater of a family of four in a capital, boost always on."""
    heater, collector = _heater(kind, bare)
    steps = capital_of(POSTCODES[city]).steps
    tilt_deg, facing_deg = collector.tilt_deg, collector.azimuth_deg
    spec = CollectorSpec(
        tilt_deg, facing_deg, collector.eta0, collector.iam_b0, collector.iam_transversal_50
    )
    sun = {collector: absorbed_w_per_m2(steps, spec)}
    year = replace(family_year(city), absorbed_w_per_m2=sun)
    light = light_on(steps, tilt_deg=tilt_deg, facing_deg=facing_deg)
    return SolarRun(heater, collector, year, light, simulate(heater, year))


def _european_clock() -> YearClock:
    return year_clock(YEAR, "Europe/Paris", 15, "FR", None)


def _european_light(climate: str) -> FloatArray:
    """Light on a roof of 45 degrees: the published months with Hobart's days, half a year on.

    Hobart lends the order of clear and dull days and the course of a day; each month is then
    scaled to the published mean.
    """
    steps = capital_of(POSTCODES["Hobart"]).steps
    light = np.roll(light_on(steps, tilt_deg=EU_TILT_DEG, facing_deg=0.0), _half_a_year(steps))
    months = np.repeat(month_of_day(YEAR), light.size // 365) - 1
    means = np.bincount(months, weights=light) / np.bincount(months)
    wanted = _climate(climate, "irradiance_45_deg_south_w_per_m2")
    return np.asarray(light * (wanted / means)[months], dtype=np.float64)


def _half_a_year(steps: WeatherSteps) -> int:
    """Steps of half a year, in whole days."""
    return steps.ghi.size // 365 * 182


def _climate(climate: str, column: str) -> FloatArray:
    rows = [row for row in published_rows("eu_reference_climates") if row["climate"] == climate]
    return np.array([float(row[column]) for row in rows])


@lru_cache(maxsize=8)
def european_run(climate: str, *, bare: bool = False) -> SolarRun:
    """The assumed flat-plate heater under tapping pattern L in a European reference climate."""
    heater, collector = _heater("solar_flat", bare)
    heater = replace(heater, indoors=True)
    clock = _european_clock()
    light = _european_light(climate)
    months = np.repeat(month_of_day(YEAR), clock.steps_per_day) - 1
    plain = steady_year(clock, standard_draws(clock, "EU-L"), around_c=INDOOR_C, cold_c=EU_COLD_C)
    year = replace(
        plain,
        air_c=np.ascontiguousarray(_climate(climate, "daytime_air_c")[months]),
        absorbed_w_per_m2={collector: collector.eta0 * EU_MODIFIER * light},
    )
    return SolarRun(heater, collector, year, light, simulate(heater, year))
