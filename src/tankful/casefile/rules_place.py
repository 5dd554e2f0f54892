"""Rules of the place and of the files a case names."""

from __future__ import annotations

import stat
from collections.abc import Iterator
from difflib import get_close_matches
from pathlib import Path
from zoneinfo import ZoneInfo, available_timezones

from tankful.casefile.faults import shown
from tankful.casefile.rule import Rule, rule
from tankful.clock import standard_offset_h
from tankful.errors import Fault
from tankful.model.case import Case

MAX_FILE_BYTES = 100_000_000
"""A year of one-minute readings of ten channels stays below."""

SOUTHERN = ("AU", "NZ", "ZA", "AR", "CL", "UY", "BW", "NA", "LS", "SZ", "MU", "FJ")
"""Countries that lie wholly south of the equator (common knowledge; not the whole list)."""


@rule("place.postcode", "place.country")
def postcode_is_australian(case: Case, folder: Path) -> Iterator[Fault]:
    place = case.place
    if place.postcode is not None and place.country != "AU":
        yield Fault(
            "place.postcode",
            "only Australian postcodes are known",
            f'"{place.postcode}" with `country "{place.country}"`',
            mend="give `latitude`, `longitude`, `time_zone` and `weather_file`, "
            "and remove the postcode",
        )


@rule("place.postcode", "place.country")
def australia_needs_its_postcode(case: Case, folder: Path) -> Iterator[Fault]:
    if case.place.postcode is None and case.place.country == "AU":
        yield Fault(
            "place.postcode",
            "an Australian home needs its postcode, for certificates, cold water and default plans",
            mend='add the postcode, such as `postcode = "2480"|2480`; coordinates may stay',
        )


@rule("place.latitude", "place.country")
def latitude_has_its_sign(case: Case, folder: Path) -> Iterator[Fault]:
    place = case.place
    if place.latitude is not None and place.latitude > 0 and place.country in SOUTHERN:
        yield Fault(
            "place.latitude",
            f'the country `"{place.country}"|{place.country}` lies south of the equator',
            f"{place.latitude:g}",
            "negative in the south",
            f"`write latitude = {-place.latitude:g}`, or correct `country`",
        )


@rule("place.latitude", "place.longitude")
def coordinates_come_in_pairs(case: Case, folder: Path) -> Iterator[Fault]:
    place = case.place
    if (place.latitude is None) != (place.longitude is None):
        given, missing = ("latitude", "longitude")[:: 1 if place.longitude is None else -1]
        yield Fault(
            f"place.{given}",
            f"`{given}` is given without `{missing}`",
            mend=f"add `{missing}`, or `remove {given}`",
        )


@rule("place.time_zone")
def time_zone_exists(case: Case, folder: Path) -> Iterator[Fault]:
    name = case.place.time_zone
    if name is None or _zone_exists(name):
        return
    near = get_close_matches(name.replace(" ", "_"), sorted(available_timezones()), n=1)
    yield Fault(
        "place.time_zone",
        "no such time zone",
        shown(name),
        "a name of the IANA list, such as Europe/Lisbon",
        f'did you mean `"{near[0]}"|{near[0]}`?'
        if near
        else 'write it as `"Continent/City"|Continent/City`',
    )


@rule("place.longitude", "place.time_zone")
def longitude_fits_the_time_zone(case: Case, folder: Path) -> Iterator[Fault]:
    """No land keeps a standard time more than about 3.5 h from the sun's (western China 3 h)."""
    place = case.place
    if place.longitude is None or place.time_zone is None or not _zone_exists(place.time_zone):
        return
    offset_h = standard_offset_h(2026, place.time_zone)
    gap_h = abs((offset_h - place.longitude / 15.0 + 12.0) % 24.0 - 12.0)
    if gap_h > 4.0:
        yield Fault(
            "place.longitude",
            f"lies {gap_h:.0f} hours from the time zone {place.time_zone}",
            f"{place.longitude:g}",
            "east of Greenwich positive, west negative",
            "check the sign, and that latitude and longitude are not swapped",
        )


@rule("place.weather_file")
def weather_file_is_there(case: Case, folder: Path) -> Iterator[Fault]:
    yield from file_faults(folder, case.place.weather_file, "place.weather_file")


@rule("electricity.meter_file")
def meter_file_is_there(case: Case, folder: Path) -> Iterator[Fault]:
    yield from file_faults(folder, case.electricity.meter_file, "electricity.meter_file")


def file_faults(folder: Path, name: str | None, field: str) -> Iterator[Fault]:
    """What keeps a named file from being read; ``name`` is relative to ``folder``."""
    if name is None:
        return
    if "://" in name:
        mend = "`save the file beside the case and give its name|upload the file`"
        yield Fault(field, "an address on the network is not read", shown(name), mend=mend)
        return
    mend = (
        "`give its name relative to the case file's folder, or its whole path|"
        "upload the file again`"
    )
    try:
        status = (folder / name).stat()
    except (OSError, ValueError):
        yield Fault(field, "there is no such file, or it may not be read", shown(name), mend=mend)
        return
    if not stat.S_ISREG(status.st_mode):
        yield Fault(field, "this is not a regular file", shown(name), mend=mend)
    elif not 0 < status.st_size <= MAX_FILE_BYTES:
        yield Fault(
            field,
            "the file is empty or far too large",
            f"{status.st_size:,} bytes",
            f"at most {MAX_FILE_BYTES:,} bytes",
            "give one year of interval readings, or one weather file",
        )


@rule("place.postcode", "place.longitude", "place.time_zone")
def time_zone_fits_the_postcode(case: Case, folder: Path) -> Iterator[Fault]:
    """Standard times of Australian postcodes run from Cocos (6.5 h) to Norfolk Island (11 h)."""
    place = case.place
    name = place.time_zone
    if place.postcode is None or place.longitude is not None or name is None:
        return
    if _zone_exists(name) and not 6.0 <= standard_offset_h(2026, name) <= 12.0:
        yield Fault(
            "place.time_zone",
            "no Australian postcode keeps this time",
            shown(name),
            mend="leave it out: the postcode tells the time zone",
        )


def _zone_exists(name: str) -> bool:
    try:
        ZoneInfo(name)
    except (OSError, ValueError, KeyError):  # ZoneInfoNotFoundError is a KeyError
        return False
    return True


PLACE_RULES: tuple[Rule, ...] = (
    postcode_is_australian,
    australia_needs_its_postcode,
    latitude_has_its_sign,
    coordinates_come_in_pairs,
    time_zone_exists,
    longitude_fits_the_time_zone,
    time_zone_fits_the_postcode,
    weather_file_is_there,
    meter_file_is_there,
)
