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


def diffuse_modifier(*, b0: float, k50: float) -> float:
    """Modifier of light that comes evenly from the whole hemisphere [-].

    Mean of the direct modifier, weighted by what each part of the sky sends onto the plane
    (ISO 9806:2017, from memory). ``k50`` is 1 for a flat plate, as in ``CollectorSpec``;
    its 0.85 at b0 = 0.15 is that of one beam at 60 degrees.
    """
    degrees = np.arange(90) + 0.5  # by symmetry a quarter of the sky will do
    off, about = np.meshgrid(np.radians(degrees), np.radians(degrees), indexing="ij")
    weight = np.cos(off) * np.sin(off)
    if k50 == 1.0:
        direct = incidence_modifier(np.degrees(off), b0=b0)
    else:
        across = np.degrees(np.arctan(np.tan(off) * np.abs(np.sin(about))))
        along = np.degrees(np.arctan(np.tan(off) * np.abs(np.cos(about))))
        direct = tube_modifier(across, along, b0=b0, k50=k50)
    return float((direct * weight).sum() / weight.sum())


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
