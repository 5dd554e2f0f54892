"""What hills, trees and walls around hide of the sun and the sky.

A horizon is a list of heights [degrees above the level] at even steps of direction, clockwise
from north: four are north, east, south and west. Between them it runs straight.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

DIRECTIONS = 720
"""Directions in which the sky is looked at."""


def horizon_height_deg(azimuth_deg: FloatArray, horizon_deg: Sequence[float]) -> FloatArray:
    """Height of the horizon [degrees] in directions clockwise from north."""
    corners = np.linspace(0.0, 360.0, len(horizon_deg) + 1)
    heights = [*horizon_deg, horizon_deg[0]]
    return np.asarray(np.interp(np.mod(azimuth_deg, 360.0), corners, heights), dtype=np.float64)


def open_sky_share(horizon_deg: Sequence[float], *, tilt_deg: float, facing_deg: float) -> float:
    """Share of the sky's light on a plane that the horizon leaves, 0..1.

    ``tilt_deg`` is 0 (level) to 90, ``facing_deg`` the plane's azimuth.

    Notes
    -----
    View factor under a sky of even brightness (textbook; Duffie and Beckman): the light from
    height e in direction a counts with `cos(angle to the normal) cos(e) de da`. Its integral
    over the height is exact, from the horizon, or from where the plane itself starts to see,
    to the zenith. What hides the sky is taken as dark.
    """
    azimuth_deg: FloatArray = (np.arange(DIRECTIONS, dtype=np.float64) + 0.5) * 360.0 / DIRECTIONS
    tilt, turn = np.radians(tilt_deg), np.radians(azimuth_deg - facing_deg)
    along = np.sin(tilt) * np.cos(turn)

    def below(height: FloatArray) -> FloatArray:
        """Light from under ``height`` [rad], were all of it in front of the plane."""
        level: FloatArray = 0.5 * np.cos(tilt) * np.sin(height) ** 2
        upright: FloatArray = along * (0.5 * height + 0.25 * np.sin(2.0 * height))
        return level + upright

    plane = np.maximum(0.0, np.arctan2(-along, np.cos(tilt)))
    horizon = np.radians(horizon_height_deg(azimuth_deg, horizon_deg))
    zenith = np.full_like(azimuth_deg, 0.5 * np.pi)
    seen = below(zenith) - below(np.maximum(plane, horizon))
    return float(seen.sum() / (below(zenith) - below(plane)).sum())
