"""Continuous heaters: what their power makes of draws that flow too fast for it."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache, partial

import numpy as np

from tankful.clock import year_clock
from tankful.model.case import HeaterKind
from tankful.model.result import YearSums
from tankful.proof.check import Claim
from tankful.proof.defaults import default_heater, family_year
from tankful.proof.rig import steady_year
from tankful.simulate.comfort import cold_events
from tankful.simulate.run import simulate, year_sums
from tankful.units import SECONDS_PER_DAY, WATER_CP_J_PER_KG_K, WATER_KG_PER_L
from tankful.use.draws import Draws

COLD_C = 5.0
WANTED_C = 40.0
LABEL_RISE_K = 25.0


def claims() -> Iterator[Claim]:
    """Every claim about the power of continuous heaters."""
    yield Claim(
        id="continuous-label-flow",
        claim="Flow that the assumed gas continuous heater warms by 25 K",
        source="Heaters sold as 20 L/min (at 25 K) take about 158 MJ/h: common practice, no source",
        basis="common practice",
        expected=20.0,
        tolerance=1.5,
        unit="L/min",
        compute=partial(_flow_l_per_min, "gas_continuous", LABEL_RISE_K),
    )
    for flow in (8.0, 14.0):
        heat_w = 27_000.0 * 0.99
        lift_k = heat_w / (flow / 60.0 * WATER_KG_PER_L * WATER_CP_J_PER_KG_K)
        reached_c = min(WANTED_C, COLD_C + lift_k)
        yield Claim(
            id=f"continuous-bath-{flow:g}",
            claim=f"Electric continuous heater of 27 kW, cold water of 5 degC, 40 degC wanted at "
            f"{flow:g} L/min for 7 minutes: temperature at the tap",
            source="Heat balance P = m c dT, 99 % of 27 kW",
            basis="published",
            expected=reached_c,
            tolerance=0.01,
            unit="degC",
            compute=partial(_tap_c, flow),
        )
    yield Claim(
        id="continuous-cold-draws",
        claim="Cold showers and baths of 100 in a tropical year of the electric continuous heater, "
        "family in Darwin",
        source="27 kW warm a bath's 14 L/min by 27 K, more than Darwin's cold water asks for: heat "
        "balance",
        basis="published",
        expected=0.0,
        tolerance=0.1,
        unit="-",
        compute=lambda: 100.0 * _year("Darwin").cold_draws / _year("Darwin").draws,
    )


def _flow_l_per_min(kind: HeaterKind, rise_k: float) -> float:
    booster = default_heater(kind).booster
    assert booster is not None
    return booster.heat_w / (WATER_CP_J_PER_KG_K * rise_k) / WATER_KG_PER_L * 60.0


def _tap_c(flow_l_per_min: float) -> float:
    """Temperature of one draw of seven minutes a day, starting in mid-step."""
    clock = year_clock(2027, "Australia/Sydney", 5, "AU", "NSW")
    days = np.arange(365.0)
    draws = Draws(
        start_s=days * SECONDS_PER_DAY + 7.0 * 3600.0 + 100.0,
        duration_s=np.full(365, 420.0),
        mixed_l=np.full(365, 7.0 * flow_l_per_min),
        wanted_c=np.full(365, WANTED_C),
        fixture=np.zeros(365, dtype=np.int64),
        fixture_names=("bath",),
        cold_reference_c=COLD_C,
        source_id="judgement",
    )
    year = steady_year(clock, draws, around_c=10.0, cold_c=COLD_C)
    flows = simulate(default_heater("electric_continuous"), year)
    all_cold = 365 * (float(np.nanmax(flows.outlet_c)) < WANTED_C - 2.0)
    if cold_events(flows.outlet_c, year.draws) != all_cold:
        raise ValueError("comfort does not see the temperature at the tap")
    return float(np.nanmean(flows.outlet_c))


@lru_cache(maxsize=4)
def _year(city: str) -> YearSums:
    year = family_year(city)
    return year_sums(simulate(default_heater("electric_continuous"), year), year)
