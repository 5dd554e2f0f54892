"""Solar panels and their inverter, through pvlib; arrays of one shape in, one out.

pvlib is imported inside the functions: it takes a second, and cached years do without.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tankful.physics.horizon import horizon_height_deg, open_sky_share

FloatArray = NDArray[np.float64]

LOSS_FRACTION = 0.11
"""Dirt, mismatch, wiring, joints, first light, rating and ageing (source id ``pv-losses``)."""
GAMMA_PER_K = -0.0035
"""Change of power per kelvin above 25 degC (source id ``pv-temperature-coefficient``)."""
INVERTER_EFFICIENCY = 0.97
"""At rated power (source id ``pv-inverter-efficiency``)."""
ROOF_WIND_FRACTION = 0.35
"""Wind between roof and panels over wind at 10 m (source id ``roof-wind``)."""
GROUND_ALBEDO = 0.2
"""Light thrown back by the surroundings (common practice)."""


class TiltedSun(NamedTuple):
    """Parts of the light on a tilted plane [W/m2] and the sun's angle off its normal."""

    incidence_deg: FloatArray
    beam: FloatArray
    circumsolar: FloatArray
    isotropic: FloatArray
    ground: FloatArray

    @property
    def total(self) -> FloatArray:
        """Irradiance on the plane [W/m2]."""
        light: FloatArray = self.beam + self.circumsolar + self.isotropic + self.ground
        return light


def tilted_components(
    zenith_deg: FloatArray,
    azimuth_deg: FloatArray,
    ghi: FloatArray,
    dni: FloatArray,
    dhi: FloatArray,
    dni_extra: FloatArray,
    *,
    tilt_deg: float,
    facing_deg: float,
    albedo: float = GROUND_ALBEDO,
    horizon_deg: Sequence[float] = (),
) -> TiltedSun:
    """Light on a tilted plane, by part.

    Sun angles are the apparent zenith and the azimuth clockwise from north; ``tilt_deg``
    is 0 (level) to 90, ``facing_deg`` the plane's azimuth. Sky light by Hay and Davies 1980
    (pvlib ``haydavies``), ground light isotropic. A horizon (see ``horizon``; empty where it is
    open) takes the sun and the glow about it while they stand behind it, its share of the rest
    of the sky at all times, and nothing from the ground.
    """
    from pvlib import irradiance

    cos_incidence = irradiance.aoi_projection(tilt_deg, facing_deg, zenith_deg, azimuth_deg)
    sky = irradiance.haydavies(
        tilt_deg, facing_deg, dhi, dni, dni_extra, zenith_deg, azimuth_deg, return_components=True
    )
    sunlit, sky_share = zenith_deg < 90.0, 1.0
    if horizon_deg:
        sunlit &= 90.0 - zenith_deg > horizon_height_deg(azimuth_deg, horizon_deg)
        sky["poa_circumsolar"] = np.where(sunlit, sky["poa_circumsolar"], 0.0)
        sky_share = open_sky_share(horizon_deg, tilt_deg=tilt_deg, facing_deg=facing_deg)
    return TiltedSun(
        incidence_deg=np.degrees(np.arccos(np.clip(cos_incidence, -1.0, 1.0))),
        beam=np.where(sunlit, dni * np.maximum(cos_incidence, 0.0), 0.0),
        circumsolar=sky["poa_circumsolar"],
        isotropic=sky["poa_isotropic"] * sky_share,
        ground=irradiance.get_ground_diffuse(tilt_deg, ghi, albedo),
    )


def through_glass(light: TiltedSun, *, tilt_deg: float) -> FloatArray:
    """What passes a panel's cover glass [W/m2].

    Glass by Fresnel and Snell (pvlib ``iam.physical``, De Soto 2006), for sky and ground
    light averaged over their view by Marion 2017 (pvlib ``marion_diffuse``).
    """
    from pvlib import iam

    glass = iam.marion_diffuse("physical", tilt_deg)
    passed: FloatArray = (
        (light.beam + light.circumsolar) * iam.physical(light.incidence_deg)
        + light.isotropic * glass["sky"]
        + light.ground * _finite(glass["ground"])
    )
    return passed


