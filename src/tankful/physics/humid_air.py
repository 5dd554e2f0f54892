"""Humidity of the air: relative humidity from dew point, wet bulb from both."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


def relative_humidity_pct(temp_air_c: FloatArray, dew_point_c: FloatArray) -> FloatArray:
    """Relative humidity [%], 0 to 100, from air temperature and dew point [degC].

    Ratio of Magnus vapour pressures over water with the coefficients of Alduchov and
    Eskridge 1996 (Journal of Applied Meteorology 35, 601-609; from memory), -40 to 50 degC.
    """

    def log_pressure(temp_c: FloatArray) -> FloatArray:
        return 17.625 * temp_c / (243.04 + temp_c)

    dew_c = np.minimum(dew_point_c, temp_air_c)
    return 100.0 * np.exp(log_pressure(dew_c) - log_pressure(temp_air_c))


def wet_bulb_c(temp_air_c: FloatArray, humidity_pct: FloatArray) -> FloatArray:
    """Wet-bulb temperature [degC] from air temperature [degC] and relative humidity [%].

    Stull 2011, equation 1 (source id ``stull-2011``), for -20 to 50 degC and 5 to 99 % at
    sea-level pressure; humidity outside is held at these limits. Against CoolProp it is
    within 1.0 K for 0 to 45 degC and 10 to 95 %; at 1,000 m up to 1.4 K high in hot dry air.
    Never above the air.
    """
    rh = np.clip(humidity_pct, 5.0, 99.0)
    estimate_c = (
        temp_air_c * np.arctan(0.151977 * np.sqrt(rh + 8.313659))
        + np.arctan(temp_air_c + rh)
        - np.arctan(rh - 1.676331)
        + 0.00391838 * rh**1.5 * np.arctan(0.023101 * rh)
        - 4.686035
    )
    return np.minimum(estimate_c, temp_air_c)


def dew_point_c(temp_air_c: FloatArray, humidity_pct: FloatArray) -> FloatArray:
    """Dew point [degC] from air temperature [degC] and relative humidity [%], above 0 to 100.

    Inverse of ``relative_humidity_pct``.
    """
    log_ratio = np.log(humidity_pct / 100.0) + 17.625 * temp_air_c / (243.04 + temp_air_c)
    return 243.04 * log_ratio / (17.625 - log_ratio)
