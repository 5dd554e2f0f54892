"""Properties of water against the international formulation."""

from __future__ import annotations

from collections.abc import Iterator

from tankful.proof.check import Claim, published_rows
from tankful.units import WATER_CP_J_PER_KG_K, WATER_KG_PER_L

SOURCE = (
    "IAPWS-95 formulation at 101325 Pa; values recorded from the CoolProp library and "
    "compared with it again by the tests"
)


def claims() -> Iterator[Claim]:
    """Every claim about water.

    One constant stands for the specific heat at all temperatures: the tolerance is what
    that costs. Volumes count as mass, hence the wide tolerance of the hot density.
    """
    for row in published_rows("water_iapws"):
        temp_c = float(row["temp_c"])
        specific_heat = float(row["specific_heat_j_per_kg_k"])
        yield Claim(
            id=f"water-specific-heat-{temp_c:.0f}",
            claim=f"Specific heat of water used throughout, against water of {temp_c:.0f} degC",
            source=f"{SOURCE}; 0.5 % allowed for one constant from 5 to 75 degC",
            basis="published",
            expected=specific_heat,
            tolerance=0.005 * specific_heat,
            unit="J/(kg K)",
            compute=lambda: WATER_CP_J_PER_KG_K,
        )
    for row in published_rows("water_iapws"):
        if row["temp_c"] not in ("15", "60"):
            continue
        temp_c, density = float(row["temp_c"]), float(row["density_kg_per_m3"]) / 1000.0
        yield Claim(
            id=f"water-density-{temp_c:.0f}",
            claim=f"A litre counted as a kilogram, against water of {temp_c:.0f} degC",
            source=f"{SOURCE}; 2 % allowed because volumes count as mass",
            basis="published",
            expected=density,
            tolerance=0.02 * density,
            unit="kg/L",
            compute=lambda: WATER_KG_PER_L,
        )
