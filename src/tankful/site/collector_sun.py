"""What solar collectors absorb on every step, before they lose heat."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tankful.clock import FloatArray
from tankful.physics.incidence import diffuse_modifier, incidence_modifier, tube_modifier
from tankful.physics.pv import tilted_components
from tankful.site.weather import WeatherSteps


class CollectorSpec(NamedTuple):
    """Optics and position of collectors.

    ``azimuth_deg`` is the direction faced, clockwise from north; ``k50`` the transversal
    modifier at 50 degrees, 1 for a flat plate; tubes run up the slope. ``horizon_deg`` are heights
    at even steps clockwise from north, empty where it is open.
    """

    tilt_deg: float
    azimuth_deg: float
    eta0: float
    b0: float
    k50: float
    horizon_deg: tuple[float, ...] = ()


def absorbed_w_per_m2(steps: WeatherSteps, spec: CollectorSpec) -> FloatArray:
    """eta0 x modifier x irradiance on the collectors [W/m2], shape ``(n_steps,)``."""
    absorbed = np.zeros_like(steps.ghi)
    up = steps.ghi > 0.0
    zenith_deg, azimuth_deg = steps.zenith_deg[up], steps.azimuth_deg[up]
    parts = tilted_components(
        zenith_deg,
        azimuth_deg,
        steps.ghi[up],
        steps.dni[up],
        steps.dhi[up],
        steps.dni_extra[up],
        tilt_deg=spec.tilt_deg,
        facing_deg=spec.azimuth_deg,
        horizon_deg=spec.horizon_deg,
    )
    across_deg, along_deg = axis_angles_deg(
        zenith_deg, azimuth_deg, tilt_deg=spec.tilt_deg, facing_deg=spec.azimuth_deg
    )
    if spec.k50 == 1.0:
        direct = incidence_modifier(parts.incidence_deg, b0=spec.b0)
    else:
        direct = tube_modifier(across_deg, along_deg, b0=spec.b0, k50=spec.k50)
    diffuse = diffuse_modifier(b0=spec.b0, k50=spec.k50)
    directed = parts.beam + parts.circumsolar
    absorbed[up] = spec.eta0 * (direct * directed + diffuse * (parts.isotropic + parts.ground))
    return absorbed


def axis_angles_deg(
    zenith_deg: FloatArray, azimuth_deg: FloatArray, *, tilt_deg: float, facing_deg: float
) -> tuple[FloatArray, FloatArray]:
    """Angles of the sun across and along the slope of a plane [degrees].

    Projections of the sun's direction on the planes through the normal: across (level) and
    along (up the slope). 90 where the sun is behind the plane.
    """
    zenith, turn = np.radians(zenith_deg), np.radians(azimuth_deg - facing_deg)
    tilt = np.radians(tilt_deg)
    east, north, up = np.sin(zenith) * np.sin(turn), np.sin(zenith) * np.cos(turn), np.cos(zenith)
    normal = north * np.sin(tilt) + up * np.cos(tilt)
    slope = up * np.sin(tilt) - north * np.cos(tilt)
    front = normal > 1e-6
    safe = np.where(front, normal, 1.0)
    across = np.where(front, np.degrees(np.arctan(np.abs(east) / safe)), 90.0)
    along = np.where(front, np.degrees(np.arctan(np.abs(slope) / safe)), 90.0)
    return across, along
