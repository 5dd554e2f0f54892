"""What bills say, in plain sentences, and where they and the case disagree."""

from __future__ import annotations

from collections.abc import Sequence

from tankful.model.calibration import Calibration, Estimate
from tankful.units import DAYS_PER_YEAR
from tankful.use.house_bills import BilledLoad, Period

SCATTERED = 0.20
"""Bills that miss the balance by more than this tell of something else (judgement)."""

MET_WITHIN = 0.10
"""The outer tenths of one bill's spread: a simulation within it meets the bills."""


FEW_DAYS = 183
"""Bills of less than half a year leave the seasons to the published shape (judgement)."""

EXCESS_WARNING = 0.05
"""Bills so far below what water heating alone would take do not fit the heater (judgement)."""


def billed_words(bills: Sequence[Period], year_kwh: float) -> str:
    """What electricity bills hold, and the house's yearly use behind them, in one line."""
    count = "one bill" if len(bills) == 1 else f"{len(bills)} bills"
    days = sum((last - first).days + 1 for first, last, _ in bills)
    bought = sum(kwh for _, _, kwh in bills)
    return (
        f"{count} of {days} days with {bought:,.0f} kWh bought: {year_kwh:,.0f} kWh a year in the "
        "published daily shape"
    )


def billed_notes(load: BilledLoad, *, has_panels: bool, heater_out: bool) -> tuple[str, ...]:
    """How the house's use was worked out from electricity bills."""
    rest = DAYS_PER_YEAR - load.covered_days
    notes = [
        f"House load from electricity bills of {load.covered_days} days of the year"
        + (f"; the other {rest} take their mean level." if rest else ".")
    ]
    if load.covered_days < FEW_DAYS:
        notes.append("Bills of less than half a year: how use changes by season is the usual.")
    if has_panels:
        notes.append(
            "Bills tell only what was bought: what the house used of its own sun was added by the "
            "panels' modelled yield. They are taken to be from after the panels came."
        )
    if heater_out:
        notes.append("The modelled electric water heater was taken out of the bills.")
    if load.excess_share > EXCESS_WARNING:
        notes.append(
            f"Warning: the bills hold {load.excess_share:.0%} less than the modelled water heater "
            "alone would take; check litres, heater, and whether it is on a circuit of its own."
        )
    return tuple(notes)


def bill_warnings(found: Calibration, left_out: tuple[str, ...], scatter: float) -> tuple[str, ...]:
    """Left-out bills, disagreement with the case, implausible amounts, scattered bills."""
    warnings = [*left_out]
    litres = found.litres
    if not found.accepted:
        billed = sum(bill.measured for bill in found.used)
        other = (
            "Heating, a pool, a leak or more people may be in them"
            if billed > found.usual
            else "Long absence, or another heater that does part of the work, may be behind it"
        )
        warnings.append(
            f"No plausible use of hot water explains them: {billed:,.0f} {found.unit}, where "
            f"these people and this heater usually take about {found.usual:,.0f}. Nothing is "
            f"taken from them. {other}."
        )
    elif found.litres_given and not litres.holds(found.litres_before):
        warnings.append(
            f"The bills and the case disagree: the bills fit {_range(litres, 0)} L a person a "
            f"day, the case says {found.litres_before:g}. The case's own figure is used; check it, "
            "the number of people and the thermostat."
        )
    if scatter > SCATTERED:
        warnings.append(
            f"The bills scatter by {scatter:.0%} about what steady use would give: days away, "
            "guests or other uses are in them."
        )
    return tuple(warnings)


def bill_sentences(found: Calibration) -> tuple[str, ...]:
    """The estimate as a household reads it, with its warnings."""
    lines = [_head(found)]
    if found.accepted:
        lines += _litres(found)
        lines += _losses(found)
    simulated = [bill.simulated for bill in found.used if bill.simulated is not None]
    if simulated and found.accepted:
        billed = sum(bill.measured for bill in found.used)
        lines.append(
            f"A simulation of today's heater uses {sum(simulated):,.0f} {found.unit} over these "
            f"bills; billed were {billed:,.0f}."
        )
    return (*lines, *found.warnings)


def source_words(found: Calibration) -> str:
    """The bills that were used, in a few words."""
    used = found.used
    days = sum((bill.last - bill.first).days + 1 for bill in used)
    count = len(used)
    if found.source == "off-peak meter":
        return f"{count} months of the meter's off-peak register"
    name = found.source if count > 1 else found.source.removesuffix("s")
    return f"{count} {name} of {days} days"


def _head(found: Calibration) -> str:
    used = found.used
    amount = sum(bill.measured for bill in used)
    first, last = min(bill.first for bill in used), max(bill.last for bill in used)
    return (
        f"{source_words(found)[:1].upper()}{source_words(found)[1:]}, {first:%-d %b %Y} to "
        f"{last:%-d %b %Y}: {amount:,.0f} {found.unit}."
    )


def _litres(found: Calibration) -> list[str]:
    words = f"They fit {found.litres.value:.0f} L of hot water a person a day "
    words += f"({found.litres.low:.0f} to {found.litres.high:.0f})"
    if found.litres_given:
        return [f"{words}; the case's own {found.litres_before:g} L are used."]
    return [f"{words}, used in place of the usual {found.litres_before:g}."]


def _losses(found: Calibration) -> list[str]:
    lines = []
    if found.loss_kwh_per_day is not None and found.takes_losses:
        lines.append(f"Today's tank loses {_range(found.loss_kwh_per_day, 1)} kWh of heat a day.")
        if not found.separable:
            lines.append(
                "The bills cannot tell its losses from the litres, so the losses are mostly what "
                "is usual; the range of the litres allows for that. A bill of days away would tell."
            )
    if found.efficiency is not None and found.takes_losses and found.loss_w_per_k is None:
        lines.append(f"Its burner turns {_range(found.efficiency, 2)} of the gas into hot water.")
    if found.other_use_per_day is not None:
        lines.append(
            f"Other gas, such as cooking, is taken to be {_range(found.other_use_per_day, 1)} "
            f"{found.unit} a day of them."
        )
    elif found.source == "gas bills":
        lines.append("All the gas in the bills used is taken to be for hot water.")
    if found.other_use_mj_per_year is not None:
        lines.append(
            f"By all the bills, other uses of gas come to {found.other_use_mj_per_year:,.0f} MJ a "
            "year, and gas is taken to stay connected; give gas.other_use_mj where you know better."
        )
    return lines


def _range(estimate: Estimate, digits: int) -> str:
    return f"{estimate.value:.{digits}f} ({estimate.low:.{digits}f} to {estimate.high:.{digits}f})"
