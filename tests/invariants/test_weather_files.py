"""Weather files: read with the right labels, or refused with line and mend.

The files are made here from an invented year, in the shape of the published formats.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date, timedelta
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tankful.clock import dates_of_year, year_clock
from tankful.errors import FileError
from tankful.site.climate import typical_year
from tankful.site.place import find_place
from tankful.site.weather import Weather, weather_steps
from tankful.site.weather_file import read_weather_file, write_weather_table

DATES = dates_of_year(2027)


@pytest.fixture(autouse=True)
def own_cache(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TANKFUL_CACHE_DIR", str(tmp_path_factory.mktemp("cache")))


@lru_cache(maxsize=1)
def year() -> Weather:
    return typical_year(find_place("7000"), 2027)


def epw_lines(dates: tuple[date, ...] = DATES, weather: Weather | None = None) -> list[str]:
    """EPW of the year; a 29 February repeats the day before."""
    weather = weather or year()
    head = [
        f"LOCATION,Nowhere,-,XXX,invented,000000,{weather.latitude},{weather.longitude},10.0,5.0",
        "DESIGN CONDITIONS,0",
        "TYPICAL/EXTREME PERIODS,0",
        "GROUND TEMPERATURES,0",
        "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
        "COMMENTS 1,invented",
        "COMMENTS 2,invented",
        "DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31",
    ]
    rows = []
    index = -24
    for day in dates:
        index += 0 if (day.month, day.day) == (2, 29) else 24
        for hour in range(24):
            i = index + hour
            rows.append(
                f"{day.year},{day.month},{day.day},{hour + 1},60,X,{weather.temp_air_c[i]:.3f},"
                f"{weather.dew_point_c[i]:.3f},60,101300,0,1400,300,{weather.ghi[i]:.2f},"
                f"{weather.dni[i]:.2f},{weather.dhi[i]:.2f},0,0,0,0,180,{3.0},"
                "5,5,20,77777,9,999999999,10,0.1,0,88,0.2,0,0"
            )
    return head + rows


def pvgis_rows() -> list[dict[str, object]]:
    """PVGIS hours in universal time: local hour h is UTC hour h - 10."""
    weather = year()
    shifted = {name: np.roll(getattr(weather, name), -10) for name in ("ghi", "dni", "dhi")}
    air_c = np.roll(weather.temp_air_c, -10)
    return [
        {
            "time(UTC)": f"{2005 + day.month}{day:%m%d}:{hour:02d}00",
            "T2m": round(float(air_c[d * 24 + hour]), 3),
            "RH": 60.0,
            "G(h)": round(float(shifted["ghi"][d * 24 + hour]), 2),
            "Gb(n)": round(float(shifted["dni"][d * 24 + hour]), 2),
            "Gd(h)": round(float(shifted["dhi"][d * 24 + hour]), 2),
            "IR(h)": 300.0,
            "WS10m": 3.0,
            "WD10m": 180.0,
            "SP": 101300.0,
        }
        for d, day in enumerate(DATES)
        for hour in range(24)
    ]


def pvgis_csv() -> str:
    rows = pvgis_rows()
    head = [
        f"Latitude (decimal degrees): {year().latitude:.3f}",
        f"Longitude (decimal degrees): {year().longitude:.3f}",
        "Elevation (m): 5.0",
        "Irradiance Time Offset (h): 0.1761",
        "month,year",
        *(f"{month},{2005 + month}" for month in range(1, 13)),
        ",".join(rows[0]),
    ]
    body = [",".join(str(value) for value in row.values()) for row in rows]
    return "\n".join([*head, *body, "", "T2m: 2-m air temperature (degree Celsius)", ""])


def pvgis_json() -> str:
    place = {"latitude": year().latitude, "longitude": year().longitude, "elevation": 5.0}
    months = [{"month": month, "year": 2005 + month} for month in range(1, 13)]
    return json.dumps(
        {
            "inputs": {"location": place, "meteo_data": {"radiation_db": "X"}},
            "outputs": {"months_selected": months, "tmy_hourly": pvgis_rows()},
            "meta": {"inputs": {}, "outputs": {}},
        }
    )


def saved(tmp_path: Path, text: str | bytes, name: str = "file.epw") -> Path:
    path = tmp_path / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def refused(path: Path) -> FileError:
    with pytest.raises(FileError) as caught:
        read_weather_file(path)
    assert all(fault.mend for fault in caught.value.faults)
    return caught.value


def test_an_epw_hour_one_is_the_hour_from_midnight(tmp_path: Path) -> None:
    """EnergyPlus auxiliary programs: hour 1 is 00:01 to 01:00; temperatures at the hour's end."""
    weather = read_weather_file(saved(tmp_path, "\n".join(epw_lines())))
    assert weather.ghi == pytest.approx(year().ghi, abs=0.006)
    assert weather.utc_offset_h == 10.0
    ends = year().temp_air_c
    assert weather.temp_air_c == pytest.approx((ends + np.roll(ends, 1)) / 2, abs=0.002)
    assert weather.notes == ()


