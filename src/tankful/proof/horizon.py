"""The share of the sky that a horizon leaves, against view factors known in closed form."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from tankful.physics.horizon import open_sky_share
from tankful.proof.check import Claim

TEXTBOOK = "View factors under a sky of even brightness, any textbook of radiation"


def claims() -> Iterator[Claim]:
    """Every claim about the horizon."""
    for height in (10.0, 20.0, 45.0):
        yield Claim(
            id=f"horizon-ring-{height:g}",
            claim="Share of the sky's light on a level plane under a horizon of "
            f"{height:g} degrees all round",
            source=f"{TEXTBOOK}: cos^2 h",
            basis="published",
            expected=math.cos(math.radians(height)) ** 2,
            tolerance=1e-6,
            unit="-",
            compute=lambda height=height: open_sky_share(  # type: ignore[misc]
                [height] * 8, tilt_deg=0.0, facing_deg=0.0
            ),
        )
    for tilt, facing in ((0.0, 0.0), (22.0, 0.0), (90.0, 0.0), (45.0, 123.0)):
        yield Claim(
            id=f"horizon-wall-{tilt:g}-{facing:g}",
            claim=f"Share of the sky's light on a plane of {tilt:g} degrees before a long wall "
            f"whose top it sees at 20 degrees, facing {facing:g}",
            source=f"{TEXTBOOK} (crossed strings): (1 + cos(tilt + 20)) / (1 + cos(tilt))",
            basis="published",
            expected=(1.0 + math.cos(math.radians(tilt + 20.0)))
            / (1.0 + math.cos(math.radians(tilt))),
            tolerance=2e-4,
            unit="-",
            compute=lambda tilt=tilt, facing=facing: open_sky_share(  # type: ignore[misc]
                _long_wall(20.0, facing), tilt_deg=tilt, facing_deg=facing
            ),
        )


def _long_wall(height_deg: float, facing_deg: float) -> list[float]:
    """Heights of a wall without end, highest in one direction, in steps of a degree."""
    turn = np.radians(np.arange(360.0) - facing_deg)
    rise = math.tan(math.radians(height_deg)) * np.maximum(0.0, np.cos(turn))
    return [float(height) for height in np.degrees(np.arctan(rise))]
