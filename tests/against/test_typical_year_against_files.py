"""The built-in year against hourly files of real places.

The year is built from nothing but the file's own monthly means of sun, highest and lowest
temperature and dew point; a family of four then lives in both. Files: those that ship inside
pvlib, typical years of the US National Solar Radiation Data Base (TMY2, TMY3). More places,
and why some differ: docs/accuracy.md.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from tankful.proof.weather_year import YearMeasures, built_from, measures
from tankful.site.weather_file import read_weather_file

FILES = {
    "Miami, hot and humid": "12839.tm2",
    "Greensboro, temperate": "723170TYA.CSV",
    "Sand Point, cold and dull": "703165TY.csv",
}
SEEDS = (1, 2, 3)


@cache
def in_file_and_built(place: str) -> tuple[YearMeasures, dict[str, float]]:
    """Measures in the file's weather, and their means over a few built years."""
    import pvlib

    weather = read_weather_file(Path(pvlib.__file__).parent / "data" / FILES[place])
    built = [vars(measures(built_from(weather, seed))) for seed in SEEDS]
    means = {name: float(np.mean([each[name] for each in built])) for name in built[0]}
    return measures(weather), means


@pytest.fixture(autouse=True, scope="module")
def own_cache(tmp_path_factory: pytest.TempPathFactory):
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TANKFUL_CACHE_DIR", str(tmp_path_factory.mktemp("cache")))
        yield


@pytest.mark.parametrize("place", FILES)
def test_panels_yield_as_much_within_three_percent(place: str) -> None:
    found, built = in_file_and_built(place)
    assert built["pv_kwh"] == pytest.approx(found.pv_kwh, rel=0.03)
    assert built["surplus_kwh"] == pytest.approx(found.surplus_kwh, rel=0.03)


@pytest.mark.parametrize("place", FILES)
def test_a_heat_pump_takes_as_much_within_five_percent(place: str) -> None:
    found, built = in_file_and_built(place)
    assert built["heat_pump_kwh"] == pytest.approx(found.heat_pump_kwh, rel=0.05)


@pytest.mark.parametrize("place", FILES)
def test_a_diverter_takes_the_same_share_from_the_grid(place: str) -> None:
    """Within a tenth of it, or 2.5 points where next to nothing is taken (Miami: 0.7 %)."""
    found, built = in_file_and_built(place)
    share = pytest.approx(found.diverter_grid_share, rel=0.1, abs=0.025)
    assert built["diverter_grid_share"] == share


@pytest.mark.parametrize("place", FILES)
def test_days_and_hours_are_as_ragged(place: str) -> None:
    """Spread of a day's surplus within a fifth, changes from hour to hour within a tenth."""
    found, built = in_file_and_built(place)
    assert built["day_spread_kwh"] == pytest.approx(found.day_spread_kwh, rel=0.2)
    assert built["raggedness"] == pytest.approx(found.raggedness, rel=0.1)
