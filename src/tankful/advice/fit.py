"""What does not fit the home: ruled out with its reason, before or after its year is simulated.

What the household has today is never ruled out, nor what stands in for it in a home without a
heater. Limits are judgements.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

import numpy as np

from tankful.advice.cautions import NIGHT_RUN_H
from tankful.advice.compare import BASES, Evaluated
from tankful.advice.option import KEEP, Option
from tankful.clock import BoolArray
from tankful.model.answer import Excluded
from tankful.model.case import ELECTRIC_INLINE
from tankful.model.home import Home
from tankful.units import WATER_CP_J_PER_KG_K

COLD_HOURS = 0.10
"""Share of the year below its cut-out at which a heat pump is not worth its price."""

COLD_WINTER_HEAT = 0.25
"""The same as a share of the heat drawn in the three coldest months."""

LEAST_OWN_SUN = 0.10
"""Least share of its electricity that spare sun must give what is bought to follow the sun."""

COLDEST_MONTHS = 3

Item = TypeVar("Item", Option, Evaluated)


def rule_out_unfit(
    home: Home, options: Sequence[Option]
) -> tuple[tuple[Option, ...], tuple[Excluded, ...]]:
    """Options that fit, and those that room, supply or climate rule out without a simulation."""
    return _split(home, options, lambda option: option, (_too_large, _too_weak, _too_cold))


def rule_out_simulated(
    home: Home, evaluated: Sequence[Evaluated]
) -> tuple[tuple[Evaluated, ...], tuple[Excluded, ...]]:
    """The same by what a simulated year shows: spare sun, nights, quiet hours."""
    rules = (_too_little_sun, _heard_at_night, _too_quiet)
    return _split(home, evaluated, lambda item: item.option, rules, "simulated and ruled out: ")


def _split(
    home: Home,
    items: Sequence[Item],
    option_of: Callable[[Item], Option],
    rules: Sequence[Callable[[Home, Item], str]],
    before: str = "",
) -> tuple[tuple[Item, ...], tuple[Excluded, ...]]:
    ids = [option_of(item).id for item in items]
    base = next((name for name in BASES if name in ids), KEEP)
    fitting, unfit = [], []
    for item in items:
        option = option_of(item)
        why = "" if option.id == base else next(filter(None, (r(home, item) for r in rules)), "")
        if why:
            unfit.append(Excluded(option.id, option.label, before + why))
        else:
            fitting.append(item)
    return tuple(fitting), tuple(unfit)


def _too_large(home: Home, option: Option) -> str:
    room_l = home.case.constraints.largest_tank_l
    if room_l is None or option.of_today or option.heater.tank_l <= room_l:
        return ""
    return f"its tank holds {option.heater.tank_l:g} L, and there is room for {room_l:g} L"


def _too_weak(home: Home, option: Option) -> str:
    is_heavy = option.heater.kind in ELECTRIC_INLINE and not option.of_today
    if not (is_heavy and home.case.constraints.weak_supply):
        return ""
    return "the case says that the electricity supply cannot carry it"


def _too_cold(home: Home, option: Option) -> str:
    pump = option.heater.heat_pump
    if pump is None or option.of_today:
        return ""
    cold = home.temp_air_c < pump.cut_out_air_c
    share, winter = float(cold.mean()), winter_share(home, cold)
    if share <= COLD_HOURS and winter <= COLD_WINTER_HEAT:
        return ""
    return (
        f"the air is below the {pump.cut_out_air_c:g} degC at which it stops for {share:.0%} of "
        f"the year and when {winter:.0%} of the winter's hot water is drawn"
    )


def winter_share(home: Home, when: BoolArray) -> float:
    """Share of the heat drawn in the three coldest months that is drawn at such steps."""
    clock = home.clock
    means_c = np.bincount(clock.month() - 1, home.temp_air_c) / np.bincount(clock.month() - 1)
    winter = np.isin(clock.month() - 1, np.argsort(means_c)[:COLDEST_MONTHS])
    start = np.minimum((home.draws.start_s // clock.step_s).astype(np.int64), clock.n_steps - 1)
    lift_k = np.maximum(0.0, home.draws.wanted_c - home.cold_water_c[start])
    heat_j = home.draws.mixed_l * lift_k * WATER_CP_J_PER_KG_K
    all_j = float(heat_j[winter[start]].sum())
    return float(heat_j[(winter & when)[start]].sum()) / all_j if all_j > 0.0 else 0.0


def _too_little_sun(home: Home, item: Evaluated) -> str:
    families = {home.equipment[name].family for name in item.option.parts}
    if not {"diverter", "surplus_switch"} & families:
        return ""
    sums = item.sums
    share = (sums.own_sun_kwh - sums.direct_kwh) / max(sums.electricity_kwh, 1e-9)
    if share >= LEAST_OWN_SUN:
        return ""
    return (
        f"spare sun would give {share:.0%} of its {sums.electricity_kwh:,.0f} kWh a year, too "
        "little for what the device costs"
    )


def _heard_at_night(home: Home, item: Evaluated) -> str:
    near = home.case.constraints.neighbour_near and item.heater.heat_pump is not None
    if not near or item.sums.night_run_h <= NIGHT_RUN_H:
        return ""
    return (
        f"its best setting runs {item.sums.night_run_h:,.0f} hours a year between 22:00 and 07:00, "
        "within a neighbour's earshot; with quiet hours in the case it is kept off then"
    )


def _too_quiet(home: Home, item: Evaluated) -> str:
    quiet = home.case.constraints.quiet_hours and item.heater.heat_pump is not None
    if not quiet or item.choice.usable:
        return ""
    return f"kept to the quiet hours it leaves {item.sums.cold_draws} showers and baths a year cold"