@pytest.mark.parametrize(("make", "name"), [(pvgis_csv, "x.csv"), (pvgis_json, "x.json")])
def test_a_pvgis_year_is_rolled_from_universal_to_local_time(
    tmp_path: Path, make: Callable[[], str], name: str
) -> None:
    weather = read_weather_file(saved(tmp_path, make(), name))
    assert weather.utc_offset_h == 10.0
    assert weather.ghi == pytest.approx(year().ghi, abs=0.006)
    assert weather.temp_air_c == pytest.approx(year().temp_air_c, abs=0.002)
    assert not any("solar noon" in note for note in weather.notes)


def test_a_leap_year_loses_its_29_february(tmp_path: Path) -> None:
    days = tuple(date(2028, 1, 1) + timedelta(days=i) for i in range(366))
    weather = read_weather_file(saved(tmp_path, "\n".join(epw_lines(days))))
    assert weather.ghi == pytest.approx(year().ghi, abs=0.006)


def test_a_plain_table_reads_back_as_written(tmp_path: Path) -> None:
    path = tmp_path / "plain.csv"
    write_weather_table(year(), path)
    weather = read_weather_file(path)
    assert weather.ghi == pytest.approx(year().ghi, rel=1e-5)
    assert weather.dew_point_c == pytest.approx(year().dew_point_c, rel=1e-5, abs=1e-5)
    assert (weather.utc_offset_h, weather.longitude) == (10.0, pytest.approx(year().longitude))
    assert set(year().notes) <= set(weather.notes)


def test_a_file_in_another_time_zone_than_its_longitude_is_noticed(tmp_path: Path) -> None:
    lines = epw_lines()
    lines[0] = lines[0].replace(",10.0,5.0", ",8.0,5.0")
    weather = read_weather_file(saved(tmp_path, "\n".join(lines)))
    assert any("solar noon" in note for note in weather.notes)


@pytest.mark.parametrize(
    ("field", "value", "problem"),
    [
        (13, "9999", "missing"),
        (15, "9999", "missing"),
        (6, "99.9", "missing"),
        (21, "999", "missing"),
        (6, "warm", "not a number"),
        (13, "-40", "outside"),
        (7, "nan", "not a number"),
    ],
)
def test_a_bad_value_is_named_with_its_line(
    tmp_path: Path, field: int, value: str, problem: str
) -> None:
    lines = epw_lines()
    cells = lines[4000].split(",")
    cells[field] = value
    lines[4000] = ",".join(cells)
    (fault,) = refused(saved(tmp_path, "\n".join(lines))).faults
    assert fault.line == 4001
    assert fault.file == "file.epw"
    assert problem in fault.problem


def test_several_faults_are_told_together(tmp_path: Path) -> None:
    lines = epw_lines()
    for number, field in ((100, 6), (200, 13), (300, 21)):
        cells = lines[number].split(",")
        cells[field] = "9999"
        lines[number] = ",".join(cells)
    assert sorted(
        fault.line or 0 for fault in refused(saved(tmp_path, "\n".join(lines))).faults
    ) == [
        101,
        201,
        301,
    ]


