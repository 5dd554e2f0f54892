"""What a roof's panels could make on every step."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from tankful.clock import ANY_COMMON_YEAR, FloatArray, month_of_day
from tankful.physics.pv import LOSS_FRACTION, array_dc_w, inverter_ac_w
from tankful.site.weather import WeatherSteps
from tankful.units import DAYS_PER_YEAR


class ArraySpec(NamedTuple):
    """Panels of one slope and direction.

    ``tilt_deg`` is 0 (level) to 90, ``azimuth_deg`` the direction faced, clockwise from north.
    """

    kw: float
    tilt_deg: float
    azimuth_deg: float
    loss_fraction: float = LOSS_FRACTION
    shading: tuple[float, ...] = ()
    """Share of the light lost to shade in each month; empty without shade."""
    horizon_deg: tuple[float, ...] = ()
    """Heights at even steps clockwise from north; empty where it is open."""


def pv_power_w(
    steps: WeatherSteps, arrays: Sequence[ArraySpec], inverter_w: float | None
) -> FloatArray:
    """Power after the inverter [W], shape ``(n_steps,)``; zeros without arrays.

    All arrays share one inverter of ``inverter_w``; ``None`` takes one as large as the
    panels, which clips next to nothing. Shade, export limits and the house come later.
    """
    rated_w = sum(array.kw for array in arrays) * 1000.0
    if rated_w <= 0.0:
        return np.zeros_like(steps.ghi)
    dc_w = np.zeros_like(steps.ghi)
    up = steps.ghi > 0.0
    for array in arrays:
        dc_w[up] += _sunlit(array, steps.ghi.size)[up] * array_dc_w(
            steps.zenith_deg[up],
            steps.azimuth_deg[up],
            steps.ghi[up],
            steps.dni[up],
            steps.dhi[up],
            steps.dni_extra[up],
            steps.temp_air_c[up],
            steps.wind_speed_m_s[up],
            rated_w=array.kw * 1000.0,
            tilt_deg=array.tilt_deg,
            facing_deg=array.azimuth_deg,
            loss_fraction=array.loss_fraction,
            horizon_deg=array.horizon_deg,
        )
    return inverter_ac_w(dc_w, rated_w=rated_w if inverter_w is None else inverter_w)


def _sunlit(array: ArraySpec, n_steps: int) -> FloatArray:
    """What shade leaves of the light on each step, shape ``(n_steps,)``."""
    if not array.shading:
        return np.ones(n_steps)
    month = np.repeat(month_of_day(ANY_COMMON_YEAR), n_steps // DAYS_PER_YEAR)
    sunlit: FloatArray = 1.0 - np.array(array.shading)[month - 1]
    return sunlit
