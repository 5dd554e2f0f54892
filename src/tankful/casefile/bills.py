"""Bills of today's heater turned into litres a person and the heater's losses."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

import numpy as np

from tankful.casefile.bill_words import bill_warnings
from tankful.casefile.other_gas import (
    MOST_COOKING_MJ,
    has_other_gas,
    other_gas_prior,
    other_mj_per_year,
    tells_other_gas,
)
from tankful.clock import BoolArray, FloatArray, YearClock
from tankful.model.calibration import BillFit, Calibration, Estimate
from tankful.model.case import Case
from tankful.model.system import WaterHeater
from tankful.units import DAYS_PER_YEAR, MJ_PER_KWH
from tankful.use.bill_fit import (
    Balance,
    Fit,
    Prior,
    Priors,
    drawn_kwh_per_litre,
    fit_bills,
    period_sums,
    starts_per_litre,
)
from tankful.use.household import season_factor

Period = tuple[date, date, float]
"""First and last day, and what was used [kWh]."""

LITRES_SPREAD = 0.6
"""Spread of households about the usual litres a person: tenths at 23 and 108 L (judgement)."""

LOSS_SPREAD = {"electric_storage": 0.25, "gas_storage": 0.20}
"""An old tank with its valves and fittings may lose a quarter more than the standard allows a new
one, a good one a quarter less (judgement); gas storage 0.6 to 1.0 MJ/h (from memory)."""

EFFICIENCY_SPREAD = {"gas_storage": 0.035, "gas_continuous": 0.07}
"""0.75 to 0.82 and 0.75 to 0.9 (from memory)."""

GIVEN_SPREAD = 0.02
"""An efficiency that the case gives."""

SEASON_SPREAD = 0.4
"""How unlike homes are in following the seasons of use and cold water (judgement)."""

HEATING_BELOW_C = 15.0
HEATING_K = 1.0
"""A bill in whose days the air lies further below that on average is one of the cold season."""

HEATING_SHARE = 1.25
"""Bills of the cold season this far above what the warm ones foretell hold heating (judgement)."""

AWAY_SHARE = 0.2
"""A bill with less than this share of the usual day's use is one of days away (judgement)."""

LEAST_LITRES, MOST_LITRES = 8.0, 120.0
"""No household uses less or more hot water a person (judgement)."""

FARTHEST = 3.0
"""A fit whose values lie further, in spreads, from what is known explains nothing (judgement)."""

WAKING_H = 16.0
"""Hours of the day over which hot water is drawn."""

KINDS = ("electric_storage", "gas_storage", "gas_continuous")
"""Heaters whose bills follow from a plain balance: no sun, no heat pump."""


@dataclass(frozen=True, eq=False)
class Surroundings:
    """What the balance needs of the year: the clock, and by day air and cold water [degC],
    shape ``(365,)``, and the hemisphere."""

    clock: YearClock
    air_c: FloatArray
    cold_c: FloatArray
    southern: bool

    @classmethod
    def of(
        cls, clock: YearClock, air_c: FloatArray, cold_c: FloatArray, *, southern: bool
    ) -> Surroundings:
        """From series on the steps of the year."""

        def daily(series: FloatArray) -> FloatArray:
            means: FloatArray = series.reshape(DAYS_PER_YEAR, -1).mean(axis=1)
            return means

        return cls(clock, daily(air_c), daily(cold_c), southern)


def bills_of(
    case: Case, heater: WaterHeater, metered: tuple[Period, ...]
) -> tuple[Literal["gas bills", "off-peak bills", "off-peak meter"], tuple[Period, ...]]:
    """The bills that hold today's heater [kWh], from the case or else the meter's register."""
    if heater.burner_w or heater.kind == "gas_continuous":
        bills = case.gas.bills
        return "gas bills", tuple(
            (bill.first, bill.last, bill.mj / MJ_PER_KWH if bill.mj else bill.kwh or 0.0)
            for bill in bills
        )
    if heater.circuit != "controlled":
        return "off-peak bills", ()
    if case.electricity.off_peak_bills:
        given = case.electricity.off_peak_bills
        return "off-peak bills", tuple((bill.first, bill.last, bill.kwh) for bill in given)
    return "off-peak meter", metered


