"""How much less, or more, a collector takes of light that falls aslant."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

LINEAR_FROM_DEG = 60.0
"""Beyond this angle the incidence modifier runs straight to nought at 90 degrees (common
practice, no source)."""


def incidence_modifier(incidence_deg: FloatArray, *, b0: float) -> FloatArray:
    """Flat-plate incidence modifier for direct light [-].

    K = 1 - b0 (1 / cos theta - 1) up to 60 degrees (Souka and Safwat 1966, the form of ISO
    9806), then straight to nought at 90.
    """
    theta = np.abs(np.asarray(incidence_deg, dtype=np.float64))
    near = np.minimum(theta, LINEAR_FROM_DEG)
    curve = 1.0 - b0 * (1.0 / np.cos(np.radians(near)) - 1.0)
    fall = np.clip((90.0 - theta) / (90.0 - LINEAR_FROM_DEG), 0.0, 1.0)
    return np.where(theta <= LINEAR_FROM_DEG, curve, curve * fall)


def tube_modifier(
    transversal_deg: FloatArray, longitudinal_deg: FloatArray, *, b0: float, k50: float
) -> FloatArray:
    """Incidence modifier of evacuated tubes from both axes [-].

    Product of a longitudinal modifier as a flat plate's and a transversal one that rises
    with the angle to ``k50`` at 50 degrees, because round tubes face the sun from the side,
    stays there to 60 and falls to nought at 90 (product form: ISO 9806; shape between the
    points: judgement).
    """
    across = np.abs(np.asarray(transversal_deg, dtype=np.float64))
    points = np.array([0.0, 20.0, 50.0, 60.0, 90.0])
    values = np.array([1.0, 1.0 + 0.2 * (k50 - 1.0), k50, k50, 0.0])
    transversal: FloatArray = np.interp(across, points, values)
    return transversal * incidence_modifier(longitudinal_deg, b0=b0)