def _finite(value: float) -> float:
    """A level plane sees no ground: its modifier is not a number and multiplies nought."""
    return value if np.isfinite(value) else 0.0


def cell_temp_c(
    on_plane: FloatArray,
    temp_air_c: FloatArray,
    wind_speed_m_s: FloatArray,
    *,
    u0: float = 25.0,
    u1: float = 6.84,
    wind_fraction: float = ROOF_WIND_FRACTION,
) -> FloatArray:
    """Panel temperature [degC] from irradiance [W/m2], air [degC] and wind at 10 m [m/s].

    Faiman 2008 (source id ``faiman-2008``), measured on open racks; on a roof less wind
    reaches the back (``wind_fraction``, source id ``roof-wind``).
    """
    return temp_air_c + on_plane / (u0 + u1 * wind_fraction * wind_speed_m_s)


def array_dc_w(
    zenith_deg: FloatArray,
    azimuth_deg: FloatArray,
    ghi: FloatArray,
    dni: FloatArray,
    dhi: FloatArray,
    dni_extra: FloatArray,
    temp_air_c: FloatArray,
    wind_speed_m_s: FloatArray,
    *,
    rated_w: float,
    tilt_deg: float,
    facing_deg: float,
    loss_fraction: float = LOSS_FRACTION,
    gamma_per_k: float = GAMMA_PER_K,
    horizon_deg: Sequence[float] = (),
) -> FloatArray:
    """Direct-current power of one array [W].

    Inputs as in ``tilted_components`` and ``cell_temp_c``. Power is proportional to the light
    through the glass and falls with cell temperature (PVWatts, pvlib ``pvwatts_dc``).
    ``rated_w`` is the power at 1000 W/m2 and 25 degC.
    """
    from pvlib.pvsystem import pvwatts_dc

    light = tilted_components(
        zenith_deg,
        azimuth_deg,
        ghi,
        dni,
        dhi,
        dni_extra,
        tilt_deg=tilt_deg,
        facing_deg=facing_deg,
        horizon_deg=horizon_deg,
    )
    cell_c = cell_temp_c(light.total, temp_air_c, wind_speed_m_s)
    power = pvwatts_dc(through_glass(light, tilt_deg=tilt_deg), cell_c, rated_w, gamma_per_k)
    return np.maximum(np.asarray(power, dtype=np.float64), 0.0) * (1.0 - loss_fraction)


def inverter_ac_w(
    dc_w: FloatArray, *, rated_w: float, efficiency: float = INVERTER_EFFICIENCY
) -> FloatArray:
    """Alternating-current power [W], at most ``rated_w``, never below 0.

    PVWatts part-load curve (source id ``pvwatts-5``) through pvlib ``inverter.pvwatts``.
    """
    from pvlib.inverter import pvwatts

    full_w = rated_w / efficiency  # more is clipped, and the curve does not reach far beyond
    power = pvwatts(np.minimum(dc_w, full_w), full_w, eta_inv_nom=efficiency)
    return np.maximum(np.asarray(power, dtype=np.float64), 0.0)


MATCHED_SHARE = 0.7
"""Share of full sun at which a fixed element takes all that its panels can give (judgement)."""


def resistance_power_w(
    best_w: FloatArray, *, rated_w: float, matched_share: float = MATCHED_SHARE
) -> FloatArray:
    """Power of panels wired straight to a fixed resistance, without a controller [W].

    ``best_w`` is what a tracker would take, ``rated_w`` the panels' power in full sun. A panel is
    nearly a source of current below the matched light and of voltage above it: the share of
    the best power taken is g / m below and m / g above, g the light and m the match as shares of
    full sun (worked out from Ohm's law on an ideal characteristic).
    """
    share = best_w / rated_w
    lit = np.where(share > 0.0, share, 1.0)
    taken = np.where(share <= matched_share, share / matched_share, matched_share / lit)
    power: FloatArray = best_w * taken
    return power