def calibrate(
    case: Case, heater: WaterHeater, around: Surroundings, metered: tuple[Period, ...] = ()
) -> Calibration | None:
    """What bills say; ``None`` without bills, for a heater whose bills no plain balance
    explains, for a standard day in place of people, and where every bill holds heating."""
    source, periods = bills_of(case, heater, metered)
    if not periods or heater.kind not in KINDS or case.people.pattern != "household":
        return None
    priors = _priors(case, heater)
    balance = _balance(case, heater, around, periods, priors.litres.middle)
    measured_kwh = np.array([kwh for _, _, kwh in periods])
    used, why_not, heating = _usable(case, measured_kwh, balance, priors, _is_cold(around, periods))
    if not used.any():
        return None
    if not (heating.any() or has_other_gas(case)):
        priors = replace(priors, other=Prior(0.0, 0.0))  # as the answer then takes it

    def fit(known: Priors) -> Fit:
        return fit_bills(measured_kwh[used], balance.of(used), known)

    free = fit(priors)
    balance = _balance(case, heater, around, periods, float(free.values[0]))
    free = fit(priors)
    litres = Estimate(*free.range_of(0))
    given = "hot_litres_per_person_per_day" in case.people.model_fields_set
    accepted = LEAST_LITRES <= litres.value <= MOST_LITRES and free.farthest <= FARTHEST
    before = case.people.hot_litres_per_person_per_day
    agrees = accepted and (not given or litres.holds(before))
    best = fit(priors.with_litres(before)) if given and agrees else free
    expected_kwh = balance.parts_kwh(best.values).sum(axis=0)
    factor = MJ_PER_KWH if source == "gas bills" else 1.0
    spans = [(first, last) for first, last, _ in periods]
    other = other_mj_per_year(float(best.values[3]), spans, measured_kwh - expected_kwh, heating)
    made = Calibration(
        source=source,
        unit="MJ" if source == "gas bills" else "kWh",
        bills=_bill_fits(periods, expected_kwh, used, factor),
        litres=litres,
        litres_before=before,
        litres_given=given,
        usual=factor * float(balance.of(used).parts_kwh(priors.middles).sum()),
        accepted=accepted,
        takes_losses=agrees,
        loss_w_per_k=_estimate(best, 1),
        loss_kwh_per_day=_estimate(best, 1, float((balance.loss_kwh / balance.days).mean())),
        efficiency=_estimate(best, 2),
        other_use_per_day=_estimate(best, 3, factor),
        other_use_mj_per_year=other if accepted and not tells_other_gas(case) else None,
        separable=best.tells_losses,
    )
    return replace(made, warnings=bill_warnings(made, why_not, free.scatter))


def _bill_fits(
    periods: tuple[Period, ...], expected_kwh: FloatArray, used: BoolArray, factor: float
) -> tuple[BillFit, ...]:
    """Each bill beside what is expected of it, in the bills' own unit, ``factor`` of it a kWh."""
    return tuple(
        BillFit(first, last, kwh * factor, float(expected) * factor, bool(use))
        for (first, last, kwh), expected, use in zip(periods, expected_kwh, used, strict=True)
    )


def _estimate(fit: Fit, i: int, factor: float = 1.0) -> Estimate | None:
    """One value with its range; ``None`` where it was not open."""
    if not fit.priors.all()[i].is_open:
        return None
    return Estimate(*(factor * number for number in fit.range_of(i)))


def _priors(case: Case, heater: WaterHeater) -> Priors:
    default = type(case.people).model_fields["hot_litres_per_person_per_day"].default
    efficiency, other = Prior(1.0, 0.0), Prior(0.0, 0.0)
    if heater.kind in EFFICIENCY_SPREAD:
        given = case.heater.efficiency is not None
        spread = GIVEN_SPREAD if given else EFFICIENCY_SPREAD[heater.kind]
        efficiency = Prior(heater.efficiency, spread)
        other = other_gas_prior(case)
    return Priors(
        litres=Prior(float(default), LITRES_SPREAD),
        loss=Prior(heater.loss_w_per_k, LOSS_SPREAD.get(heater.kind, 0.0)),
        efficiency=efficiency,
        other=other,
        strength=Prior(1.0, SEASON_SPREAD),
    )


