"""Whether a tank and its heater are large enough: a rule by litres, then the simulated year."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from tankful.advice.option import Option
from tankful.advice.search import COLD_DRAWS_MORE, Trial
from tankful.advice.worst_week import PEAK_S, WEEK_DAYS, litres_for, worst_week
from tankful.clock import BoolArray
from tankful.model.home import Home
from tankful.model.result import Flows, YearSums
from tankful.model.sizing import OtherSize, SizeChooser, Sizing, Verdict, WorstWeek
from tankful.model.system import WaterHeater
from tankful.physics.heat_pump import air_capacity_factor, capacity_factor, frost_factor
from tankful.simulate.comfort import is_cold
from tankful.simulate.drive import HomeYear
from tankful.units import DAYS_PER_YEAR, J_PER_KWH, SECONDS_PER_DAY
from tankful.use.draws import FELT_L

SIZES_L = (50.0, 80.0, 125.0, 160.0, 180.0, 200.0, 250.0, 315.0, 400.0, 500.0)
"""Sizes that tanks come in, all kinds together (common practice, no source)."""

NEXT_SIZE = 1.15
"""The next size up or down differs at least by this factor."""

LEAST_COVERAGE = 0.95
"""Share of the hardest week's heat that a tank must serve warm (judgement)."""

AMPLE = 1.5
"""A tank so many times as large as the rule asks may be larger than need be (judgement)."""

LEAST_GAIN = 1.0
"""A smaller tank must not cost more energy money a year than this to be enough (judgement)."""

RECOVERED_K = 1.0
"""A tank within this of what it was before the draw has recovered (judgement)."""

HALF_WARM_C = 37.5
"""Water on its way from 15 to 60 degC."""

Tried = Callable[[WaterHeater], Trial]


def sizing_of(
    home: Home, year: HomeYear, option: Option, heater: WaterHeater, flows: Flows, sums: YearSums
) -> Sizing | None:
    """How the tank of an option copes under its best setting; ``None`` without a tank.

    The other size is left open: see ``with_other_size``.
    """
    if heater.tank_l == 0.0:
        return None
    week = worst_week(home)
    bridges_day = not _heats_at_any_time(heater)
    inside = np.asarray((year.clock.day - week.first_day) % DAYS_PER_YEAR < WEEK_DAYS)
    heat_kwh, unmet_kwh, solar_kwh, loss_kwh = (
        float(w[inside].sum()) * flows.step_s / J_PER_KWH
        for w in (flows.delivered_w, flows.unmet_w, flows.solar_w, flows.loss_w)
    )
    air_c, wet_bulb_c = (float(t[inside].mean()) for t in (year.air_c, year.wet_bulb_c))
    power_kw = _power_kw(heater, air_c, wet_bulb_c)
    put_in_kwh = max(0.0, heat_kwh + loss_kwh - solar_kwh)
    asked_kwh = max(heat_kwh + unmet_kwh, 1e-9)
    coverage = 1.0 - unmet_kwh / asked_kwh
    helped_kwh = power_kw * PEAK_S / 3600.0
    held_kwh = week.day_kwh if bridges_day else max(0.0, week.peak_kwh - helped_kwh)
    rule_l = litres_for(held_kwh, home, heater.setpoint_c)
    return Sizing(
        tank_l=heater.tank_l,
        chosen_by=_chosen_by(home, option),
        people=home.case.people.count,
        bridges="day" if bridges_day else "peak",
        rule_l=rule_l,
        power_kw=power_kw,
        run_h_per_day=put_in_kwh / WEEK_DAYS / power_kw if power_kw else None,
        collector_m2=None if heater.collector is None else heater.collector.area_m2,
        collector_share=None if heater.collector is None else max(0.0, solar_kwh) / asked_kwh,
        week=week,
        coverage=coverage,
        cold_draws_week=_cold_draws(flows, year, inside),
        cold_draws=sums.cold_draws,
        recovery_h=_recovery_h(flows, week),
        verdict=_verdict(heater.tank_l, rule_l, coverage, sums.cold_draws),
        other=None,
    )


