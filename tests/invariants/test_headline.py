"""The headline tells no lead or saving below nought."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tankful import service
from tankful.advice.headline import after_headline, headline
from tankful.model.answer import Answer, OptionResult

CASE = 'as_of = 2026-11-25\n[simulation]\nstep_min = 60\n[place]\npostcode = "2480"\n'
TODAY = '[heater]\nkind = "electric_storage"\nage_years = 4\n'


@pytest.fixture(scope="module")
def answer(tmp_path_factory: pytest.TempPathFactory) -> Answer:
    path: Path = tmp_path_factory.mktemp("home") / "home.toml"
    path.write_text(CASE + TODAY)
    return service.advise(path)


def cold_and_cheap(option: OptionResult, cost: float) -> OptionResult:
    choice = replace(option.choice, usable=False)
    return replace(option, choice=choice, net_present_cost=cost, tied_with_best=False)


def test_a_best_ahead_only_by_warm_showers_is_told_so(answer) -> None:
    best = replace(answer.options[0], tied_with_best=False)
    keep = next(option for option in answer.options if option.id == "keep")
    behind = cold_and_cheap(replace(keep, id="keep"), best.net_present_cost - 900.0)
    best = replace(best, id="other")
    alone = replace(answer, options=(best, behind), margin=-900.0)
    assert headline(alone)[1] == "Every other option leaves more than a shower a week cold."
    (told,) = (line for line in after_headline(alone) if line.startswith("Against"))
    assert told.startswith("Against keeping today's heater it costs $900 more, but showers stay")


def test_an_only_option_is_ahead_of_nothing(answer) -> None:
    best = replace(answer.options[0], tied_with_best=False)
    assert (
        headline(replace(answer, options=(best,), margin=0.0))[1] == "Nothing else fits the home."
    )


def test_a_lead_is_told_in_money(answer) -> None:
    best, second = (
        replace(option, tied_with_best=False, net_present_cost=cost)
        for option, cost in zip(answer.options[:2], (5000.0, 6234.0), strict=True)
    )
    told = headline(replace(answer, options=(best, second), margin=1234.0))[1]
    assert told == f"It is $1,234 ahead of the next over {answer.horizon_years} years."


def test_behind_the_same_machine_set_otherwise_the_next_kind_is_told_too(answer: Answer) -> None:
    pumps = [o for o in answer.options if o.heater.kind == "heat_pump"]
    tank = next(o for o in answer.options if o.heater.kind == "electric_storage")
    first, second, other = (
        replace(option, tied_with_best=False, net_present_cost=cost)
        for option, cost in ((pumps[0], 5000.0), (pumps[1], 5780.0), (tank, 7567.0))
    )
    pair = replace(answer, options=(first, second, other))
    assert headline(pair)[1] == (
        f"Over {answer.horizon_years} years it is $780 ahead of the next, which is the same heater "
        "set another way, and $2,567 ahead of another kind of heater: "
        f"{tank.label[0].lower()}{tank.label[1:]}."
    )
    quoted = replace(second, label=f"{second.label} (Quote B)")
    plain = f"It is $780 ahead of the next over {answer.horizon_years} years."
    assert headline(replace(pair, options=(first, quoted, other)))[1] == plain
    larger = replace(second, heater=replace(second.heater, tank_l=second.heater.tank_l + 50.0))
    assert headline(replace(pair, options=(first, larger, other)))[1] == plain


def test_a_best_that_leaves_showers_cold_says_so_and_what_warm_ones_cost(answer) -> None:
    first, second = (
        replace(option, tied_with_best=False, net_present_cost=cost)
        for option, cost in zip(answer.options[:2], (5000.0, 5463.0), strict=True)
    )
    sums, choice = replace(first.sums, cold_draws=48), replace(first.choice, comfort_kept=False)
    cold = replace(first, sums=sums, choice=choice)
    (told,) = (
        line
        for line in after_headline(replace(answer, options=(cold, second)))
        if line.startswith("But")
    )
    assert told == (
        "But 48 showers and baths a year come more than 2 degrees too cold; the cheapest that "
        f"keeps them warm is {second.label}, $463 dearer."
    )
    both = replace(answer, options=(first, second))
    assert not any(line.startswith("But") for line in after_headline(both))
