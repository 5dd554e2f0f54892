"""Climate points and localities of Australia: the nearest one, and what it holds."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from tankful.clock import FloatArray
from tankful.data.store import load_table

EARTH_RADIUS_KM = 6371.0
SUN_SCALE_KM = 40.0
"""A locality's sun factor holds this far around it (judgement)."""
SUN_SCALE_DEFAULT = 1.05
"""Elsewhere (source id ``sun-scale-default``)."""


class ClimatePoint(NamedTuple):
    """Monthly means at a point, January first: sun as published [MJ/m2/day], air [degC]."""

    id: str
    name: str
    latitude: float
    longitude: float
    elevation_m: float
    ghi_raw_mj_m2_day: FloatArray
    tmax_c: FloatArray
    tmin_c: FloatArray
    dew_point_c: FloatArray
    source_id: str


class Locality(NamedTuple):
    """A town: its position, and what lifts the published sun there."""

    name: str
    postcode: str
    latitude: float
    longitude: float
    sun_scale_factor: float
    source_id: str


def distance_km(
    latitude: float, longitude: float, latitudes: FloatArray, longitudes: FloatArray
) -> FloatArray:
    """Great-circle distances [km] to points of any shape (haversine formula)."""
    lat_1, lat_2 = np.radians(latitude), np.radians(latitudes)
    half_lat = (lat_2 - lat_1) / 2.0
    half_lon = np.radians(np.asarray(longitudes) - longitude) / 2.0
    chord = np.sin(half_lat) ** 2 + np.cos(lat_1) * np.cos(lat_2) * np.sin(half_lon) ** 2
    angle: FloatArray = 2.0 * np.arcsin(np.sqrt(np.minimum(chord, 1.0)))
    return EARTH_RADIUS_KM * angle


@lru_cache(maxsize=1)
def _positions() -> tuple[FloatArray, FloatArray, FloatArray]:
    """Latitude, longitude and height of every climate point."""
    table = load_table("climate_points")
    columns = ("latitude", "longitude", "elevation_m")
    latitude, longitude, elevation_m = (
        np.array([float(row[column]) for row in table]) for column in columns
    )
    return latitude, longitude, elevation_m


def nearest_point(latitude: float, longitude: float) -> tuple[ClimatePoint, float]:
    """The nearest climate point and its distance [km]."""
    latitudes, longitudes, _ = _positions()
    distances = distance_km(latitude, longitude, latitudes, longitudes)
    index = int(np.argmin(distances))
    return _point(load_table("climate_points")[index]), float(distances[index])


def heights_around(latitude: float, longitude: float, radius_km: float) -> FloatArray:
    """Heights [m] of the climate points within ``radius_km``, lowest first."""
    latitudes, longitudes, elevations_m = _positions()
    near = distance_km(latitude, longitude, latitudes, longitudes) <= radius_km
    return np.sort(elevations_m[near])


def climate_point(point_id: str) -> ClimatePoint:
    """The climate point of that id; KeyError if there is none."""
    for row in load_table("climate_points"):
        if row["id"] == point_id:
            return _point(row)
    raise KeyError(point_id)


def _point(row: dict[str, str]) -> ClimatePoint:
    def twelve(column: str) -> FloatArray:
        return np.array(row[column].split(), dtype=np.float64)

    return ClimatePoint(
        id=row["id"],
        name=row["name"],
        latitude=float(row["latitude"]),
        longitude=float(row["longitude"]),
        elevation_m=float(row["elevation_m"]),
        ghi_raw_mj_m2_day=twelve("ghi_raw_mj_m2_day_jan_to_dec"),
        tmax_c=twelve("tmax_c_jan_to_dec"),
        tmin_c=twelve("tmin_c_jan_to_dec"),
        dew_point_c=twelve("dew_point_c_jan_to_dec"),
        source_id=row["source_id"],
    )


@lru_cache(maxsize=1)
def localities() -> tuple[Locality, ...]:
    """Every locality of the shipped table."""
    return tuple(
        Locality(
            name=row["name"],
            postcode=row["postcode"],
            latitude=float(row["latitude"]),
            longitude=float(row["longitude"]),
            sun_scale_factor=float(row["sun_scale_factor"]),
            source_id=row["source_id"],
        )
        for row in load_table("localities")
    )


def sun_scale(latitude: float, longitude: float) -> tuple[float, str]:
    """Factor on the published sun, and in words where it comes from."""
    towns = [town for town in localities() if town.source_id == "sun-scale-sunshine"]
    latitudes = np.array([town.latitude for town in towns])
    longitudes = np.array([town.longitude for town in towns])
    distances = distance_km(latitude, longitude, latitudes, longitudes)
    nearest = int(np.argmin(distances))
    if distances[nearest] <= SUN_SCALE_KM:
        town = towns[nearest]
        return town.sun_scale_factor, f"fitted to the sunshine hours of {town.name}"
    return SUN_SCALE_DEFAULT, "the usual factor, as no sunshine record is near"
