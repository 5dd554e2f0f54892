"""The usual cautions for the options of a home. Local code and licensed trades come first."""

from __future__ import annotations

from tankful.advice.search import longest_allowed_h
from tankful.data.store import cite, load_table
from tankful.model.answer import Caution, OptionResult
from tankful.model.case import BURNS_GAS, CONTINUOUS, HAS_ELEMENT, SOLAR_THERMAL

TAP_LIMIT_C = 50.0
TAP_LIMIT_VULNERABLE_C = 45.0
"""Delivery limits of the National Construction Code 2022 volume 3 (B2D5, New South Wales)."""


def cautions_for(
    options: tuple[OptionResult, ...], *, vulnerable: bool, leaves_gas: bool, bottled: bool
) -> tuple[Caution, ...]:
    """Cautions that apply to at least one of ``options``, in the table's order."""
    kinds = {option.heater.kind for option in options}
    applies = {"all"}
    if kinds - CONTINUOUS - {"none"}:
        applies.add("storage")
    if kinds & (HAS_ELEMENT | {"electric_continuous"}):
        applies.add("electric")
    if "heat_pump" in kinds:
        applies.add("heat_pump")
    if kinds & BURNS_GAS:
        applies.add("gas")
    if kinds & SOLAR_THERMAL:
        applies.add("solar")
    if any(option.heater.has_direct_panels for option in options):
        applies.add("direct_panels")
    if bottled:
        applies.add("bottles")
    elif leaves_gas:
        applies.add("leaves_gas")
    applies |= kinds & {"electric_continuous", "solar_gas"}
    limit_c = TAP_LIMIT_VULNERABLE_C if vulnerable else TAP_LIMIT_C
    return tuple(
        Caution(row["topic"], row["text"].format(tap_limit_c=limit_c), cite(row["source_id"]))
        for row in load_table("cautions")
        if row["applies_to"] in applies
    )


def health_notes(options: tuple[OptionResult, ...]) -> tuple[str, ...]:
    """Remarks on options whose control could not keep comfort or the weekly heat-through."""
    notes = []
    for option in options:
        days = option.sums.longest_below_60_h / 24.0
        if option.sums.longest_below_60_h > longest_allowed_h(option.heater):
            notes.append(
                f"{option.label}: the tank goes {days:.0f} days without being heated through to "
                "60 degC, longer than the rule allows; ask for another setting."
            )
        if not option.choice.comfort_kept:
            tried = "no setting tried kept" if option.choice.tried > 1 else "does not keep"
            notes.append(
                f"{option.label}: {tried} cold showers as rare as always on "
                f"({option.sums.cold_draws} a year are left)."
            )
    return tuple(notes)
