"""What must hold of litres and losses estimated from bills."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankful.casefile.bills import Surroundings, calibrate
from tankful.model.calibration import Calibration
from tankful.model.case import Case
from tankful.simulate.run import simulate
from tankful.units import J_PER_KWH
from tankful.use.bill_fit import (
    BILL_SPREAD,
    Balance,
    Prior,
    Priors,
    fit_bills,
    period_sums,
    year_days,
)

BALANCE = Balance(
    drawn_kwh=np.array([13.0, 15.0, 17.0, 14.0]),
    starts_kwh=np.zeros(4),
    loss_kwh=np.array([80.0, 95.0, 110.0, 90.0]),
    days=np.array([91.0, 92.0, 92.0, 90.0]),
    season=np.array([0.88, 1.02, 1.15, 0.96]),
)
PRIORS = Priors(
    Prior(50.0, 0.6), Prior(3.8, 0.2), Prior(0.78, 0.035), Prior(0.6, 1.0), Prior(1.0, 0.4)
)
SPREADS = np.array([prior.spread for prior in PRIORS.all()])


def test_the_range_holds_the_truth_in_eight_cases_of_ten() -> None:
    """Truths and bills drawn from what is assumed of them: a right range holds 80 %."""
    rng = np.random.default_rng(1)
    held = np.zeros(5)
    homes = 500
    for _ in range(homes):
        truth = PRIORS.middles * np.exp(SPREADS * rng.normal(size=5))
        noise = np.exp(BILL_SPREAD * rng.normal(size=4))
        fit = fit_bills(BALANCE.parts_kwh(truth).sum(axis=0) * noise, BALANCE, PRIORS)
        for i, true in enumerate(truth):
            _, low, high = fit.range_of(i)
            held[i] += low <= true <= high
    assert held / homes == pytest.approx(np.full(5, 0.8), abs=0.05)


@given(st.floats(10.0, 110.0), st.floats(2.5, 5.5))
def test_bills_that_are_just_as_expected_leave_what_was_known(litres: float, loss: float) -> None:
    known = replace(PRIORS, litres=Prior(litres, 0.6), loss=Prior(loss, 0.2))
    fit = fit_bills(BALANCE.parts_kwh(known.middles).sum(axis=0), BALANCE, known)
    assert fit.values == pytest.approx(known.middles)
    assert (fit.spreads <= SPREADS + 1e-12).all()
    assert fit.scatter == pytest.approx(0.0, abs=1e-9)


@given(st.floats(0.6, 1.6), st.floats(1.01, 1.5))
def test_larger_bills_mean_more_litres(scale: float, more: float) -> None:
    usual = BALANCE.parts_kwh(PRIORS.middles).sum(axis=0)
    lower = fit_bills(scale * usual, BALANCE, PRIORS).values[0]
    assert fit_bills(scale * more * usual, BALANCE, PRIORS).values[0] > lower


def test_more_bills_narrow_the_range() -> None:
    usual = BALANCE.parts_kwh(PRIORS.middles).sum(axis=0)
    few = fit_bills(usual[:1], BALANCE.of(np.arange(4) < 1), PRIORS).spreads
    assert (fit_bills(usual, BALANCE, PRIORS).spreads < few).all()


def test_a_bill_of_days_away_tells_losses_from_litres() -> None:
    """Nothing drawn in a period: what was used is loss alone."""
    usual = BALANCE.parts_kwh(PRIORS.middles).sum(axis=0)
    assert not fit_bills(usual, BALANCE, PRIORS).tells_losses
    away = replace(BALANCE, drawn_kwh=np.array([0.0, 15.0, 17.0, 14.0]))
    known = replace(PRIORS, other=Prior(0.0, 0.0))
    assert fit_bills(away.parts_kwh(known.middles).sum(axis=0), away, known).tells_losses


def test_the_leap_day_counts_as_the_day_before() -> None:
    days = year_days(date(2028, 2, 27), date(2028, 3, 1))
    assert days.tolist() == [57, 58, 58, 59]
    assert period_sums(np.ones(365), [(date(2027, 7, 1), date(2028, 6, 30))]) == [366.0]


HEATERS = {
    "gas storage": 'kind = "gas_storage"\n',
    "gas continuous": 'kind = "gas_continuous"\n',
    "off-peak tank": 'kind = "electric_storage"\ncontrol = "off_peak"\n',
}
QUARTERS = [date(2025, 10, 10) + timedelta(days=91 * i) for i in range(5)]


def calibrated(
    place: Callable[..., Any], heater: str, litres: float, loss_factor: float, other_mj: float
) -> tuple[Calibration, float]:
    """What bills of a simulated year say, and the true loss."""
    people = f"[people]\nhot_litres_per_person_per_day = {litres}\n"
    made = place(f"{people}[heater]\n{HEATERS[heater]}")
    today = made.home.heater_today
    true = replace(today, loss_w_per_k=loss_factor * today.loss_w_per_k)
    flows = simulate(true, made.year)
    daily = (flows.gas_w + flows.controlled_w).reshape(365, -1).sum(axis=1)
    daily = daily * flows.step_s / J_PER_KWH + other_mj / 3.6
    spans = [(a, b - timedelta(days=1)) for a, b in pairwise(QUARTERS)]
    bills = [
        {"first": first, "last": last, "kwh": kwh}
        for (first, last), kwh in zip(spans, period_sums(daily, spans).tolist(), strict=True)
    ]
    data = made.home.case.model_dump(exclude_unset=True)
    del data["people"]
    table, key = ("gas", "bills") if "gas" in heater else ("electricity", "off_peak_bills")
    data[table] = {key: bills}
    data["constraints"] = {"keep_gas": other_mj > 0.0}
    around = Surroundings.of(
        made.home.clock, made.home.temp_air_c, made.home.cold_water_c, southern=True
    )
    found = calibrate(Case.model_validate(data), today, around)
    assert found is not None
    return found, true.loss_w_per_k


@pytest.mark.parametrize("heater", HEATERS)
@pytest.mark.parametrize(
    ("litres", "loss_factor", "other_mj"),
    [(30.0, 0.9, 1.5), (50.0, 1.15, 3.0), (75.0, 1.0, 2.0), (40.0, 1.1, 0.0)],
)
def test_bills_of_a_simulated_year_give_back_its_litres_and_losses(
    heater: str, litres: float, loss_factor: float, other_mj: float, place: Callable[..., Any]
) -> None:
    other_mj = other_mj if "gas" in heater else 0.0
    found, loss = calibrated(place, heater, litres, loss_factor, other_mj)
    assert found.takes_litres
    assert found.litres.holds(litres)
    assert (found.other_use_mj_per_year is not None) == (other_mj > 0.0)
    if found.loss_w_per_k is not None:
        assert found.loss_w_per_k.holds(loss)
    assert not found.warnings
