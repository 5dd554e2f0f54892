"""A test day on the rig: a standard pattern of draws until the heater has settled, then a day."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tankful.clock import FloatArray, YearClock, year_clock
from tankful.model.system import WaterHeater
from tankful.proof.rig import run, steady_drive
from tankful.simulate.control import rated_input_w
from tankful.units import J_PER_KWH, WATER_CP_J_PER_KG_K
from tankful.use.draws import draws_on_steps
from tankful.use.patterns import standard_draws

SETTLING_DAYS = 8
STEP_MIN = 1


@dataclass(frozen=True)
class DayTest:
    """Energy of the day [kWh]; ``stored`` is what the tank holds more at its end."""

    bought: float
    delivered: float
    unmet: float
    stored: float
    heat: float


@lru_cache(maxsize=1)
def _clock() -> YearClock:
    return year_clock(2027, "Australia/Sydney", STEP_MIN, "AU", "NSW")


@lru_cache(maxsize=8)
def _draws(pattern: str) -> tuple[FloatArray, FloatArray]:
    """Mixed water [kg] and its temperature [degC] by minute of the first days of a year."""
    steps = draws_on_steps(standard_draws(_clock(), pattern), _clock())
    wanted = slice(0, (SETTLING_DAYS + 1) * _clock().steps_per_day)
    return steps.mixed_kg[wanted], steps.wanted_c[wanted]


def run_day(
    heater: WaterHeater,
    pattern: str,
    *,
    around_c: float,
    cold_c: float,
    wet_bulb_c: float | None = None,
) -> DayTest:
    """The day from midnight to midnight, heater always on, its standby power included.

    ``wet_bulb_c`` is needed where a heat pump draws the air in.
    """
    mixed_kg, wanted_c = _draws(pattern)
    n_steps, day = mixed_kg.size, _clock().steps_per_day
    plain = steady_drive(n_steps, around_c=around_c, cold_c=cold_c, draw_kg=mixed_kg)
    drive = plain._replace(
        wanted_c=np.ascontiguousarray(wanted_c),
        allowed_w=np.full(n_steps, rated_input_w(heater)),
        wet_bulb_c=plain.wet_bulb_c if wet_bulb_c is None else np.full(n_steps, wet_bulb_c),
    )
    step_s = STEP_MIN * 60.0
    record = run(heater, drive, step_s=step_s, start_c=heater.setpoint_c).record

    def kwh(power_w: FloatArray) -> float:
        return float(power_w[-day:].sum()) * step_s / J_PER_KWH

    rise_k = float(record.mean_c[-1] - record.mean_c[-1 - day])
    return DayTest(
        bought=kwh(record.electric_w + heater.standby_w),
        delivered=kwh(record.delivered_w),
        unmet=kwh(record.unmet_w),
        stored=rise_k * heater.tank_l * WATER_CP_J_PER_KG_K / J_PER_KWH,
        heat=kwh(record.heat_w),
    )
