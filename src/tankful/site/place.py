"""Where the home is: position, time zone, certificate and cold water zones, climate point."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np

from tankful.clock import FloatArray
from tankful.data.store import load_table
from tankful.errors import Fault, PlaceError
from tankful.site.points import (
    ClimatePoint,
    distance_km,
    heights_around,
    localities,
    nearest_point,
)

FAR_KM = 25.0
"""A climate point farther off deserves a warning (judgement)."""
TOO_FAR_KM = 300.0
"""A climate point farther off says nothing about the place (judgement)."""
HEIGHT_M = 150.0
"""Difference in height that deserves a warning: about 1 K (judgement)."""
WIDE_KM = 50.0
"""A postcode this wide deserves a warning (judgement)."""
NEIGHBOURHOOD_KM = 10.0
"""The land's heights are looked at this far around (judgement)."""

STATE_TZ = {
    "NSW": "Australia/Sydney",
    "ACT": "Australia/Sydney",
    "VIC": "Australia/Melbourne",
    "QLD": "Australia/Brisbane",
    "SA": "Australia/Adelaide",
    "WA": "Australia/Perth",
    "TAS": "Australia/Hobart",
    "NT": "Australia/Darwin",
}
POSTCODE_TZ = {
    "2880": "Australia/Broken_Hill",
    "2898": "Australia/Lord_Howe",
    "2899": "Pacific/Norfolk",
    "6798": "Indian/Christmas",
    "6799": "Indian/Cocos",
}
"""Postcodes that keep other time than their state (IANA time zone database, from memory).

The few homes on the Eyre Highway near Eucla, which keep a time of their own, are not told
apart from the rest of postcode 6443."""


@dataclass(frozen=True)
class Place:
    """Where the home is.

    ``elevation_m`` is above sea level, the climate point's where the home's own is not known;
    ``climate_height_difference_m`` is how much higher the home is, ``None`` then. Without a
    climate point (abroad) ``climate_point`` is empty and its distance 0. Zones are those of
    certificates for panels (1 to 4), solar (1 to 4) and heat pump water heaters (1 to 5),
    and the row of the cold water table (1 to 5); ``None`` abroad.
    """

    postcode: str | None
    name: str
    country: str
    state: str | None
    latitude: float
    longitude: float
    elevation_m: float
    tz: str
    pv_zone: int | None
    swh_zone: int | None
    ashp_zone: int | None
    cold_water_zone: int | None
    climate_point: str
    climate_distance_km: float
    climate_height_difference_m: float | None
    notes: tuple[str, ...]

    @property
    def southern(self) -> bool:
        """South of the equator."""
        return self.latitude < 0

    @property
    def equator_azimuth_deg(self) -> float:
        """Direction of the equator, clockwise from north: 0 or 180 [degrees]."""
        return 0.0 if self.southern else 180.0


def find_place(
    postcode: str,
    *,
    latitude: float | None = None,
    longitude: float | None = None,
    elevation_m: float | None = None,
) -> Place:
    """The place of an Australian postcode; PlaceError, with near ones, if there is none.

    ``latitude`` and ``longitude``, given together, put the home where it is inside a wide
    postcode; ``elevation_m`` is its height where known.
    """
    row = _postcodes().get(postcode)
    if row is None:
        raise _unknown_postcode(postcode)
    notes: list[str] = []
    name, middle = _name_and_middle(row)
    if latitude is None or longitude is None:
        latitude, longitude = middle
        if float(row["spread_km"]) > WIDE_KM:
            notes.append(
                f"Postcode {postcode} is very wide; the home is taken to be at {name}. If it is "
                "not, give its latitude and longitude."
            )
    else:
        name = _in_degrees(latitude, longitude)
    point, far_km = nearest_point(latitude, longitude)
    difference_m = None if elevation_m is None else elevation_m - point.elevation_m
    notes += _climate_notes(latitude, longitude, point, far_km, difference_m)
    swh_zone, ashp_zone = _heater_zones(postcode, latitude, longitude, notes)
    cold_water_zone = 5 if ashp_zone == 5 else swh_zone
    if cold_water_zone == 5:
        notes.append(
            "Cold water follows the published row of heat pump zone 5 (Canberra), which lags "
            "the other zones by about a month: better give the home's own values."
        )
    return Place(
        postcode=postcode,
        name=name,
        country="AU",
        state=row["state"],
        latitude=latitude,
        longitude=longitude,
        elevation_m=point.elevation_m if elevation_m is None else elevation_m,
        tz=POSTCODE_TZ.get(postcode, STATE_TZ[row["state"]]),
        pv_zone=_zone("pv", postcode),
        swh_zone=swh_zone,
        ashp_zone=ashp_zone,
        cold_water_zone=cold_water_zone,
        climate_point=point.id,
        climate_distance_km=round(far_km, 1),
        climate_height_difference_m=difference_m,
        notes=tuple(notes),
    )


def _in_degrees(latitude: float, longitude: float) -> str:
    south, west = "SN"[latitude >= 0.0], "WE"[longitude >= 0.0]
    return f"{abs(latitude):.2f} {south}, {abs(longitude):.2f} {west}"


