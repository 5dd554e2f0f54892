"""A heat pump's test report: run again in the program, it must give the quoted COP."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tankful.casefile import cop_test as report
from tankful.casefile.cop_test import cop_test, rating_cop, usual_wet_bulb_c
from tankful.model.case import Quote
from tankful.model.system import Control, HeatPumpRating, WaterHeater
from tankful.physics import heat_pump
from tankful.simulate.kernel import fresh_state, simulate_year
from tankful.simulate.params import Drive, build_plant, empty_record

MODELS = st.sampled_from(["lab_curve", "carnot"])
STEP_S = 60.0


def run_again(quote: Quote, frost_penalty: float) -> float:
    """COP of a heat-up in air of the quote's test: one mixed tank without loss, as tests ask."""
    test = cop_test(quote)
    pump = HeatPumpRating(
        heat_w=3000.0,
        cop=rating_cop(quote, frost_penalty),
        standby_w=0.0,
        cut_out_air_c=-30.0,
        frost_penalty=frost_penalty,
        model=quote.cop_model or "lab_curve",
    )
    end_c = max(test.water_to_c, test.water_from_c + 0.05)
    tank = WaterHeater(
        kind="heat_pump",
        control=Control("always"),
        tank_l=200.0,
        setpoint_c=end_c,
        heat_pump=pump,
    )
    steps = 3000
    zeros = np.zeros(steps)
    air = np.full(steps, test.air_c)
    wet = np.full(steps, test.wet_bulb_c)
    drive = Drive(air, wet, air, zeros, zeros, zeros, zeros + 1e4, zeros, zeros, zeros)
    record, temps_c = empty_record(steps), np.array([test.water_from_c])
    plant = build_plant(tank, layers=1, step_s=STEP_S)._replace(loss_decay=0.0)
    simulate_year(plant, drive, temps_c, fresh_state(), record)
    assert temps_c[0] == pytest.approx(end_c)
    return float(record.heat_w.sum() / record.electric_w.sum())


@settings(max_examples=60)
@given(
    MODELS,
    st.floats(2.0, 4.5),
    st.floats(-5.0, 35.0),
    st.floats(0.0, 8.0),
    st.floats(20.0, 50.0),
    st.floats(0.0, 40.0),
    st.floats(0.0, 0.3),
)
def test_the_report_run_again_gives_the_quoted_cop(
    model, cop, air_c, depression_k, from_c, rise_k, frost_penalty
):
    """Within 1 %, which is the long last step of a heat-up."""
    wet_bulb_c = air_c - depression_k
    assume(wet_bulb_c >= -9.0)
    quote = Quote(
        family="heat_pump",
        cop=cop,
        cop_air_c=air_c,
        cop_wet_bulb_c=wet_bulb_c,
        cop_water_from_c=from_c,
        cop_water_to_c=min(from_c + rise_k, 64.0),
        cop_model=model,
    )
    assert run_again(quote, frost_penalty) == pytest.approx(cop, rel=0.01)


@given(MODELS, st.floats(2.0, 4.5))
def test_a_report_that_says_nothing_is_a_heat_up_from_15_to_60_at_the_rating_air(model, cop):
    quote = Quote(family="heat_pump", cop=cop, cop_model=model)
    test = cop_test(quote)
    assert test == (19.7, pytest.approx(13.6), 15.0, 60.0)
    assert run_again(quote, 0.15) == pytest.approx(cop, rel=0.01)


def test_the_rating_point_is_that_of_the_heat_pump_model():
    assert report.RATING_AIR_C == heat_pump.RATING_AIR_C
    assert usual_wet_bulb_c(heat_pump.RATING_AIR_C) == pytest.approx(heat_pump.RATING_WET_BULB_C)


@pytest.mark.parametrize(("air_c", "wet_bulb_c"), [(2.0, 1.0), (7.0, 6.0), (14.0, 13.0)])
def test_the_usual_wet_bulb_is_that_of_the_european_tests(air_c, wet_bulb_c):
    """EU 812/2013 Annex VII Table 6 and 814/2013 Annex III Table 4: colder, average, warmer."""
    assert usual_wet_bulb_c(air_c) == pytest.approx(wet_bulb_c)


@given(st.floats(-15.0, 45.0), st.floats(0.0, 10.0))
def test_the_usual_wet_bulb_rises_with_the_air_and_stays_below_it(air_c, more_k):
    below, above = usual_wet_bulb_c(air_c), usual_wet_bulb_c(air_c + more_k)
    assert below <= air_c
    assert above >= below - 1e-9


def test_one_point_is_told_as_one():
    point = Quote(family="heat_pump", cop=3.0, cop_water_from_c=55.0, cop_water_to_c=55.0)
    assert cop_test(point).text() == "air 19.7 degC (wet bulb 13.6), water 55 degC"
