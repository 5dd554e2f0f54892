"""Record properties of liquid water at 101325 Pa by IAPWS-95 (through CoolProp).

Rewrites ``src/tankful/proof/data/water_iapws.csv``; the tests compare the file with the
library again. Needs the development packages.
"""

from __future__ import annotations

import csv
from pathlib import Path

TARGET = Path(__file__).parent.parent / "src/tankful/proof/data/water_iapws.csv"
TEMPS_C = (5, 15, 40, 60, 75)


def rows() -> list[dict[str, str]]:
    """One row a temperature, as written to the file."""
    from CoolProp.CoolProp import PropsSI

    def value(output: str, temp_c: int) -> float:
        return float(PropsSI(output, "T", temp_c + 273.15, "P", 101_325.0, "Water"))

    return [
        {
            "temp_c": str(temp_c),
            "specific_heat_j_per_kg_k": f"{value('C', temp_c):.2f}",
            "density_kg_per_m3": f"{value('D', temp_c):.3f}",
        }
        for temp_c in TEMPS_C
    ]


def main() -> None:
    """Write the table."""
    table = rows()
    with TARGET.open("w", encoding="utf-8", newline="") as handle:
        writer = csv.DictWriter(handle, table[0].keys(), lineterminator="\n")
        writer.writeheader()
        writer.writerows(table)


if __name__ == "__main__":
    main()