def with_other_size(sizing: Sizing, heater: WaterHeater, tried: Tried) -> Sizing:
    """The same with the next size tried under the same setting, up from a small tank and down
    from one that may be ample; it is not, where the smaller one has cold showers or costs more.

    ``tried`` simulates a year of a heater and settles it. Sizes differ in loss as surfaces do.
    """
    tank_l = other_size_l(sizing)
    if tank_l is None:
        return replace(sizing, verdict="right") if sizing.verdict == "ample" else sizing
    surface = (tank_l / heater.tank_l) ** (2.0 / 3.0)
    now = tried(heater)
    then = tried(replace(heater, tank_l=tank_l, loss_w_per_k=heater.loss_w_per_k * surface))
    more, dearer = then.cold_draws - now.cold_draws, then.cost - now.cost
    other = OtherSize(tank_l, max(0, sizing.cold_draws + more), more, dearer)
    misses = other.cold_draws > COLD_DRAWS_MORE or dearer > LEAST_GAIN
    is_right = sizing.verdict == "ample" and misses
    return replace(sizing, verdict="right" if is_right else sizing.verdict, other=other)


def other_size_l(sizing: Sizing) -> float | None:
    """The next size up of a small tank, or down of an ample one; ``None`` where there is none."""
    if sizing.verdict == "small":
        return next((size for size in SIZES_L if size >= NEXT_SIZE * sizing.tank_l), None)
    if sizing.verdict == "ample":
        return next((s for s in reversed(SIZES_L) if s * NEXT_SIZE <= sizing.tank_l), None)
    return None


def _verdict(tank_l: float, rule_l: float, coverage: float, cold_draws: int) -> Verdict:
    """Small with more than one cold shower a month or too little heat in the hardest week."""
    if cold_draws > COLD_DRAWS_MORE or coverage < LEAST_COVERAGE:
        return "small"
    return "ample" if tank_l >= AMPLE * rule_l else "right"


def _heats_at_any_time(heater: WaterHeater) -> bool:
    """Whether the tank may heat whenever it runs low; else it must last from day to day."""
    control = heater.control
    return control.kind == "always" or (
        control.catch_up_c is not None and not control.catch_up_windows
    )


def _chosen_by(home: Home, option: Option) -> SizeChooser:
    if option.of_today:
        return "today"
    quote = home.equipment[option.family].quote
    return "quote" if quote is not None and quote.tank_l is not None else "people"


def _power_kw(heater: WaterHeater, air_c: float, wet_bulb_c: float) -> float:
    """Heat that the heater puts into the tank, a heat pump in this air and half-warm water [kW]."""
    pump = heater.heat_pump
    if pump is None or air_c < pump.cut_out_air_c:
        return (heater.element_w + heater.burner_w * heater.efficiency) / 1000.0
    if pump.model == "carnot":
        factor = air_capacity_factor(air_c)
    else:
        factor = capacity_factor(wet_bulb_c, HALF_WARM_C)
    return pump.heat_w * factor * frost_factor(air_c, pump.frost_penalty) / 1000.0


def _cold_draws(flows: Flows, year: HomeYear, inside: BoolArray) -> int:
    """Showers and baths of those steps that come too cold, as ``comfort.cold_events`` counts."""
    draws = year.draws
    count = np.concatenate([[0], np.cumsum(is_cold(flows.outlet_c, draws))])
    cold = count[draws.event_step_end + 1] > count[draws.event_step_start]
    felt = draws.event_mixed_l >= FELT_L
    return int((cold & felt & inside[draws.event_step_start]).sum())


def _recovery_h(flows: Flows, week: WorstWeek) -> float | None:
    """Hours from the end of the two hours until the tank is as hot as before them."""
    start = int(week.peak_start_s // flows.step_s)
    end = min(start + int(PEAK_S / flows.step_s), flows.mean_c.size)
    later_c = flows.mean_c[end : end + int(WEEK_DAYS * SECONDS_PER_DAY / flows.step_s)]
    before_c = flows.mean_c[max(0, start - 1)]
    hot = np.flatnonzero(later_c >= before_c - RECOVERED_K)
    return float(hot[0]) * flows.step_s / 3600.0 if hot.size else None
