"""The cache never changes an answer, and a year met before needs no sun library."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from pathlib import Path

import numpy as np
import pytest

from tankful.clock import year_clock
from tankful.site import cache
from tankful.site.cache import cache_key, cached_arrays, write_bytes
from tankful.site.place import find_place, place_abroad
from tankful.site.sun_power import ArraySpec
from tankful.site.weather_file import read_weather_file
from tankful.site.year import SiteYear, site_year


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("TANKFUL_CACHE_DIR", str(tmp_path))
    return tmp_path


def numbers() -> dict[str, np.ndarray]:
    return {"a": np.arange(5.0), "text": np.array(["one", "two"])}


def forbidden() -> dict[str, np.ndarray]:
    raise AssertionError("made again")


def stored(folder: Path) -> Path:
    (path,) = (folder / "arrays").iterdir()
    return path


def test_arrays_are_made_once_and_come_back_equal(folder: Path) -> None:
    key = cache_key("numbers", 1)
    made = cached_arrays(key, numbers)
    again = cached_arrays(key, forbidden)
    assert np.array_equal(made["a"], again["a"])
    assert again["text"].tolist() == ["one", "two"]


@pytest.mark.parametrize("harm", ["empty", "cut", "noise", "flipped"])
def test_a_spoilt_file_is_made_again(folder: Path, harm: str) -> None:
    key = cache_key("numbers")
    cached_arrays(key, numbers)
    path = stored(folder)
    content = bytearray(path.read_bytes())
    if harm == "empty":
        content = bytearray()
    elif harm == "cut":
        content = content[: len(content) // 2]
    elif harm == "noise":
        content = bytearray(b"not an archive at all")
    else:
        content[content.find(np.arange(5.0).tobytes()) + 9] ^= 0xFF
    path.write_bytes(bytes(content))
    assert np.array_equal(cached_arrays(key, numbers)["a"], np.arange(5.0))
    assert np.array_equal(cached_arrays(key, forbidden)["a"], np.arange(5.0))


def test_a_folder_that_cannot_be_made_is_done_without(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    blocker = tmp_path / "file"
    blocker.write_text("in the way")
    monkeypatch.setenv("TANKFUL_CACHE_DIR", str(blocker))
    assert np.array_equal(cached_arrays(cache_key("x"), numbers)["a"], np.arange(5.0))


def test_writers_at_once_leave_one_whole_file(folder: Path) -> None:
    key = cache_key("crowd")
    results: list[np.ndarray] = []

    def work() -> None:
        results.append(cached_arrays(key, numbers)["a"])

    threads = [threading.Thread(target=work) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(results) == 8
    assert all(np.array_equal(result, np.arange(5.0)) for result in results)
    assert stored(folder).suffix == ".npz"


def test_a_failed_write_leaves_nothing_behind(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(source: str, target: Path) -> None:
        raise OSError("disk full")

    monkeypatch.setattr(os, "replace", fail)
    with pytest.raises(OSError, match="disk full"):
        write_bytes(folder / "x" / "file", b"content")
    assert list((folder / "x").iterdir()) == []


def test_the_folder_keeps_to_its_size_and_drops_the_longest_unused(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cache, "MAX_CACHE_BYTES", 30_000)
    keys = [cache_key("big", i) for i in range(4)]
    for age, key in enumerate(keys):
        cached_arrays(key, lambda: {"a": np.zeros(1250)})
        path = folder / "arrays" / f"{key}.npz"
        if path.exists():
            os.utime(path, (1_000_000 + age, 1_000_000 + age))
    kept = {path.stem for path in (folder / "arrays").iterdir()}
    assert keys[0] not in kept
    assert keys[-1] in kept


def test_keys_tell_every_part_apart() -> None:
    keys = {cache_key("a", 1), cache_key("a", 2), cache_key("a", "1"), cache_key("a1"), ""}
    assert len(keys) == 5


ROOF = (ArraySpec(4.0, 20.0, 0.0), ArraySpec(2.6, 20.0, 270.0))


def year_of(postcode: str = "2000", arrays: tuple[ArraySpec, ...] = ROOF) -> SiteYear:
    place = find_place(postcode)
    clock = year_clock(2027, place.tz, 30, place.country, place.state)
    return site_year(place, clock, arrays, 5000.0)


def test_a_year_from_the_cache_is_the_year_that_was_made(folder: Path) -> None:
    made, again = year_of(), year_of()
    assert np.array_equal(made.pv_w, again.pv_w)
    assert np.array_equal(made.wet_bulb_c, again.wet_bulb_c)
    assert np.array_equal(made.cold_water_c, again.cold_water_c)
    assert (made.notes, made.weather_text) == (again.notes, again.weather_text)
    assert made.pv_w.shape == made.temp_air_c.shape == made.cold_water_c.shape == (17520,)


def test_another_roof_or_place_is_another_year(folder: Path) -> None:
    first = year_of()
    assert not np.array_equal(first.pv_w, year_of(arrays=ROOF[:1]).pv_w)
    assert not np.array_equal(first.temp_air_c, year_of("3000").temp_air_c)


def test_cold_water_follows_zone_own_values_or_the_air() -> None:
    place = find_place("2000")
    clock = year_clock(2027, place.tz, 60, "AU", place.state)
    assert "zone 3" in site_year(place, clock).cold_water_text
    own = site_year(place, clock, cold_water_c=[10.0] * 12)
    assert own.cold_water_c == pytest.approx(10.0)
    abroad = place_abroad(-33.9, 151.2, place.tz, country="ZZ")
    from tankful.site.climate import typical_year

    by_air = site_year(abroad, clock, weather=typical_year(place, 2027))
    assert "correlation" in by_air.cold_water_text
    assert by_air.cold_water_c.mean() == pytest.approx(by_air.temp_air_c.mean() + 3.33, abs=0.1)


def test_a_year_and_a_file_met_before_import_no_sun_library(folder: Path) -> None:
    import pvlib

    sample = Path(pvlib.__file__).parent / "data" / "12839.tm2"
    read_weather_file(sample)
    year_of()
    code = (
        "import sys\n"
        "from pathlib import Path\n"
        "from tankful.clock import year_clock\n"
        "from tankful.site.place import find_place\n"
        "from tankful.site.sun_power import ArraySpec\n"
        "from tankful.site.year import site_year\n"
        "import tankful.site.fetch\n"
        "from tankful.site.weather_file import read_weather_file\n"
        "place = find_place('2000')\n"
        "clock = year_clock(2027, place.tz, 30, place.country, place.state)\n"
        f"year = site_year(place, clock, {ROOF!r}, 5000.0)\n"
        "assert year.pv_w.max() > 4000\n"
        f"assert read_weather_file(Path({str(sample)!r})).ghi.max() > 800\n"
        "print(sorted({'pvlib', 'pandas', 'scipy', 'requests'} & set(sys.modules)))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == "[]"