def place_abroad(
    latitude: float,
    longitude: float,
    tz: str,
    *,
    country: str,
    elevation_m: float = 0.0,
    name: str = "",
) -> Place:
    """A place by coordinates, for a home with its own weather file; PlaceError if impossible."""
    faults = []
    if not -90.0 <= latitude <= 90.0:
        faults.append(Fault("latitude", "not on Earth", f"{latitude}", "-90 to 90"))
    if not -180.0 <= longitude <= 180.0:
        faults.append(Fault("longitude", "not on Earth", f"{longitude}", "-180 to 180"))
    try:
        ZoneInfo(tz)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        mend = "use a name such as Europe/Lisbon from the IANA time zone database"
        faults.append(Fault("time_zone", "not a known time zone", tz, mend=mend))
    if faults:
        raise PlaceError("The place cannot be used.", faults)
    return Place(
        postcode=None,
        name=name or f"{latitude:.3f}, {longitude:.3f}",
        country=country,
        state=None,
        latitude=latitude,
        longitude=longitude,
        elevation_m=elevation_m,
        tz=tz,
        pv_zone=None,
        swh_zone=None,
        ashp_zone=None,
        cold_water_zone=None,
        climate_point="",
        climate_distance_km=0.0,
        climate_height_difference_m=None,
        notes=(),
    )


@lru_cache(maxsize=1)
def _postcodes() -> dict[str, dict[str, str]]:
    return {row["postcode"]: row for row in load_table("postcodes")}


def _unknown_postcode(postcode: str) -> PlaceError:
    if postcode.isascii() and postcode.isdigit() and len(postcode) <= 4:
        number = int(postcode)
        near = sorted(_postcodes(), key=lambda known: (abs(int(known) - number), known))[:4]
        mend = f"the nearest known postcodes are {', '.join(sorted(near))}"
    else:
        mend = "write the four digits` in quotes|`, such as `'2000'|2000`"
    fault = Fault("postcode", "no such Australian postcode", postcode[:20], mend=mend)
    return PlaceError("The postcode is not known.", [fault])


def _name_and_middle(row: dict[str, str]) -> tuple[str, tuple[float, float]]:
    """The town, where the postcode is a town's own, otherwise the middle of the postcode."""
    for town in localities():
        if town.postcode == row["postcode"]:
            return town.name, (town.latitude, town.longitude)
    return row["name"], (float(row["latitude"]), float(row["longitude"]))


def _zone(technology: str, postcode: str) -> int | None:
    for row in load_table("certificate_zones"):
        if row["technology"] == technology and (
            row["postcode_from"] <= postcode <= row["postcode_to"]
        ):
            return int(row["zone"])
    return None


@lru_cache(maxsize=1)
def _street_postcodes() -> tuple[FloatArray, FloatArray, list[str]]:
    """Positions of the postcodes that have both water-heater zones, and the postcodes."""
    codes = [code for code in _postcodes() if _zone("swh", code) and _zone("ashp", code)]
    rows = [_postcodes()[code] for code in codes]
    latitudes = np.array([float(row["latitude"]) for row in rows])
    longitudes = np.array([float(row["longitude"]) for row in rows])
    return latitudes, longitudes, codes


def _heater_zones(
    postcode: str, latitude: float, longitude: float, notes: list[str]
) -> tuple[int | None, int | None]:
    """Zones for solar and heat pump water heaters, with a note where a neighbour's is taken."""
    swh_zone, ashp_zone = _zone("swh", postcode), _zone("ashp", postcode)
    if swh_zone is not None and ashp_zone is not None:
        return swh_zone, ashp_zone
    latitudes, longitudes, codes = _street_postcodes()
    distances = distance_km(latitude, longitude, latitudes, longitudes)
    nearest = int(np.argmin(distances))
    notes.append(
        f"Postcode {postcode} is not in the table of water-heater zones (post office boxes are "
        f"not); those of {codes[nearest]}, {distances[nearest]:.0f} km away, are taken."
    )
    return (
        swh_zone or _zone("swh", codes[nearest]),
        ashp_zone or _zone("ashp", codes[nearest]),
    )


def _climate_notes(
    latitude: float,
    longitude: float,
    point: ClimatePoint,
    far_km: float,
    difference_m: float | None,
) -> list[str]:
    notes = []
    advice = "a weather file for the home would be better"
    if far_km > TOO_FAR_KM:
        notes.append(
            f"The nearest climate point, {point.name}, is {far_km:.0f} km away, too far for a "
            "typical year: a weather file for the home is needed."
        )
    elif far_km > FAR_KM:
        notes.append(f"The nearest climate point, {point.name}, is {far_km:.0f} km away: {advice}.")
    if difference_m is not None and abs(difference_m) > HEIGHT_M:
        notes.append(
            f"The home lies {abs(difference_m):.0f} m {'above' if difference_m > 0 else 'below'} "
            f"its climate point, {point.name}: air temperature is moved by 6.5 K a kilometre."
        )
    heights_m = heights_around(latitude, longitude, NEIGHBOURHOOD_KM)
    if difference_m is None and np.any(np.abs(heights_m - point.elevation_m) > HEIGHT_M):
        notes.append(
            f"The home's height is not known. Its climate point, {point.name}, lies at "
            f"{point.elevation_m:.0f} m; the land around runs from {heights_m[0]:.0f} to "
            f"{heights_m[-1]:.0f} m. Give the home's height if it is far from "
            f"{point.elevation_m:.0f} m."
        )
    return notes
