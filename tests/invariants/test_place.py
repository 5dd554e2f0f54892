"""Every postcode is a usable place; what is not a postcode is refused with near ones."""

from __future__ import annotations

from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankful.data.store import load_table, sources
from tankful.errors import PlaceError
from tankful.site.place import find_place, place_abroad

TABLES = [
    "climate_points",
    "localities",
    "postcodes",
    "certificate_zones",
    "cold_water_zones",
]


def test_every_postcode_has_zones_a_zone_of_time_and_a_climate_point() -> None:
    for row in load_table("postcodes"):
        place = find_place(row["postcode"])
        assert place.pv_zone in {1, 2, 3, 4}
        assert place.swh_zone in {1, 2, 3, 4}
        assert place.ashp_zone in {1, 2, 3, 4, 5}
        assert place.cold_water_zone == (5 if place.ashp_zone == 5 else place.swh_zone)
        assert place.climate_point
        assert place.southern
        ZoneInfo(place.tz)


@pytest.mark.parametrize("table", TABLES)
def test_every_row_names_a_known_source(table: str) -> None:
    assert {row["source_id"] for row in load_table(table)} <= set(sources())


@pytest.mark.parametrize("technology", ["pv", "swh", "ashp"])
def test_zone_ranges_are_in_order_and_do_not_overlap(technology: str) -> None:
    ranges = [
        (row["postcode_from"], row["postcode_to"])
        for row in load_table("certificate_zones")
        if row["technology"] == technology
    ]
    assert all(low <= high for low, high in ranges)
    assert all(before[1] < after[0] for before, after in pairwise(ranges))


def test_climate_points_hold_twelve_possible_values_each() -> None:
    for row in load_table("climate_points"):
        sun, high, low, dew = (
            [float(value) for value in row[column].split()]
            for column in (
                "ghi_raw_mj_m2_day_jan_to_dec",
                "tmax_c_jan_to_dec",
                "tmin_c_jan_to_dec",
                "dew_point_c_jan_to_dec",
            )
        )
        assert len(sun) == len(high) == len(low) == len(dew) == 12
        assert 3.0 < min(sun) < max(sun) < 33.0
        assert all(a > b for a, b in zip(high, low, strict=True))
        assert min(low) > -15.0
        assert max(high) < 45.0


def test_a_box_postcode_takes_the_zones_of_the_street_next_door_and_says_so() -> None:
    box, street = find_place("1001"), find_place("2000")
    assert (box.swh_zone, box.ashp_zone) == (street.swh_zone, street.ashp_zone)
    assert any("2001" in note or "2000" in note for note in box.notes)


def test_a_far_climate_point_and_a_wide_postcode_are_said() -> None:
    outback = find_place("0872")
    assert any("very wide" in note for note in outback.notes)
    assert any("km away" in note for note in outback.notes)
    assert not find_place("2000").notes


def test_the_homes_own_position_and_height_are_used() -> None:
    place = find_place("2627", latitude=-36.50, longitude=148.30, elevation_m=1750.0)
    assert (place.latitude, place.longitude) == (-36.50, 148.30)
    assert place.elevation_m == 1750.0
    assert place.climate_height_difference_m is not None
    assert any("above its climate point" in note for note in place.notes)
    assert find_place("2627").climate_height_difference_m is None


def test_heat_pump_zone_five_warns_about_its_cold_water() -> None:
    canberra = find_place("2600")
    assert canberra.cold_water_zone == 5
    assert any("lags" in note for note in canberra.notes)


@pytest.mark.parametrize(("wrong", "near"), [("9999", "9944"), ("800", "0800"), ("2950", "2914")])
def test_an_unknown_postcode_is_refused_with_the_nearest_known(wrong: str, near: str) -> None:
    with pytest.raises(PlaceError) as refused:
        find_place(wrong)
    (fault,) = refused.value.faults
    assert near in fault.mend


@given(st.text(max_size=30))
def test_any_text_is_a_place_or_a_clean_refusal(text: str) -> None:
    try:
        outcome = find_place(text).name
    except PlaceError as error:
        outcome = error.faults[0].mend
    assert outcome


def test_a_place_abroad_has_no_zones_and_its_impossibilities_are_told_together() -> None:
    lisbon = place_abroad(38.7, -9.1, "Europe/Lisbon", country="PT")
    assert (lisbon.pv_zone, lisbon.cold_water_zone, lisbon.climate_point) == (None, None, "")
    assert not lisbon.southern
    with pytest.raises(PlaceError) as refused:
        place_abroad(120.0, 300.0, "../etc/passwd", country="XX")
    assert len(refused.value.faults) == 3


def test_an_island_far_off_has_no_typical_year_of_the_mainland() -> None:
    """Macquarie Island: 54.5 degrees south, some 1,500 km from Tasmania (from memory)."""
    island = find_place("7151")
    assert 1300.0 < island.climate_distance_km < 1700.0
    assert any("a weather file for the home is needed" in note for note in island.notes)
