"""The recorded properties of water against the CoolProp library (IAPWS-95)."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest

from tankful.proof.check import published_rows
from tankful.units import WATER_CP_J_PER_KG_K

BUILDER = Path(__file__).parents[2] / "builders" / "record_water_properties.py"


def builder():
    spec = importlib.util.spec_from_file_location("record_water_properties", BUILDER)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_recorded_table_is_what_the_library_gives_now():
    for recorded, now in zip(published_rows("water_iapws"), builder().rows(), strict=True):
        for name, value in now.items():
            assert float(recorded[name]) == pytest.approx(float(value), rel=1e-5), name


def test_the_stated_error_of_the_specific_heat_is_true():
    """0.45 % low at 5 degC and within 0.2 % from 15 to 75 degC, as the constant's note says."""
    from CoolProp.CoolProp import PropsSI

    def error(temp_c: float) -> float:
        true = PropsSI("C", "T", temp_c + 273.15, "P", 101_325.0, "Water")
        return WATER_CP_J_PER_KG_K / true - 1.0

    assert error(5.0) == pytest.approx(-0.0045, abs=0.0001)
    assert max(abs(error(temp_c)) for temp_c in range(15, 76)) < 0.002
