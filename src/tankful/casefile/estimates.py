"""Estimates from bills put in place of defaults, and noted as what they are."""

from __future__ import annotations

from dataclasses import replace

from tankful.casefile.bill_words import source_words
from tankful.casefile.bills import KINDS, Period
from tankful.casefile.filling import Filling
from tankful.model.calibration import Calibration, Estimate
from tankful.model.case import Case
from tankful.model.system import WaterHeater


def take_estimates(
    filling: Filling, case: Case, heater: WaterHeater, found: Calibration
) -> tuple[Case, WaterHeater]:
    """The case with the estimated litres and other gas, and today's heater with its estimated
    losses, as far as they are taken; each is noted."""

    def note(path: str, estimate: Estimate, unit: str, digits: int) -> None:
        low, high = round(estimate.low, digits), round(estimate.high, digits)
        how = f"estimated from {source_words(found)}, between {low:g} and {high:g}"
        filling.work_out(path, round(estimate.value, digits), unit, how)

    if found.takes_litres:
        note("people.hot_litres_per_person_per_day", found.litres, "L/day", 1)
        litres = {"hot_litres_per_person_per_day": round(found.litres.value, 1)}
        case = case.model_copy(update={"people": case.people.model_copy(update=litres)})
    if found.takes_losses and found.loss_w_per_k is not None:
        note("heater.loss_w_per_k", found.loss_w_per_k, "W/K", 3)
        heater = replace(heater, loss_w_per_k=found.loss_w_per_k.value)
    if found.takes_losses and found.efficiency is not None:
        if case.heater.efficiency is None:
            note("heater.efficiency", found.efficiency, "", 3)
        heater = replace(heater, efficiency=found.efficiency.value)
        if heater.booster is not None:
            booster = replace(heater.booster, efficiency=found.efficiency.value)
            heater = replace(heater, booster=booster)
    if found.other_use_mj_per_year is not None:
        other_mj = round(found.other_use_mj_per_year, -2)
        filling.work_out(
            "gas.other_use_mj", other_mj, "MJ/year", f"estimated from {source_words(found)}"
        )
        gas = case.gas.model_copy(update={"other_use_mj": other_mj})
        case = case.model_copy(update={"gas": gas})
    return case, heater


def unused_note(case: Case, heater: WaterHeater) -> tuple[str, ...]:
    """That nothing was learnt from gas bills, as all are of months of heating; empty where there
    are none, or where a warning has said why they are not used."""
    bills = case.gas.bills
    if not bills or heater.kind not in KINDS or case.people.pattern != "household":
        return ()
    which = f"The {len(bills)} gas bills are" if bills[1:] else "The gas bill is"
    given = (
        f" ({case.gas.other_use_mj:,.0f} MJ a year by the case)" if case.gas.other_use_mj else ""
    )
    return (
        f"{which} not used for the litres of hot water: they are of the cold months, in which gas "
        f"heats the home as well{given}. A bill of the warm months would tell.",
    )


NOTABLE_KWH_PER_DAY = 0.5
"""Less on an off-peak register is a clock or a leak of current (judgement)."""


def unclaimed_note(heater: WaterHeater, off_peak: tuple[Period, ...]) -> tuple[str, ...]:
    """A register of the meter that nothing in the case explains; empty when all is well."""
    if heater.circuit == "controlled" or not off_peak:
        return ()
    days = sum((last - first).days + 1 for first, last, _ in off_peak)
    a_day = sum(kwh for _, _, kwh in off_peak) / days
    if a_day < NOTABLE_KWH_PER_DAY:
        return ()
    return (
        f"The meter holds {a_day:.1f} kWh a day on an off-peak circuit, and by the case the water "
        'heater is not on it: if it is, write control = "off_peak" under [heater].',
    )