@pytest.mark.parametrize(
    ("spoil", "word", "line"),
    [
        (lambda lines: lines[:992], "cut short", 992),
        (lambda lines: [*lines[:500], *lines[501:], lines[-1]], "out of order", 501),
        (lambda lines: [*lines[:500], lines[500][:40], *lines[501:]], "number of fields", 501),
        (lambda lines: [*lines[:500], lines[500] + ",1", *lines[501:]], "number of fields", 501),
        (lambda lines: [lines[0].replace(",-42.", ",-142."), *lines[1:]], "header", 1),
        (lambda lines: [lines[0].replace(",10.0,5.0", ",99,5.0"), *lines[1:]], "read on", None),
        (lambda lines: [lines[0].replace("Nowhere", "No,where"), *lines[1:]], "read on", None),
        (lambda lines: lines + lines[8:], "too many", 17528),
    ],
)
def test_a_damaged_epw_is_refused(
    tmp_path: Path, spoil: Callable[[list[str]], list[str]], word: str, line: int | None
) -> None:
    error = refused(saved(tmp_path, "\n".join(spoil(epw_lines()))))
    assert word in str(error)
    assert error.faults[0].line == line


def test_a_year_without_sun_is_refused(tmp_path: Path) -> None:
    dark = Weather(**{**vars(year()), "ghi": np.zeros(8760)})
    error = refused(saved(tmp_path, "\n".join(epw_lines(weather=dark))))
    assert "sun" in str(error)


@pytest.mark.parametrize(
    ("content", "word"),
    [
        (b"<!DOCTYPE html><html><body>Not found</body></html>", "web page"),
        (b"PK\x03\x04\x00\x00\x00rubbish", "archive"),
        (b"", "known kind"),
        (b"some,other,table\n1,2,3\n", "known kind"),
        (b"LOCATION,", "read on"),
        (b'{"outputs": {"tmy_hourly": [', "broken off"),
        (b'{"no": "weather"}', "read on"),
        (b"[" * 100_000, "known kind"),
        (b'{"a":' * 100_000, "broken off"),
        (b"Latitude (decimal degrees): 45\nnothing more\n", "time(UTC)"),
        (b"\xff\xfe\xfa latin or worse", "known kind"),
    ],
)
def test_what_is_no_weather_file_is_refused(tmp_path: Path, content: bytes, word: str) -> None:
    assert word in str(refused(saved(tmp_path, content)))


def test_a_missing_file_and_a_folder_are_refused(tmp_path: Path) -> None:
    assert "no such file" in str(refused(tmp_path / "none.epw"))
    assert "not a file" in str(refused(tmp_path))


def test_a_cut_pvgis_csv_is_refused_with_its_last_line(tmp_path: Path) -> None:
    text = "\n".join(pvgis_csv().splitlines()[:3000])
    (fault,) = refused(saved(tmp_path, text, "x.csv")).faults
    assert fault.line == 3000


def test_a_file_far_too_large_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "huge.epw"
    with path.open("wb") as handle:
        handle.truncate(65 * 2**20)
    assert "too large" in str(refused(path))


@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.integers(0, 200_000), st.binary(min_size=1, max_size=20))
def test_damage_anywhere_gives_weather_or_a_clean_refusal(
    tmp_path: Path, place: int, noise: bytes
) -> None:
    content = "\n".join(epw_lines()).encode()
    damaged = content[:place] + noise + content[place + len(noise) :]
    try:
        weather = read_weather_file(saved(tmp_path, damaged))
        sound = bool(np.all(np.isfinite(weather.ghi)))
    except FileError as error:
        sound = bool(error.faults)
    assert sound


def test_a_file_of_the_place_can_drive_the_steps(tmp_path: Path) -> None:
    weather = read_weather_file(saved(tmp_path, "\n".join(epw_lines())))
    clock = year_clock(2027, "Australia/Hobart", 5, "AU", "TAS")
    steps = weather_steps(weather, clock)
    assert steps.ghi.sum() / 12 == pytest.approx(weather.ghi.sum(), rel=1e-9)
