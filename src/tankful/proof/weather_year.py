"""The built-in year beside a file: a family's year in the file's weather and in that built from
nothing but the file's monthly means."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tankful.advice.controls import SANITISE_AFTER_H, SANITISE_EARLY_H
from tankful.clock import year_clock
from tankful.model.system import Control, HeatPumpRating, WaterHeater
from tankful.simulate.drive import HomeYear
from tankful.simulate.grid import GridSide
from tankful.simulate.run import simulate, year_sums
from tankful.site.climate import Normals, series_of_normals
from tankful.site.mains import daily_burch_christensen
from tankful.site.smooth import daily_means_by_month
from tankful.site.sun_power import ArraySpec, pv_power_w
from tankful.site.weather import HEADER, HOURS_PER_YEAR, Weather, build_weather, weather_steps
from tankful.units import DAYS_PER_YEAR, J_PER_KWH
from tankful.use.draws import draws_on_steps
from tankful.use.house_load import load_from_annual
from tankful.use.household import household_draws

YEAR, STEP_MIN, LAYERS = 2027, 5, 12
PEOPLE, HOUSE_KWH, PANELS_KW, INVERTER_KW, TILT_DEG = 4, 5000.0, 6.6, 5.5, 20.0

DIVERTER = WaterHeater(
    kind="electric_storage",
    control=Control(
        "diverter",
        catch_up_c=45.0,
        sanitise_after_h=SANITISE_AFTER_H,
        sanitise_early_h=SANITISE_EARLY_H,
    ),
    tank_l=315.0,
    setpoint_c=70.0,
    deadband_k=6.0,
    loss_w_per_k=2.0,
    element_w=3600.0,
)
HEAT_PUMP = WaterHeater(
    kind="heat_pump",
    control=Control("always"),
    tank_l=270.0,
    deadband_k=6.0,
    loss_w_per_k=1.9,
    element_w=1500.0,
    heat_pump=HeatPumpRating(
        heat_w=3000.0, cop=3.6, standby_w=4.0, cut_out_air_c=-6.0, frost_penalty=0.15
    ),
)


@dataclass(frozen=True)
class YearMeasures:
    """What a year of weather gives a family of four with 6.6 kW of panels.

    ``day_spread_kwh`` is the standard deviation of a day's surplus, ``raggedness`` the sum of
    its changes from hour to hour within days over its own sum [-].
    """

    pv_kwh: float
    heat_pump_kwh: float
    diverter_grid_share: float
    surplus_kwh: float
    day_spread_kwh: float
    raggedness: float


def normals_of(weather: Weather) -> Normals:
    """Monthly means of a year of hourly weather."""

    def monthly(by_day: np.ndarray) -> np.ndarray:
        return daily_means_by_month(by_day, YEAR)

    ghi, air_c, dew_c = (
        series.reshape(DAYS_PER_YEAR, 24)
        for series in (weather.ghi, weather.temp_air_c, weather.dew_point_c)
    )
    return Normals(
        sun_w_m2=monthly(ghi.mean(axis=1)),
        tmin_c=monthly(air_c.min(axis=1)),
        tmax_c=monthly(air_c.max(axis=1)),
        dew_point_c=monthly(dew_c.mean(axis=1)),
    )


def built_from(weather: Weather, seed: int) -> Weather:
    """The built-in typical year from the monthly means of ``weather``, with its mean wind."""
    where = {name: getattr(weather, name) for name in HEADER}
    series = series_of_normals(normals_of(weather), where, YEAR, seed)
    wind_m_s = np.full(HOURS_PER_YEAR, weather.wind_speed_m_s.mean())
    return build_weather(where, {**series, "wind_speed_m_s": wind_m_s}, "built", ())


def measures(weather: Weather) -> YearMeasures:
    """Simulate the family's diverter and heat pump in this weather."""
    year = _family_year(weather)
    kwh = year.clock.step_s / J_PER_KWH
    diverted = year_sums(simulate(DIVERTER, year), year)
    hourly = (year.surplus_w * kwh).reshape(DAYS_PER_YEAR, 24, -1).sum(axis=2)
    return YearMeasures(
        pv_kwh=float(year.pv_w.sum()) * kwh,
        heat_pump_kwh=year_sums(simulate(HEAT_PUMP, year), year).electricity_kwh,
        diverter_grid_share=diverted.purchased_kwh / diverted.electricity_kwh,
        surplus_kwh=float(hourly.sum()),
        day_spread_kwh=float(hourly.sum(axis=1).std()),
        raggedness=float(np.abs(np.diff(hourly, axis=1)).sum() / hourly.sum()),
    )


def _family_year(weather: Weather) -> HomeYear:
    """Panels towards the equator, the published house load, cold water by the air."""
    hours_behind = -math.floor(weather.utc_offset_h)
    clock = year_clock(YEAR, f"Etc/GMT{hours_behind:+d}" if hours_behind else "UTC", STEP_MIN, "")
    southern = weather.latitude < 0.0
    steps = weather_steps(weather, clock)
    panels = [ArraySpec(PANELS_KW, TILT_DEG, 0.0 if southern else 180.0)]
    cold_c = daily_burch_christensen(steps.temp_air_c, YEAR, southern)
    return HomeYear(
        clock=clock,
        air_c=steps.temp_air_c,
        wet_bulb_c=steps.wet_bulb_c,
        cold_c=np.repeat(cold_c, clock.steps_per_day),
        draws=draws_on_steps(household_draws(clock, PEOPLE, southern=southern), clock),
        house_w=load_from_annual(clock, HOUSE_KWH, southern=southern),
        pv_w=pv_power_w(steps, panels, INVERTER_KW * 1000.0),
        grid=GridSide(np.full(clock.n_steps, np.inf), 1, None, clock.step_s),
        quiet=None,
        layers=LAYERS,
    )
