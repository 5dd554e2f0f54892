"""What heating power costs by the hour, kinder than it is: the money side of the bound."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tankful.advice.cheapest_heat import HomeBattery, Supply
from tankful.advice.foresight_year import by_hour, coldest_water_c, pump_levels_c
from tankful.advice.settle import HomeMoney
from tankful.clock import FloatArray
from tankful.model.system import HeatPumpRating, WaterHeater
from tankful.model.tariff import FeedIn, UsageCharge
from tankful.money.priced import PricedYear
from tankful.money.settle import bill_metered, meter_year
from tankful.physics.heat_pump import (
    air_capacity_factor,
    capacity_factor,
    carnot_cop_factor,
    cop_factor,
    frost_factor,
)
from tankful.simulate.control import windows_mask
from tankful.simulate.drive import HomeYear
from tankful.simulate.grid import GridFlows
from tankful.simulate.heating import MIN_COP
from tankful.units import J_PER_KWH

STRONGEST_AT_C = (10.0, 14.0, 18.0, 22.0, 26.0)
"""Water temperatures around which the lab curve's heating power is largest."""

CURVE_SLACK = 0.001
"""Most that the curve rises between two of them, as a share of the rating."""


def supply_of(heater: WaterHeater, year: HomeYear, money: HomeMoney) -> Supply:
    """Heating power, the electricity it takes and the prices of each hour.

    Kinder: the cheapest price of the hour and of any block, free hours without their cap, no
    demand charge; the sun of an hour serves the whole hour, and the heater takes any power up
    to its most.
    """
    per_heat, heat_w = heating_of(heater, year)
    price, _ = usage_prices(money.priced)
    exported, curtailed = _spare_kwh(heater, year)
    if heater.circuit == "controlled":
        circuit = money.priced.tariff.controlled_load
        assert circuit is not None, "a controlled circuit needs its plan"
        price = np.full_like(price, circuit.price_per_kwh)
        heat_w = np.where(windows_mask(circuit.hours, year.clock), heat_w, 0.0)
        exported = curtailed = np.zeros_like(exported)
    if year.quiet is not None and heater.heat_pump is not None:
        heat_w = np.where(year.quiet, 0.0, heat_w)
    return Supply(
        kwh_per_heat=per_heat,
        most_heat_kwh=_kwh(heat_w, year),
        price=by_hour(price, year).min(axis=1),
        feed_in=by_hour(_feed_in_price(money.priced), year).min(axis=1),
        exported_kwh=exported,
        curtailed_kwh=curtailed,
    )


def battery_of(year: HomeYear, money: HomeMoney, heater: WaterHeater) -> HomeBattery | None:
    """The home's battery, run with the same foresight; ``None`` without one, and beside a heater
    on a controlled circuit, which a battery never feeds."""
    battery = year.grid.battery
    if battery is None or heater.circuit == "controlled":
        return None
    _, dearest = usage_prices(money.priced)
    return HomeBattery(
        capacity_kwh=battery.capacity_kwh * (1.0 - battery.reserve_fraction),
        power_kw=battery.power_kw,
        one_way_efficiency=battery.round_trip_efficiency**0.5,
        bought_kwh=_kwh(_at_rest(heater, year).import_w, year),
        saves=by_hour(dearest, year).max(axis=1),
    )


def cost_at_rest(heater: WaterHeater, year: HomeYear, money: HomeMoney) -> float:
    """The year's electricity with the heater never heating, and without a battery that
    ``battery_of`` reckons with."""
    controlled = heater.circuit == "controlled"
    rest = _at_rest(heater, year)
    kwh = year.clock.step_s / J_PER_KWH
    standby_kwh = heater.standby_w * kwh if controlled else 0.0
    metered = meter_year(
        rest.import_w * kwh,
        rest.export_w * kwh,
        np.full(year.clock.n_steps, standby_kwh),
        money.priced,
    )
    plan = money.priced.tariff
    return bill_metered(metered, plan, with_controlled_circuit=controlled).total


def _at_rest(heater: WaterHeater, year: HomeYear) -> GridFlows:
    house_w = year.house_w + _standby_w(heater)
    grid = year.grid if heater.circuit == "controlled" else replace(year.grid, battery=None)
    return grid.flows(house_w, np.zeros_like(house_w), year.pv_w)


def _standby_w(heater: WaterHeater) -> float:
    return 0.0 if heater.circuit == "controlled" else heater.standby_w


