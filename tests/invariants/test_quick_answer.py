"""The quick answer is near the whole one, and costs no search."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tankful.advice.controls import (
    clock_window,
    dedicated_panel_controls,
    off_peak_controls,
    timer_controls,
)
from tankful.advice.option import Option
from tankful.advice.quick import MOST_TRIED, SPREAD_TRIED, narrowed, on_long_step
from tankful.casefile.load import LoadedCase, load_case
from tankful.model.answer import Answer
from tankful.model.system import Control, WaterHeater
from tankful.service import study_case

CASE = Path(__file__).parents[2] / "examples" / "02-capital.toml"
NEAR = 0.02
"""Share of the cost; 0.9 % is the most that was seen in the example cases."""

TANK = WaterHeater("electric_storage", Control("always"), tank_l=250.0, element_w=3600.0)
HOURS = (clock_window(13, 3),)
TIMED = Option("timed", "on a timer", "electric_storage", (), TANK, timer_controls())


@pytest.fixture(scope="module")
def loaded() -> LoadedCase:
    return load_case(CASE)


@pytest.fixture(scope="module")
def whole(loaded: LoadedCase) -> Answer:
    return study_case(loaded).answer


def test_the_quick_answer_is_near_the_whole_one(loaded: LoadedCase, whole: Answer) -> None:
    quick = study_case(loaded, known=whole.settings).answer
    costs = {option.id: option.net_present_cost for option in quick.options}
    assert quick.best.id == whole.best.id
    assert set(costs) == {option.id for option in whole.options}
    for option in whole.options:
        assert costs[option.id] == pytest.approx(option.net_present_cost, rel=NEAR), option.id


def test_without_an_earlier_answer_every_option_is_still_there(
    loaded: LoadedCase, whole: Answer
) -> None:
    quick = study_case(loaded, known={}).answer
    assert {option.id for option in quick.options} == {option.id for option in whole.options}
    for option in quick.options:
        dearest = {o.id: o.choice.always_year_one for o in whole.options}[option.id]
        assert option.choice.tried <= SPREAD_TRIED
        assert option.choice.always_year_one == pytest.approx(dearest, rel=0.05, abs=30.0)


def test_a_known_control_is_tried_with_warmer_ones_those_near_it_and_some_of_all() -> None:
    known = next(one for one in TIMED.controls if one.windows == HOURS and one.catch_up_c == 45.0)
    tried = narrowed((TIMED,), {"timed": known})[0].controls
    assert tried[0] == known
    assert replace(known, catch_up_c=50.0) in tried
    assert replace(known, windows=(clock_window(13, 6),)) in tried
    assert replace(known, windows=(clock_window(12, 3),)) in tried
    assert len(tried) == len(set(tried)) <= MOST_TRIED < len(TIMED.controls) / 4
    assert set(tried) <= set(TIMED.controls)


def test_a_tank_topped_up_in_some_hours_is_also_tried_topped_up_at_any() -> None:
    option = replace(TIMED, controls=dedicated_panel_controls())
    known = option.controls[-1]
    assert known.catch_up_windows
    assert replace(known, catch_up_windows=()) in narrowed((option,), {"timed": known})[0].controls


def test_an_option_of_one_control_has_that_one() -> None:
    option = replace(TIMED, controls=off_peak_controls(HOURS))
    for known in (option.controls[0], Control("always"), None):
        settings = {} if known is None else {"timed": known}
        assert narrowed((option,), settings)[0].controls == option.controls


def test_a_control_of_another_plan_is_not_known() -> None:
    other = Control("off_peak")
    assert other not in TIMED.controls
    controls = narrowed((TIMED,), {"timed": other})[0].controls
    assert len(controls) == SPREAD_TRIED
    assert set(controls) <= set(TIMED.controls)


def test_a_step_that_is_longer_already_stays(loaded: LoadedCase) -> None:
    assert on_long_step(loaded).case.simulation.step_min == 15
    hourly = loaded.case.simulation.model_copy(update={"step_min": 60})
    case = loaded.case.model_copy(update={"simulation": hourly})
    assert on_long_step(replace(loaded, case=case)).case.simulation.step_min == 60
