"""A heat pump's electric element: in cold air only, also while the tank is cold, or none."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from tankful.advice.backup import backup_cost
from tankful.advice.cautions import cautions_for
from tankful.advice.compare import Comparison, evaluate_all, ranked
from tankful.advice.controls import clock_window
from tankful.model.system import Control, HeatPumpRating, WaterHeater
from tankful.proof.rig import run, steady_drive
from tankful.simulate.run import simulate, year_sums

ALPINE = "2625"
ALWAYS = Control("always")
TIMER = Control("hours", windows=(clock_window(12, 3),), catch_up_c=45.0, sanitise_after_h=144.0)
SHORT = Control("hours", windows=(clock_window(12, 3),))
PUMP = HeatPumpRating(heat_w=3000, cop=3.6, standby_w=0.0, cut_out_air_c=-6.0, frost_penalty=0.15)
UNIT = WaterHeater(
    "heat_pump", ALWAYS, tank_l=270.0, loss_w_per_k=1.5, element_w=1500.0, heat_pump=PUMP
)
BAND_KWH = 1.0
"""Heat of a dead band that one year may end with and another without."""


def helping(heater: WaterHeater, below_c: float = 40.0) -> WaterHeater:
    """The same with an element that helps while the water is colder."""
    assert heater.heat_pump is not None
    return replace(heater, heat_pump=replace(heater.heat_pump, backup_below_c=below_c))


def quote(backup: str) -> str:
    return f'[[quotes]]\nfamily = "heat_pump"\nbackup_element = "{backup}"\n'


@pytest.mark.parametrize("control", [ALWAYS, TIMER], ids=["always", "timer"])
@pytest.mark.parametrize("postcode", ["0800", "2000", ALPINE], ids=["Darwin", "Sydney", "Thredbo"])
def test_an_element_that_helps_never_saves_electricity(place, postcode, control):
    at = place("", postcode)
    unit = at.heater("heat_pump")
    used = [
        at.sums(each, control).electricity_kwh
        for each in (unit, *(helping(unit, c) for c in (25.0, 40.0, 55.0)))
    ]
    assert all(more >= less - BAND_KWH for less, more in pairwise(used))
    assert used[-1] > 1.1 * used[0]


@pytest.mark.parametrize("postcode", ["3000", "2600", ALPINE])
def test_an_element_that_helps_leaves_fewer_showers_cold(place, postcode):
    """On a timer too short for some days, without a top-up."""
    at = place("[people]\ncount = 5\n", postcode)
    unit = at.heater("heat_pump")
    alone, helped = (at.sums(each, SHORT).cold_draws for each in (unit, helping(unit)))
    assert helped < alone


def test_a_cold_tank_takes_the_power_of_both_until_the_mark():
    """The element adds its rating to heat and electricity alike, at a COP of 1."""
    drive = steady_drive(120, around_c=20.0, cold_c=15.0, allowed_w=4000.0)
    alone, both = (run(each, drive, step_s=300.0, start_c=15.0) for each in (UNIT, helping(UNIT)))
    first = [(each.record.heat_w[0], each.record.electric_w[0]) for each in (alone, both)]
    assert first[1][0] == pytest.approx(first[0][0] + 1500.0)
    assert first[1][1] == pytest.approx(first[0][1] + 1500.0, rel=0.005)
    warming = alone.record.mean_c < 55.0
    assert (both.record.mean_c > alone.record.mean_c)[warming].all()
    hot = both.record.mean_c[:-1] > 40.0
    assert hot.any()
    cop = both.record.heat_w[1:] / np.maximum(both.record.electric_w[1:], 1e-9)
    assert (cop[hot & (both.record.heat_w[1:] > 0.0)] > 2.5).all()
    assert (cop[~hot][:-1] < 2.5).all()  # in the last of them the mark is reached


def test_a_mark_that_the_water_never_falls_below_changes_nothing(place):
    at = place()
    unit = at.heater("heat_pump")
    alone, marked = (at.flows(each, TIMER) for each in (unit, helping(unit, 1.0)))
    assert np.array_equal(alone.heater_w, marked.heater_w)


def test_without_an_element_nothing_heats_below_the_cut_out(place):
    """One of the entry class, which stops at 0 degC."""
    entry = 'grade = "entry"\n'
    at, usual = (place(quote(word) + entry, ALPINE) for word in ("none", "cold_air"))
    unit = at.heater("heat_pump")
    assert unit.heat_pump is not None
    cold = at.year.air_c < unit.heat_pump.cut_out_air_c
    assert cold.any()
    assert at.flows(unit, ALWAYS).heat_w[cold].max() == 0.0
    assert usual.flows(usual.heater("heat_pump"), ALWAYS).heat_w[cold].any()


def pumps_ranked(at):
    """The comparison and its options with a heat pump."""
    comparison = Comparison(at.home)
    options = [at.options[name] for name in ("keep", "heat-pump-always", "heat-pump-timed")]
    return comparison, ranked(at.home, evaluate_all(comparison, options, lambda *_: None))


def test_the_trap_costs_what_the_two_settings_differ_by(place):
    """Told of a unit set well, and of one that the case says is not."""
    well, badly = (pumps_ranked(place(quote(word))) for word in ("cold_air", "cold_tank"))
    trap, told = backup_cost(*well), backup_cost(*badly)
    assert trap is not None
    assert told is not None
    assert not trap.is_set_so
    assert told.is_set_so
    for (comparison, told_of), found in ((well, trap), (badly, told)):
        unit = found.option.heater
        assert unit.heat_pump is not None
        alone = replace(unit, heat_pump=replace(unit.heat_pump, backup_below_c=None))
        bought = [
            year_sums(simulate(each, comparison.year), comparison.year).purchased_kwh
            for each in (alone, helping(unit))
        ]
        assert found.kwh == pytest.approx(bought[1] - bought[0])
        assert found.kwh > 10.0
        topic = [
            c
            for c in cautions_for(comparison.home, told_of, backup=found)
            if c.topic == "Electric element"
        ]
        (caution,) = topic
        assert f"{found.kwh:,.0f} kWh" in caution.text
        assert "ask the installer" in caution.text.lower()
        price = found.cost / found.kwh
        assert 0.05 < price < 0.6  # of a kWh, whatever part of it the sun would have given


def test_nothing_is_told_without_an_element(place):
    assert backup_cost(*pumps_ranked(place(quote("none")))) is None
