"""Fetching: clear words when offline, a file that reads back when not; no network is used."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tankful.errors import FileError, OfflineError, OutputError
from tankful.site.fetch import fetch_weather
from tankful.site.weather_file import read_weather_file

LATITUDE, LONGITUDE = -33.9, 151.2


@pytest.fixture(autouse=True)
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TANKFUL_CACHE_DIR", str(tmp_path / "cache"))


def answer(service: str) -> tuple[Any, dict[str, Any]]:
    """A frame and header in the shape pvlib returns: a plain invented sun, in universal time."""
    import pandas as pd

    index = pd.date_range("2023-01-01", periods=8760, freq="h", tz="UTC")
    solar_h = (np.arange(8760) % 24 + 0.5 + LONGITUDE / 15.0) % 24
    season = 1.0 + 0.3 * np.cos(2 * np.pi * np.arange(8760) / 8760)
    ghi = 700.0 * season * np.maximum(np.cos((solar_h - 12) / 12 * np.pi), 0.0)
    frame = pd.DataFrame(
        {"ghi": ghi, "dni": ghi * 0.8, "dhi": ghi * 0.4, "temp_air": 18.0, "wind_speed": 3.0},
        index=index,
    )
    place = {"latitude": LATITUDE, "longitude": LONGITUDE}
    if service == "pvgis":
        frame["relative_humidity"] = 60.0
        return frame, {"inputs": {"location": {**place, "elevation": 12.0}}}
    frame["temp_dew"] = 10.0
    return frame, {**place, "altitude": 12.0}


def use(monkeypatch: pytest.MonkeyPatch, call: Any) -> None:
    import pvlib.iotools

    monkeypatch.setattr(pvlib.iotools, "get_pvgis_tmy", call)
    monkeypatch.setattr(pvlib.iotools, "get_nasa_power", call)


@pytest.mark.parametrize("service", ["pvgis", "nasa_power"])
def test_a_fetched_year_is_kept_in_local_time_and_fetched_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, service: Any
) -> None:
    use(monkeypatch, lambda *args, **kwargs: answer(service))
    path = fetch_weather(service, LATITUDE, LONGITUDE, tmp_path / "weather")
    weather = read_weather_file(path)
    assert weather.utc_offset_h == 10.0
    assert weather.ghi.sum() == pytest.approx(answer(service)[0]["ghi"].sum(), rel=1e-5)
    centre = np.average(np.arange(24) + 0.5, weights=weather.ghi.reshape(365, 24).sum(axis=0))
    assert centre == pytest.approx(12.0 - (LONGITUDE / 15.0 - 10.0), abs=0.1)
    assert not any("solar noon" in note for note in weather.notes)

    def again(*args: Any, **kwargs: Any) -> None:
        raise AssertionError("asked again")

    use(monkeypatch, again)
    assert fetch_weather(service, LATITUDE, LONGITUDE, tmp_path / "weather") == path


@pytest.mark.parametrize("service", ["pvgis", "nasa_power"])
@pytest.mark.parametrize("how", ["unreachable", "slow connection", "refused", "nonsense"])
def test_no_network_and_no_answer_are_said_plainly(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, service: Any, how: str
) -> None:
    from requests import exceptions

    errors = {
        "unreachable": exceptions.ConnectionError("no route"),
        "slow connection": exceptions.ReadTimeout("slow"),
        "refused": exceptions.HTTPError("Location over the sea"),
        "nonsense": KeyError("outputs"),
    }

    def fail(*args: Any, **kwargs: Any) -> None:
        raise errors[how]

    use(monkeypatch, fail)
    with pytest.raises(OfflineError) as caught:
        fetch_weather(service, LATITUDE, LONGITUDE, tmp_path)
    (fault,) = caught.value.faults
    assert "weather file" in fault.mend
    assert how != "refused" or "over the sea" in fault.problem
    assert not list(tmp_path.glob("*.csv"))


def test_a_service_that_never_answers_is_given_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    use(monkeypatch, lambda *args, **kwargs: time.sleep(3.0))
    began = time.monotonic()
    with pytest.raises(OfflineError, match="no answer"):
        fetch_weather("nasa_power", LATITUDE, LONGITUDE, tmp_path, timeout_s=0.2)
    assert time.monotonic() - began < 2.0


def test_an_answer_with_gaps_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    frame, meta = answer("nasa_power")
    frame.loc[frame.index[100], "ghi"] = np.nan
    use(monkeypatch, lambda *args, **kwargs: (frame, meta))
    with pytest.raises(FileError, match="hour 101"):
        fetch_weather("nasa_power", LATITUDE, LONGITUDE, tmp_path)


def test_a_folder_that_cannot_be_written_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "blocker").write_text("")
    use(monkeypatch, lambda *args, **kwargs: answer("pvgis"))
    with pytest.raises(OutputError):
        fetch_weather("pvgis", LATITUDE, LONGITUDE, tmp_path / "blocker" / "inside")


def test_an_unknown_service_is_a_bug_of_the_caller(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="pvgis"):
        fetch_weather("other", LATITUDE, LONGITUDE, tmp_path)  # type: ignore[arg-type]
