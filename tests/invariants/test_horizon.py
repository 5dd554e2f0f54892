"""Laws of the horizon: it only takes light, and the sun just while it stands behind it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankful.casefile.load import check_text
from tankful.casefile.resolve import resolve
from tankful.errors import CaseError
from tankful.physics.horizon import horizon_height_deg, open_sky_share
from tankful.physics.pv import tilted_components

HEIGHTS = st.lists(st.floats(0.0, 90.0), min_size=4, max_size=40)
TILT = st.floats(0.0, 90.0)
FACING = st.floats(0.0, 360.0)


@given(HEIGHTS, TILT, FACING, st.floats(0.0, 30.0))
def test_a_higher_horizon_leaves_less_of_the_sky(heights, tilt_deg, facing_deg, more_deg):
    higher = [min(90.0, height + more_deg) for height in heights]
    low, high = (
        open_sky_share(each, tilt_deg=tilt_deg, facing_deg=facing_deg) for each in (heights, higher)
    )
    assert -1e-12 <= high <= low + 1e-12
    assert low <= 1.0 + 1e-12


@given(TILT, FACING)
def test_an_open_horizon_leaves_all_and_a_closed_one_nothing(tilt_deg, facing_deg):
    at = {"tilt_deg": tilt_deg, "facing_deg": facing_deg}
    assert open_sky_share([0.0] * 5, **at) == pytest.approx(1.0, abs=1e-12)
    assert open_sky_share([90.0] * 5, **at) == pytest.approx(0.0, abs=1e-12)


@given(HEIGHTS, st.integers(0, 39))
def test_the_horizon_meets_its_given_heights(heights, place):
    place %= len(heights)
    azimuth = np.array([360.0 * place / len(heights), 360.0 * place / len(heights) + 360.0])
    assert np.allclose(horizon_height_deg(azimuth, heights), heights[place], atol=1e-6)


@given(HEIGHTS, TILT, FACING, st.integers(0, 2**32 - 1))
def test_the_sun_is_gone_just_while_it_stands_behind(heights, tilt_deg, facing_deg, seed):
    rng = np.random.default_rng(seed)
    zenith, azimuth = rng.uniform(0.0, 89.0, 200), rng.uniform(0.0, 360.0, 200)
    ghi, dni, dhi = rng.uniform(100.0, 900.0, (3, 200))
    sky = (zenith, azimuth, ghi, dni, dhi, np.full(200, 1360.0))
    at = {"tilt_deg": tilt_deg, "facing_deg": facing_deg}
    bare, behind = tilted_components(*sky, **at), tilted_components(*sky, **at, horizon_deg=heights)
    hidden = 90.0 - zenith <= horizon_height_deg(azimuth, heights)
    for name in ("beam", "circumsolar"):
        left, right = getattr(behind, name), getattr(bare, name)
        assert np.array_equal(left, np.where(hidden, 0.0, right))
    assert np.array_equal(behind.ground, bare.ground)
    assert np.all(behind.isotropic <= bare.isotropic * (1.0 + 1e-12))


HOME = '[place]\npostcode = "3000"\n[[electricity.arrays]]\nkw = 5.0\n'


def year_of(array: str, roof: str):
    text = f"{HOME}{array}[roof]\ntilt_deg = 22.0\n{roof}[simulation]\nstep_min = 30\n"
    home = resolve(check_text(text, Path("home.toml")))
    collectors = [w.sum() for w in home.absorbed_w_per_m2.values()]
    return home.pv_w.sum(), collectors, home.direct_pv_w.sum()


def test_panels_and_collectors_each_have_their_horizon():
    hill = "horizon_deg = [40, 20, 0, 10]\n"
    panels, collectors, direct = year_of("", "")
    behind, same, _ = year_of(hill, "")
    assert 0.3 * panels < behind < 0.9 * panels
    assert same == collectors
    fewer, dimmer, less = year_of("", hill)
    assert fewer == panels
    assert less < 0.9 * direct
    assert all(each < 0.9 * full for each, full in zip(dimmer, collectors, strict=True))


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("[10, 20, 30]", "wrong number of entries (found a list of 3)"),
        ("[10, 20, 30, 95]", "out of range (found 95)"),
        ("[10, 20, -3, 5]", "out of range (found -3)"),
        ('"north"', "not a list"),
    ],
)
def test_a_horizon_that_cannot_be_is_refused_with_a_mend(value, words):
    for section in (HOME, HOME + "[roof]\n"):
        with pytest.raises(CaseError) as refused:
            check_text(f"{section}horizon_deg = {value}\n", Path("home.toml"))
        text = str(refused.value.faults[0])
        assert words in text
        assert "horizon_deg" in text
        assert "mend" in text


def test_a_horizon_in_the_wrong_unit_is_warned_of():
    loaded = check_text(f"{HOME}horizon_deg = [80, 85, 75, 70]\n", Path("home.toml"))
    assert any("horizon stands higher" in fault.problem for fault in loaded.warnings)
