"""One water heater of every kind under every kind of control, and its year at any fineness."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from tankful.advice.controls import (
    DAILY_H,
    SANITISE_AFTER_H,
    SANITISE_EARLY_H,
    SUN_SETPOINT_C,
    clock_window,
    off_peak_controls,
)
from tankful.advice.settle import HomeMoney, year_one
from tankful.casefile.defaults import equipment_values
from tankful.clock import FloatArray, year_clock
from tankful.model.case import BURNS_GAS
from tankful.model.home import Home
from tankful.model.system import Control, WaterHeater
from tankful.model.window import Window
from tankful.proof.thermosiphon import without_pump
from tankful.simulate.drive import HomeYear, grid_side
from tankful.simulate.run import simulate, year_sums
from tankful.use.draws import draws_on_steps

NIGHT = (Window(start="22:00", end="07:00"),)


def _hours(start_h: int, length_h: int) -> tuple[Window, ...]:
    return (clock_window(start_h, length_h),)


def every_system(home: Home) -> dict[str, WaterHeater]:
    """Heaters with a control, by what they are called in tables."""
    return {**_electric(home), **_heat_pumps(home), **_others(home)}


def _with_reserve(kind: str, reserve_c: float, **more: object) -> Control:
    """A control that tops up, with the weekly heat-through and the thermostat for sun."""
    given = {
        "sanitise_after_h": SANITISE_AFTER_H,
        "sanitise_early_h": None if kind == "reserve" else SANITISE_EARLY_H,
        "setpoint_c": SUN_SETPOINT_C,
        **more,
    }
    return Control(kind, catch_up_c=reserve_c, **given)  # type: ignore[arg-type]


def _electric(home: Home) -> dict[str, WaterHeater]:
    tank = home.equipment["electric_storage"].heater
    assert tank is not None
    shipped = equipment_values("electric_storage")
    tank = replace(tank, boost_element_w=0.0, boost_height=0.0)
    two = replace(
        tank,
        boost_element_w=shipped["boost_element_kw"].number * 1000.0,
        boost_height=shipped["boost_height"].number,
    )
    panels = replace(tank, has_direct_panels=True)
    (night,) = off_peak_controls(NIGHT)
    afternoon = _hours(14, 4)
    return {
        "electric, always on": tank.under(Control("always")),
        "electric, timer by day": tank.under(_with_reserve("hours", 45.0, windows=_hours(10, 6))),
        "electric, timer by night": tank.under(
            _with_reserve("hours", 50.0, windows=_hours(2, 3), setpoint_c=None)
        ),
        "electric, off-peak circuit": replace(tank, circuit="controlled").under(night),
        "diverter, tops up any time": tank.under(_with_reserve("diverter", 45.0)),
        "diverter, tops up by afternoon": tank.under(
            _with_reserve("diverter", 55.0, catch_up_windows=afternoon)
        ),
        "diverter, second element tops up": two.under(_with_reserve("diverter", 50.0)),
        "panels of its own, tops up any time": panels.under(_with_reserve("reserve", 47.5)),
        "panels of its own, tops up by noon": panels.under(
            _with_reserve("reserve", 55.0, catch_up_windows=_hours(12, 4))
        ),
    }


def _heat_pumps(home: Home) -> dict[str, WaterHeater]:
    heater = home.equipment["heat_pump"].heater
    assert heater is not None
    assert heater.heat_pump is not None
    pump = replace(heater.heat_pump, model="lab_curve", min_share=1.0)
    shipped = equipment_values("heat_pump")
    share, mark_c = shipped["min_share"].number, shipped["backup_below_c"].number
    fixed = replace(heater, heat_pump=pump)
    second = replace(heater, heat_pump=replace(pump, model="carnot"))
    beside = replace(heater, heat_pump=replace(pump, backup_below_c=mark_c))
    follows = replace(heater, heat_pump=replace(pump, min_share=share))
    timer = _with_reserve("hours", 45.0, windows=_hours(13, 3), setpoint_c=None)
    switch = _with_reserve(
        "surplus_switch", 45.0, threshold_w=500.0, min_on_min=30, setpoint_c=None
    )
    return {
        "heat pump, always on": fixed.under(Control("always")),
        "heat pump, timer": fixed.under(timer),
        "heat pump, surplus switch": fixed.under(switch),
        "heat pump, follows the sun": follows.under(
            _with_reserve("diverter", 45.0, setpoint_c=None)
        ),
        "heat pump, element helps": beside.under(timer),
        "heat pump, second model, always on": second.under(Control("always")),
        "heat pump, second model, timer": second.under(timer),
    }


def _others(home: Home) -> dict[str, WaterHeater]:
    def of(family: str) -> WaterHeater:
        heater = home.equipment[family].heater
        assert heater is not None
        return heater

    def daily(kind: str, **more: object) -> Control:
        return Control(kind, catch_up_c=45.0, sanitise_after_h=DAILY_H, **more)  # type: ignore[arg-type]

    flat, tubes = of("solar_flat"), of("solar_tube")
    assert flat.collector is not None
    rising = replace(flat, collector=without_pump(flat.collector))
    return {
        "flat plate, boost always on": flat.under(Control("always")),
        "flat plate, boost on a timer": flat.under(daily("hours", windows=_hours(12, 4))),
        "flat plate, sun first": flat.under(daily("reserve")),
        "flat plate without a pump": rising.under(daily("reserve")),
        "tubes, boost always on": tubes.under(Control("always")),
        "tubes, boost on a timer": tubes.under(daily("hours", windows=_hours(12, 4))),
        "tubes, sun first by afternoon": tubes.under(
            daily("reserve", catch_up_windows=_hours(14, 5))
        ),
        "flat plate, gas behind it": of("solar_gas"),
        "flat plate, electric behind it": of("solar_inline"),
        "gas storage": of("gas_storage"),
        "gas continuous": of("gas_continuous"),
        "electric continuous": of("electric_continuous"),
    }


def held(home: Home, year: HomeYear, step_min: int) -> HomeYear:
    """The year on a finer step: sun, house and weather hold through the coarser one.

    Draws fall in their own minutes, so only the numerics differ between the two.
    """
    coarse = year.clock
    if step_min == coarse.step_min:
        return year
    place = home.place
    clock = year_clock(coarse.year, coarse.tz, step_min, place.country, place.state)
    times = coarse.step_min // step_min

    def repeated(series: FloatArray) -> FloatArray:
        return np.repeat(series, times)

    return replace(
        year,
        clock=clock,
        air_c=repeated(year.air_c),
        wet_bulb_c=repeated(year.wet_bulb_c),
        cold_c=repeated(year.cold_c),
        house_w=repeated(year.house_w),
        pv_w=repeated(year.pv_w),
        draws=draws_on_steps(home.draws, clock),
        direct_pv_w=None if year.direct_pv_w is None else repeated(year.direct_pv_w),
        grid=grid_side(home.case.electricity, clock),
        absorbed_w_per_m2={part: repeated(w) for part, w in year.absorbed_w_per_m2.items()},
        quiet=None if year.quiet is None else np.repeat(year.quiet, times),
    )


@dataclass(frozen=True)
class Bought:
    """A year's energy bought (grid electricity and gas) and what hot water costs in it."""

    kwh: float
    cost: float


def bought(home: Home, year: HomeYear, heaters: Mapping[str, WaterHeater]) -> dict[str, Bought]:
    """What each of the heaters buys in the year."""
    sun = year.absorbed_w_per_m2
    rising = {without_pump(collector): absorbed for collector, absorbed in sun.items()}
    year = replace(year, absorbed_w_per_m2={**sun, **rising})
    money = HomeMoney.of(home, year)
    without = money.bills_without()
    results = {}
    for name, heater in heaters.items():
        flows = simulate(heater, year)
        sums = year_sums(flows, year)
        cost = year_one(money.bills(flows, heater.kind in BURNS_GAS), without).total
        results[name] = Bought(sums.purchased_kwh + sums.gas_kwh, cost)
    return results
