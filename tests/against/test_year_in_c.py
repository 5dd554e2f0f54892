"""The compiled year beside the same loop in C (``bench/year.c``), bit by bit."""

from __future__ import annotations

import importlib
from dataclasses import replace
from pathlib import Path

import pytest

from tankful import service
from tankful.advice.controls import SANITISE_AFTER_H, SANITISE_EARLY_H, clock_window
from tankful.model.system import Control
from tankful.proof.thermosiphon import without_pump
from tankful.simulate.drive import home_year
from tankful.simulate.kernel import simulate_year
from tankful.simulate.params import empty_record

ROOT = Path(__file__).parents[2]
WEEKLY = {
    "catch_up_c": 45.0,
    "sanitise_after_h": SANITISE_AFTER_H,
    "sanitise_early_h": SANITISE_EARLY_H,
}
MORE = {
    "timer": Control("hours", (clock_window(12, 4),), **WEEKLY),
    "off-peak": Control("off_peak", (clock_window(22, 8),), **WEEKLY),
    "switch": Control("surplus_switch", threshold_w=600.0, min_on_min=30, **WEEKLY),
}


@pytest.mark.parametrize("setpoint_c", [None, 50.0])
def test_the_year_in_c_is_the_compiled_year_to_the_last_bit(monkeypatch, setpoint_c):
    """Every way of heating the loop knows; set to 50 degC the rule alone heats a store through."""
    monkeypatch.syspath_prepend(str(ROOT / "bench"))
    years, c_year = importlib.import_module("years"), importlib.import_module("c_year")
    compiler = c_year.find_compiler()
    if compiler is None:
        pytest.skip("no C compiler on this machine")
    in_c = c_year.CYear.build(compiler)
    home = service.load_home(ROOT / "examples" / "01-sample-home.toml")
    year = home_year(home)
    sun = year.absorbed_w_per_m2
    others = {other(c): w for c, w in sun.items() for other in (years.guarded, without_pump)}
    year = replace(year, absorbed_w_per_m2={**sun, **others})
    pump = home.equipment["heat_pump"].heater
    assert pump is not None
    heaters = years.heaters(home) | {name: pump.under(control) for name, control in MORE.items()}
    for name, heater in heaters.items():
        some = heater if setpoint_c is None else replace(heater, setpoint_c=setpoint_c)
        inputs = years.Inputs.of(some, year)
        records = [empty_record(year.clock.n_steps) for _ in range(2)]
        ours, theirs = inputs.run(simulate_year, records[0]), inputs.run(in_c.run, records[1])
        assert years.largest_difference(ours, theirs) == 0.0, name
