"""Sun, humid air, panels and file readers against other libraries."""

from __future__ import annotations

import warnings
from pathlib import Path

import numpy as np
import pytest

from tankful.physics.humid_air import dew_point_c, relative_humidity_pct, wet_bulb_c
from tankful.physics.pv import through_glass, tilted_components
from tankful.site.sky import sun_over_year
from tankful.site.weather_file import read_weather_file


@pytest.fixture(autouse=True)
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TANKFUL_CACHE_DIR", str(tmp_path))


@pytest.mark.parametrize(
    ("latitude", "longitude", "offset_h"),
    [(-37.81, 144.96, 10.0), (-12.46, 130.84, 9.5), (51.5, -0.1, 0.0)],
)
def test_sun_position_agrees_with_the_nrel_algorithm(
    latitude: float, longitude: float, offset_h: float
) -> None:
    """NREL's solar position algorithm (Reda and Andreas 2004, to 0.0003 degrees) in pvlib.

    Within 0.02 degrees with the sun more than 2 degrees up; azimuth where it matters.
    """
    import pandas as pd
    from pvlib.solarposition import spa_python

    sun = sun_over_year(latitude, longitude, offset_h, 2027, 60)
    times = pd.date_range("2027-01-01 00:30", periods=8760, freq="h", tz="UTC")
    nrel = spa_python(times - pd.Timedelta(hours=offset_h), latitude, longitude)
    up = nrel["apparent_elevation"].to_numpy() > 2.0
    off_deg = sun.zenith_deg[up] - nrel["apparent_zenith"].to_numpy()[up]
    assert np.abs(off_deg).max() < 0.02
    turned = (sun.azimuth_deg[up] - nrel["azimuth"].to_numpy()[up] + 180.0) % 360.0 - 180.0
    assert np.abs(turned * np.sin(np.radians(sun.zenith_deg[up]))).max() < 0.02


def test_wet_bulb_agrees_with_coolprop_within_one_kelvin() -> None:
    """CoolProp's humid air (ASHRAE RP-1485) at sea level, 0 to 45 degC, 10 to 95 %.

    The paper claims -1.0 to +0.65 K, which holds up to 30 degC; at 45 degC and 30 % the
    difference is +1.0 K.
    """
    from CoolProp.HumidAirProp import HAPropsSI

    for air_c in (0.0, 10.0, 20.0, 30.0, 45.0):
        for humidity in (10.0, 30.0, 60.0, 95.0):
            ours = wet_bulb_c(np.array([air_c]), np.array([humidity]))[0]
            state = ("T", air_c + 273.15, "P", 101325.0, "R", humidity / 100.0)
            theirs = HAPropsSI("Twb", *state) - 273.15
            assert -1.0 <= ours - theirs <= (0.65 if 0.0 < air_c <= 30.0 else 1.01)
            dew = HAPropsSI("Tdp", *state) - 273.15
            if dew > 0.0:  # below, CoolProp gives the frost point
                humid = relative_humidity_pct(np.array([air_c]), np.array([dew]))
                assert humid[0] == pytest.approx(humidity, abs=0.6)
                back = dew_point_c(np.array([air_c]), np.array([humidity]))
                assert back[0] == pytest.approx(dew, abs=0.1)


def test_plane_irradiance_agrees_with_pvlibs_whole_transposition() -> None:
    from pvlib.irradiance import get_total_irradiance

    sun = sun_over_year(-33.87, 151.2, 10.0, 2027, 60)
    up = sun.zenith_deg < 89.0
    zenith, azimuth, extra = sun.zenith_deg[up], sun.azimuth_deg[up], sun.extra[up]
    dni, dhi = 0.5 * extra, 0.1 * extra
    ghi = dhi + dni * np.cos(np.radians(zenith))
    for tilt, facing in ((0.0, 0.0), (25.0, 0.0), (40.0, 270.0), (90.0, 180.0)):
        light = tilted_components(
            zenith, azimuth, ghi, dni, dhi, extra, tilt_deg=tilt, facing_deg=facing
        )
        ours, through = light.total, through_glass(light, tilt_deg=tilt)
        theirs = get_total_irradiance(
            tilt, facing, zenith, azimuth, dni, ghi, dhi, dni_extra=extra,
            albedo=0.2, model="haydavies",
        )  # fmt: skip
        assert ours == pytest.approx(theirs["poa_global"], abs=1e-6)
        assert np.all(through <= ours)
        assert through.sum() / ours.sum() > 0.85  # least on the wall turned from the sun


def _samples() -> Path:
    import pvlib

    return Path(pvlib.__file__).parent / "data"


def _half_hour_back(values: np.ndarray) -> np.ndarray:
    """Values at hour ends to means over the hour, as the reader does."""
    return (values + np.roll(values, 1)) / 2.0


def test_a_tmy2_sample_reads_as_pvlib_reads_it() -> None:
    """Miami, shipped with pvlib; tenths in the file."""
    from pvlib.iotools import read_tmy2

    weather = read_weather_file(_samples() / "12839.tm2")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        frame, meta = read_tmy2(_samples() / "12839.tm2")
    assert (weather.latitude, weather.longitude) == (meta["latitude"], meta["longitude"])
    assert weather.utc_offset_h == -5.0
    assert np.array_equal(weather.ghi, frame["GHI"])
    assert np.array_equal(weather.dhi, np.minimum(frame["DHI"], frame["GHI"]))
    assert weather.temp_air_c == pytest.approx(_half_hour_back(frame["DryBulb"].to_numpy() / 10))
    assert weather.wind_speed_m_s == pytest.approx(frame["Wspd"].to_numpy() / 10)
    assert weather.notes == ()


@pytest.mark.parametrize("name", ["703165TY.csv", "723170TYA.CSV"])
def test_a_tmy3_sample_reads_as_pvlib_reads_it(name: str) -> None:
    """Sand Point and Greensboro, shipped with pvlib."""
    from pvlib.iotools import read_tmy3

    weather = read_weather_file(_samples() / name)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        frame, meta = read_tmy3(_samples() / name)
    assert weather.elevation_m == meta["altitude"]
    assert np.array_equal(weather.ghi, frame["ghi"])
    assert np.array_equal(weather.dni, frame["dni"])
    assert weather.temp_air_c == pytest.approx(_half_hour_back(frame["temp_air"].to_numpy()))
    assert np.all(weather.dew_point_c <= weather.temp_air_c)
    assert weather.notes == ()
