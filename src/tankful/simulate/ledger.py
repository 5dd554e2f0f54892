"""The energy ledger: what went in, minus what came out, minus what is stored, is nothing."""

from __future__ import annotations

from tankful.errors import ModelError

TOLERANCE = 1e-3
"""Largest residual as a share of the heat put in that a run may leave."""


def heat_residual(
    heat_in_j: float, delivered_j: float, loss_j: float, stored_change_j: float
) -> float:
    """Unexplained heat as a share of the heat turned over [-]."""
    residual_j = heat_in_j - delivered_j - loss_j - stored_change_j
    turnover_j = max(abs(heat_in_j), abs(delivered_j) + abs(loss_j), 1.0)
    return residual_j / turnover_j


def power_residual(
    pv_j: float, import_j: float, used_j: float, export_j: float, curtailed_j: float
) -> float:
    """Unexplained electricity of the general circuit as a share of its turnover [-]."""
    residual_j = pv_j + import_j - used_j - export_j - curtailed_j
    return residual_j / max(pv_j + import_j, used_j, 1.0)


def close(name: str, residual: float) -> float:
    """Return ``residual``; raise ModelError when it is above tolerance."""
    if not abs(residual) <= TOLERANCE:
        raise ModelError(
            f"the energy ledger of {name} does not close: {residual:.2%} is unexplained. "
            "This is a fault of the program, not of the case; please report it."
        )
    return residual