def _balance(
    case: Case,
    heater: WaterHeater,
    around: Surroundings,
    periods: tuple[Period, ...],
    litres: float,
) -> Balance:
    """The parts of each bill. ``litres`` a person, of which the tank's mean temperature hangs."""
    people = case.people
    weights = np.ones(DAYS_PER_YEAR)
    if people.season:
        weights = season_factor(around.clock, southern=around.southern)
    drawn = people.count * weights * drawn_kwh_per_litre(around.cold_c)
    starts = np.zeros(DAYS_PER_YEAR)
    if heater.booster is not None:
        start_kwh = heater.booster.start_loss_j / 3.6e6
        starts = people.count * weights * starts_per_litre() * start_kwh
    hours = (
        24.0 / 1000.0 * np.maximum(0.0, _over_surroundings_k(heater, around, people.count * litres))
    )
    spans = [(first, last) for first, last, _ in periods]

    def sums(daily: FloatArray) -> FloatArray:
        return period_sums(daily, spans)

    days = sums(np.ones(DAYS_PER_YEAR))
    season = sums(drawn) / days / float(drawn.mean())
    return Balance(sums(drawn), sums(starts), sums(hours), days, season)


def _over_surroundings_k(heater: WaterHeater, around: Surroundings, drawn_l: float) -> FloatArray:
    """Mean temperature of the tank over its surroundings by day [K], shape ``(365,)``.

    Half the deadband below its setting; on an off-peak circuit also by what is drawn before
    the network switches it on again, evenly over the waking hours.
    """
    mean_c = np.full(DAYS_PER_YEAR, heater.setpoint_c - 0.5 * heater.deadband_k)
    if heater.circuit == "controlled" and heater.tank_l > 0.0:
        on = np.logical_or.reduce([window.mask(around.clock) for window in heater.control.windows])
        steps = np.arange(on.size)
        since = steps - np.maximum.accumulate(np.where(on, steps, 0))
        waiting_h = float(since.mean()) * around.clock.step_min / 60.0
        drained = min(1.0, drawn_l / heater.tank_l * waiting_h / WAKING_H)
        mean_c = mean_c - drained * (heater.setpoint_c - around.cold_c)
    return mean_c - (20.0 if heater.indoors else around.air_c)


def _is_cold(around: Surroundings, periods: tuple[Period, ...]) -> BoolArray:
    """Bills of the days in which homes are heated."""
    spans = [(first, last) for first, last, _ in periods]
    below_k = np.maximum(0.0, HEATING_BELOW_C - around.air_c)
    cold: BoolArray = period_sums(below_k, spans) > HEATING_K * period_sums(
        np.ones(DAYS_PER_YEAR), spans
    )
    return cold


def _usable(
    case: Case, measured_kwh: FloatArray, balance: Balance, priors: Priors, cold: BoolArray
) -> tuple[BoolArray, tuple[str, ...], BoolArray]:
    """Which bills hold hot water and cooking alone, why the others do not, and which of them are
    left out for the heating in them."""
    a_day = measured_kwh / balance.days
    home = a_day >= AWAY_SHARE * np.median(a_day)
    notes, none = [], np.zeros_like(home)
    if not home.all():
        notes.append("Bills of days away, with hardly any use, are left out.")
    if not priors.efficiency.is_open or not (cold & home).any():
        return home, tuple(notes), none
    warm = home & ~cold
    heated = case.gas.other_use_mj > MOST_COOKING_MJ
    if not heated and warm.any():
        foretold = fit_bills(measured_kwh[warm], balance.of(warm), priors).values
        left = home & cold
        expected = float(balance.of(left).parts_kwh(foretold).sum())
        heated = float(measured_kwh[left].sum()) > HEATING_SHARE * expected
    if not heated:
        return home, tuple(notes), none
    notes.append("Bills of the cold months hold space heating, so only the others are used.")
    if tells_other_gas(case) and case.gas.other_use_mj == 0.0:
        notes.append(
            "The case says that hot water is the last use of gas: give gas.other_use_mj with what "
            "heating and cooking take."
        )
    return warm, tuple(notes), home & cold
