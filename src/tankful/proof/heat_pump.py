"""The heat pump's curve against laboratory tests, and its year against field studies."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from tankful.physics.heat_pump import capacity_factor, cop_factor
from tankful.proof.check import Claim, published_rows

LAB = (
    "Laboratory tests of heat pump water heaters by the US National Renewable Energy "
    "Laboratory about 2011-12, fitted curve (transcribed from five public copies; the paper "
    "itself from memory)"
)


def claims() -> Iterator[Claim]:
    """Every claim about heat pumps."""
    for row in published_rows("heat_pump_lab"):
        wet_bulb_c, water_c = float(row["wet_bulb_c"]), float(row["water_c"])
        where = f"air of {wet_bulb_c:g} degC wet bulb, water of {water_c:g} degC"
        place = f"{wet_bulb_c:g}-{water_c:g}"
        yield Claim(
            id=f"heat-pump-cop-{place}",
            claim=f"COP relative to rating at {where}",
            source=LAB,
            basis="published",
            expected=float(row["cop_factor"]),
            tolerance=1e-4,
            unit="-",
            compute=partial(cop_factor, wet_bulb_c, water_c),
        )
        yield Claim(
            id=f"heat-pump-capacity-{place}",
            claim=f"Heating power relative to rating at {where}",
            source=LAB,
            basis="published",
            expected=float(row["capacity_factor"]),
            tolerance=1e-4,
            unit="-",
            compute=partial(capacity_factor, wet_bulb_c, water_c),
        )
    yield Claim(
        id="heat-pump-slope",
        claim="Change of COP per kelvin of water between 30 and 60 degC, air 10 degC wet bulb",
        source=f"{LAB}: 1.237 at 30 degC, 0.682 at 60 degC",
        basis="published",
        expected=-0.0185,
        tolerance=0.0001,
        unit="1/K",
        compute=lambda: (cop_factor(10.0, 60.0) - cop_factor(10.0, 30.0)) / 30.0,
    )