def _spare_kwh(heater: WaterHeater, year: HomeYear) -> tuple[FloatArray, FloatArray]:
    """Spare sun within the heater's reach: what would be exported, and what curtailed.

    A battery evens out the phases; kinder, it is taken to do so without loss.
    """
    spare_w = np.maximum(0.0, year.pv_w - year.house_w - _standby_w(heater))
    lost_w = np.maximum(0.0, spare_w - year.grid.export_limit_w)
    phases = 1 if year.grid.battery is not None else year.grid.phases
    reach_w = spare_w / phases
    curtailed_w = np.minimum(lost_w, reach_w)
    return _kwh(reach_w - curtailed_w, year), _kwh(curtailed_w, year)


def _kwh(power_w: FloatArray, year: HomeYear) -> FloatArray:
    """Energy of each hour."""
    return np.asarray(by_hour(power_w, year).sum(axis=1) * year.clock.step_s / J_PER_KWH)


def heating_of(heater: WaterHeater, year: HomeYear) -> tuple[FloatArray, FloatArray]:
    """Electricity per unit of heat by level and hour, and the most heat by step [W].

    Kinder: the warmest and dampest air of the hour, the coldest water of each level.
    """
    hours = year.clock.n_steps * year.clock.step_min // 60
    pump = heater.heat_pump
    if pump is None:
        power_w = heater.element_w + heater.boost_element_w
        return np.ones((1, hours)), np.full(year.clock.n_steps, power_w)
    air_c = by_hour(year.air_c, year).max(axis=1)
    wet_bulb_c = by_hour(year.wet_bulb_c, year).max(axis=1)
    coldest_c = by_hour(coldest_water_c(heater, year), year).min(axis=1)
    levels = [coldest_c, *(np.full(hours, level) for level in pump_levels_c(heater))]
    rated_w = np.array([_strongest_w(pump, *now) for now in zip(air_c, wet_bulb_c, strict=True)])
    running = year.air_c >= pump.cut_out_air_c
    beside_w = 0.0 if pump.backup_below_c is None else heater.element_w
    most_w = np.repeat(rated_w, 60 // year.clock.step_min) + beside_w
    heat_w = np.where(running, most_w, heater.element_w)
    per_heat = [
        [1.0 / pump_cop(pump, *now) for now in zip(air_c, wet_bulb_c, water_c, strict=True)]
        for water_c in levels
    ]
    return np.array(per_heat), heat_w


def pump_cop(pump: HeatPumpRating, air_c: float, wet_bulb_c: float, water_c: float) -> float:
    """COP of a heat pump; 1 below its cut-out, where its element heats."""
    if air_c < pump.cut_out_air_c:
        return MIN_COP
    is_carnot = pump.model == "carnot"
    factor = carnot_cop_factor(air_c, water_c) if is_carnot else cop_factor(wet_bulb_c, water_c)
    return float(max(MIN_COP, pump.cop * factor * frost_factor(air_c, pump.frost_penalty)))


def _strongest_w(pump: HeatPumpRating, air_c: float, wet_bulb_c: float) -> float:
    """Most heating power with water of any temperature [W]."""
    if pump.model == "carnot":
        factor = air_capacity_factor(air_c)
    else:
        factor = CURVE_SLACK + max(capacity_factor(wet_bulb_c, t) for t in STRONGEST_AT_C)
    return float(pump.heat_w * factor * frost_factor(air_c, pump.frost_penalty))


def usage_prices(priced: PricedYear) -> tuple[FloatArray, FloatArray]:
    """Lowest and highest price that the next kWh can have, by step; free hours at the lowest."""
    row = priced.usage_row // 12
    prices = [_prices(charge) for charge in priced.tariff.usage]
    low = np.array([min(p) for p in prices])[row]
    high = np.array([max(p) for p in prices])[row]
    if priced.free is not None:
        low[priced.free.steps] = np.minimum(low[priced.free.steps], 0.0)
    return low, high


def _feed_in_price(priced: PricedYear) -> FloatArray:
    """Lowest payment for the next exported kWh, by step; 0 where none is paid."""
    lowest = [min(_prices(entry)) for entry in priced.tariff.feed_in]
    return np.array([*lowest, 0.0])[priced.feed_in_row // 12]


def _prices(entry: UsageCharge | FeedIn) -> list[float]:
    steps = entry.blocks if isinstance(entry, UsageCharge) else entry.tiers
    return [step.price_per_kwh for step in steps] or [entry.price_per_kwh or 0.0]
