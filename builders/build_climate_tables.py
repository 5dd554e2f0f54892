"""Make the shipped climate, postcode, zone and cold-water tables from folders of raw tables.

    python builders/build_climate_tables.py CLIMATE_DIR CHECKS_DIR OUT_DIR

CLIMATE_DIR holds national_points_cligen30.csv, climate_monthly.csv, localities.csv,
postcodes.csv and zones.csv; CHECKS_DIR holds au_cold_water_zones.csv. The columns taken,
and what was left out and why, are told at each function. Sources: data/sources.csv.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path

MONTHS = range(1, 13)
Row = dict[str, str]


def read(path: Path) -> list[Row]:
    with path.open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def write(path: Path, rows: list[Row]) -> None:
    with path.open("w", encoding="utf-8", newline="") as handle:
        writer = csv.DictWriter(handle, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    print(f"{path.name}: {len(rows)} rows, {path.stat().st_size / 1024:.0f} kB")


def climate_points(folder: Path) -> list[Row]:
    """Points with 30 years, and the localities' own stations that have only 20.

    Twelve monthly values share a cell, January first: a fifth of the columns to parse.
    """
    points = [
        {
            "id": row["id"],
            "name": row["name"],
            "latitude": row["lat"],
            "longitude": row["lon"],
            "elevation_m": row["elevation_m"],
            "ghi_raw_mj_m2_day_jan_to_dec": twelve(row, "ghi_raw_mj"),
            "tmax_c_jan_to_dec": twelve(row, "tmax_c"),
            "tmin_c_jan_to_dec": twelve(row, "tmin_c"),
            "dew_point_c_jan_to_dec": twelve(row, "dew_c"),
            "source_id": "cligen-au",
        }
        for row in read(folder / "national_points_cligen30.csv")
    ]
    known = {point["id"] for point in points}
    monthly = read(folder / "climate_monthly.csv")
    for row in read(folder / "localities.csv"):
        if row["solar_station_id"] not in known:
            points.append(short_record_point(row, monthly))
    return sorted(points, key=lambda point: point["id"])


def twelve(row: Row, stem: str) -> str:
    return " ".join(row[f"{stem}_{month:02d}"] for month in MONTHS)


def short_record_point(locality: Row, monthly: list[Row]) -> Row:
    months = [row for row in monthly if row["locality_id"] == locality["locality_id"]]
    months.sort(key=lambda row: int(row["month"]))
    assert [int(row["month"]) for row in months] == list(MONTHS)

    def cell(column: str) -> str:
        return " ".join(row[column] for row in months)

    return {
        "id": locality["solar_station_id"],
        "name": locality["solar_station_name"],
        "latitude": locality["solar_station_lat"],
        "longitude": locality["solar_station_lon"],
        "elevation_m": locality["elevation_m"],
        "ghi_raw_mj_m2_day_jan_to_dec": cell("ghi_raw_gldas_mj_m2_day"),
        "tmax_c_jan_to_dec": cell("tmax_era5_c"),
        "tmin_c_jan_to_dec": cell("tmin_era5_c"),
        "dew_point_c_jan_to_dec": cell("dewpoint_era5_c"),
        "source_id": "cligen-au-20",
    }


def localities(folder: Path) -> list[Row]:
    """Names, positions and sun factors of towns.

    Left out: temperatures of stations, whose licence is unclear; heights, which are the
    climate point's anyway; the mountain top, where nobody lives.
    """
    return [
        {
            "id": row["locality_id"],
            "name": row["name"].split(" (")[0],
            "state": row["state"],
            "postcode": row["postcode"],
            "latitude": row["lat"],
            "longitude": row["lon"],
            "tz": row["tz"],
            "sun_scale_factor": row["ghi_scale_factor"],
            "source_id": (
                "sun-scale-default"
                if row["ghi_scale_basis"].startswith("default")
                else "sun-scale-sunshine"
            ),
        }
        for row in read(folder / "localities.csv")
        if row["locality_id"] != "mount_ginini"
    ]


MISPLACED = {"7151": ("-54.50", "158.94")}
"""Postcodes that the list of places puts elsewhere: Macquarie Island lies halfway to Antarctica
(from memory)."""


def postcodes(folder: Path) -> list[Row]:
    """Position of each postcode; zones are looked up in their own table."""
    return [
        {
            "postcode": row["postcode"],
            "state": row["state"],
            "name": row["first_place"],
            "latitude": MISPLACED.get(row["postcode"], (row["lat"],))[0],
            "longitude": MISPLACED.get(row["postcode"], (row["lon"],))[-1],
            "spread_km": row["max_spread_km"],
            "source_id": "memory" if row["postcode"] in MISPLACED else "geonames-au-postcodes",
        }
        for row in read(folder / "postcodes.csv")
    ]


def certificate_zones(folder: Path) -> list[Row]:
    """Postcode ranges of the zones for panels, solar and heat pump water heaters."""
    source = {"pv": "stc-pv-zones", "swh": "stc-heater-zones", "ashp": "stc-heater-zones"}
    return [
        {
            "technology": row["technology"],
            "postcode_from": row["postcode_from"],
            "postcode_to": row["postcode_to"],
            "zone": row["zone"],
            "source_id": source[row["technology"]],
        }
        for row in read(folder / "zones.csv")
    ]


def cold_water_zones(folder: Path) -> list[Row]:
    """Monthly cold water by zone; the fifth row is heat pump zone 5."""
    names = ["jan", "feb", "mar", "apr", "may", "jun"]
    names += ["jul", "aug", "sep", "oct", "nov", "dec"]
    return [
        {
            "zone": row["zone"].split(" ")[0],
            "city": row["city"],
            "cold_water_c_jan_to_dec": " ".join(row[name] for name in names),
            "source_id": "cold-water-zone-5" if row["zone"].startswith("5") else "cold-water-zones",
        }
        for row in read(folder / "au_cold_water_zones.csv")
    ]


def main(climate: Path, checks: Path, out: Path) -> None:
    write(out / "climate_points.csv", climate_points(climate))
    write(out / "localities.csv", localities(climate))
    write(out / "postcodes.csv", postcodes(climate))
    write(out / "certificate_zones.csv", certificate_zones(climate))
    write(out / "cold_water_zones.csv", cold_water_zones(checks))


if __name__ == "__main__":
    if len(sys.argv) != 4:
        sys.exit(__doc__)
    main(*(Path(argument) for argument in sys.argv[1:]))
