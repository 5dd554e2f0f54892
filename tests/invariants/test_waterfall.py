"""What must hold of the steps from one option's cost to another's, whatever the homes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankful.advice.reasons import (
    Costed,
    EnergyUse,
    PresentParts,
    largest_remainder,
    waterfall,
)
from tankful.model.answer import YearOne
from tankful.model.result import StepKey, Waterfall

kwh = st.one_of(st.just(0.0), st.floats(1e-3, 20_000.0))
worth = st.floats(-1e5, 1e5)
uses = st.builds(EnergyUse, heat_kwh=kwh, loss_kwh=kwh, bought_kwh=kwh, sun_kwh=kwh)
parts = st.builds(PresentParts, **dict.fromkeys(PresentParts.__dataclass_fields__, worth))
MONEY = ("electricity", "feed_in_lost", "gas_use", "gas_supply", "circuit_supply")
bills = st.builds(YearOne, **dict.fromkeys(MONEY, st.floats(-500, 3000)))
costed = st.builds(
    Costed, id=st.just("x"), use=uses, parts=parts, year_one=bills, bottled=st.booleans()
)


def moved(told: Waterfall, key: StepKey) -> float:
    step = told.step(key)
    assert step is not None
    return step.amount


@given(costed, costed)
def test_start_and_steps_give_the_end_to_the_cent(option: Costed, base: Costed) -> None:
    told = waterfall(option, base, "today's heater")
    assert told.start_cents == round(base.parts.total * 100)
    assert told.end_cents == round(option.parts.total * 100)
    assert told.start_cents + sum(step.amount_cents for step in told.steps) == told.end_cents


@given(costed, costed)
def test_a_sum_of_money_moves_the_cost_by_its_difference(option: Costed, base: Costed) -> None:
    told = waterfall(option, base, "today's heater")
    for step in told.steps:
        if step.unit == "money":
            assert step.before is not None
            assert step.after is not None
            assert step.amount == pytest.approx(step.after - step.before, abs=0.011)


@given(costed)
def test_nothing_leads_from_an_option_to_itself(option: Costed) -> None:
    told = waterfall(option, option, "itself")
    assert not any(step.amount_cents for step in told.steps)


POSITIVE = st.floats(50.0, 20_000.0)
priced = st.builds(
    Costed,
    id=st.just("x"),
    use=st.builds(
        EnergyUse, heat_kwh=POSITIVE, loss_kwh=POSITIVE, bought_kwh=POSITIVE, sun_kwh=POSITIVE
    ),
    parts=st.builds(replace, parts, energy=st.floats(1.0, 1e5)),
    year_one=bills,
    bottled=st.just(False),
)


@given(priced, priced)
def test_the_direction_of_each_factor_is_the_direction_of_its_step(
    option: Costed, base: Costed
) -> None:
    """More heat and loss cost; more heat from a kWh and more sun save; so does a lower price."""
    told = waterfall(option, base, "today's heater")
    signs: dict[StepKey, int] = {"heat": 1, "tank_loss": 1, "efficiency": -1, "own_sun": -1}
    for key, sign in signs.items():
        step = told.step(key)
        assert step is not None
        assert step.before is not None
        assert step.after is not None
        rise = (step.after - step.before) * sign
        assert step.amount_cents * rise >= 0 or abs(step.amount_cents) <= 1
    dearer = option.parts.energy / option.use.bought_kwh - base.parts.energy / base.use.bought_kwh
    step = told.step("energy_price")
    assert step is not None
    assert step.amount_cents * dearer >= 0 or abs(step.amount_cents) <= 1


def test_steps_worked_by_hand() -> None:
    """Arithmetic written out.

    Base: 3000 kWh at the taps and 1000 lost, 0.8 kWh of heat from each, no sun: 5000 kWh
    bought, worth $2 each over the years: $10,000. Option: 500 lost, 3.5 from each kWh, 40 %
    sun: 3500 / 3.5 = 1000, 600 bought at $3: $1,800.
    Tank: 500 / 0.8 x 2 = 1250 less. Efficiency: (4375 - 1000) x 2 = 6750 less. Sun: 400 x 2 =
    800 less. Price: 600 x 1 = 600 more. 10,000 - 1250 - 6750 - 800 + 600 = 1800.
    """
    nothing = PresentParts(**dict.fromkeys(PresentParts.__dataclass_fields__, 0.0))
    year = YearOne(**dict.fromkeys(MONEY, 0.0))
    base = Costed(
        "keep",
        EnergyUse(3000.0, 1000.0, 5000.0, 0.0),
        replace(nothing, energy=10_000.0, gas_supply=3000.0, renewal=500.0),
        replace(year, gas_use=700.0, gas_supply=270.0),
        bottled=False,
    )
    option = Costed(
        "heat-pump",
        EnergyUse(3000.0, 500.0, 600.0, 400.0),
        replace(nothing, energy=1800.0, export=200.0, purchase=4000.0, credits=-500.0),
        replace(year, electricity=180.0, circuit_supply=30.0, feed_in_lost=20.0),
        bottled=False,
    )
    told = waterfall(option, base, "today's heater")
    expected: dict[StepKey, float] = {
        "heat": 0.0,
        "tank_loss": -1250.0,
        "efficiency": -6750.0,
        "own_sun": -800.0,
        "energy_price": 600.0,
        "export": 200.0,
        "gas_supply": -3000.0,
        "circuit_supply": 0.0,
        "purchase": 4000.0,
        "credits": -500.0,
        "leaving_gas": 0.0,
        "upkeep": 0.0,
        "renewal": -500.0,
    }
    assert {step.key: step.amount for step in told.steps} == expected
    assert (told.start, told.end, told.gap) == (13_500.0, 5500.0, -8000.0)
    price = told.step("energy_price")
    assert price is not None
    assert price.before == pytest.approx(700.0 / 5000.0)
    assert price.after == pytest.approx(150.0 / 600.0)


def test_a_base_that_buys_next_to_nothing_lends_its_price_to_no_step() -> None:
    """2 kWh bought for a charge of $400 are not $200 a kWh: the option's price stands in."""
    nothing = PresentParts(**dict.fromkeys(PresentParts.__dataclass_fields__, 0.0))
    year = YearOne(**dict.fromkeys(MONEY, 0.0))
    base = Costed(
        "x", EnergyUse(3000.0, 500.0, 2.0, 3498.0), replace(nothing, energy=400.0), year, False
    )
    option = Costed(
        "y", EnergyUse(3000.0, 500.0, 3500.0, 0.0), replace(nothing, energy=7000.0), year, False
    )
    told = waterfall(option, base, "today's heater")
    assert moved(told, "own_sun") == pytest.approx(3498.0 * 2.0)
    assert moved(told, "energy_price") == pytest.approx(-396.0)


@given(st.lists(st.floats(-1e9, 1e9), min_size=1, max_size=20), st.integers(-3, 3))
def test_rounding_keeps_the_total_and_moves_no_part_by_more_than_it_must(
    amounts: list[float], off: int
) -> None:
    total = round(sum(amounts)) + off
    whole = largest_remainder(amounts, total)
    assert sum(whole) == total
    allowed = 1.0 + (abs(off) + 1.0) / len(amounts) + 1e-6
    assert all(abs(w - a) <= allowed for w, a in zip(whole, amounts, strict=True))
