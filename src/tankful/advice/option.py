"""One thing the household could do, and what the groups of options share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tankful.advice.wording import money
from tankful.model.case import BURNS_GAS, ELECTRIC_INLINE, HAS_ELEMENT, Family
from tankful.model.home import Equipment, Home
from tankful.model.result import Assumption
from tankful.model.system import Control, WaterHeater
from tankful.model.window import Window

KEEP = "keep"


@dataclass(frozen=True)
class Option:
    """One thing the household could do.

    ``parts`` are what is bought now; ``family`` is the heater replaced at the end of its life:
    ids of the home's equipment.
    """

    id: str
    label: str
    family: str
    parts: tuple[str, ...]
    heater: WaterHeater
    controls: tuple[Control, ...]

    @property
    def of_today(self) -> bool:
        """The tank or heater of today stays in use, until it fails."""
        return self.family not in self.parts

    @property
    def burns_gas(self) -> bool:
        return self.heater.kind in BURNS_GAS


def remaining_life_years(home: Home, like: str) -> float:
    """Years today's heater may still run, as equipment ``like`` lasts: that life less its age, at
    least half a year."""
    return max(0.5, home.equipment[like].life_years - home.heater_age_years)


def renewal_note(home: Home) -> tuple[str, ...]:
    """When today's heater is taken to fail, and what its like costs; empty without a heater."""
    if home.heater_today.kind == "none":
        return ()
    part = home.equipment[like_for_like(home)]
    price = money(part.replacement_price, home.case.wishes.currency)
    left = remaining_life_years(home, part.id)
    return (
        f"Today's heater is {home.heater_age_years:g} years old and taken to last "
        f"{part.life_years:g}: every option that keeps it buys its like for {price} after "
        f"{left:g} {'year' if left == 1.0 else 'years'}. Paybacks hang on that.",
    )


def like_for_like(home: Home) -> str:
    """The equipment that today's heater is replaced with; the cheapest where several are quoted."""
    kind = home.heater_today.kind
    family = "electric_storage" if kind == "none" else kind
    alike = [part for part in home.equipment.values() if part.family == family]

    def dearness(part: Equipment) -> tuple[float, ...]:
        return part.replacement_price, -part.life_years, part.maintenance_per_year

    return min(alike, key=dearness).id


def fresh(home: Home, family: Family) -> WaterHeater:
    """A new heater of a family. KeyError for an add-on."""
    heater = home.equipment[family].heater
    if heater is None:
        raise KeyError(f"{family} is an add-on, not a heater")
    return heater


def wiring(home: Home, family: Family) -> tuple[Family, ...]:
    """The circuit an electric heater needs where today's is not electric and its quote does not
    hold one."""
    wired = home.heater_today.kind in HAS_ELEMENT | ELECTRIC_INLINE
    return () if wired or home.equipment[family].holds_wiring else ("electric_circuit",)


def heavy_wiring(home: Home, family: Family) -> tuple[Family, ...]:
    """The circuit that an electric continuous heater needs where today's is none and its quote
    does not hold one."""
    wired = home.heater_today.kind in ELECTRIC_INLINE
    return () if wired or home.equipment[family].holds_wiring else ("electric_circuit",)


def connection(home: Home) -> tuple[Family, ...]:
    """The connection to the controlled load, where today's heater does not hang on it."""
    return () if home.heater_today.circuit == "controlled" else ("off_peak_connection",)


def off_peak_hours(home: Home) -> tuple[Window, ...] | str:
    """The network's hours for a controlled circuit, or why the home cannot have one."""
    controlled = home.electricity_tariff.controlled_load
    if controlled is None:
        return "the electricity plan has no controlled load"
    if not home.off_peak_circuit:
        return "the case says that no off-peak circuit can be had"
    return controlled.hours


def no_gas(home: Home) -> str:
    """Why a new gas heater does not fit; empty when it does."""
    if home.case.constraints.no_gas:
        return "the household wants no gas"
    return "" if home.gas_connected else "the home has no gas connection"


def concerns(options: Sequence[Option], assumption: Assumption) -> bool:
    """Whether an assumption bears on any option: not one on equipment that none of them has."""
    head, _, family = assumption.path.partition("[")
    if head != "quotes":
        return True
    used = {name for option in options for name in (*option.parts, option.family)}
    return family.partition("]")[0] in used or family[:1].isdigit()


def is_quoted(home: Home, family: Family) -> bool:
    """Whether somebody quoted for this family."""
    return home.equipment[family].quote is not None
