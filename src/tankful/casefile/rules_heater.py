"""Rules of today's heater and the gas supply."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from tankful.casefile.faults import shown
from tankful.casefile.mends import add_section
from tankful.casefile.rule import Rule, rule
from tankful.errors import Fault
from tankful.model.case import (
    BURNS_GAS,
    CONTINUOUS,
    HAS_ELEMENT,
    INLINE_BOOSTED,
    SOLAR_THERMAL,
    Case,
)
from tankful.model.tariff import uncovered

MOST_TANK_ELEMENT_KW = 12.0
"""Household tanks have elements of 1.2 to 6 kW (common practice)."""

SAFE_STORE_C = 60.0
"""Storage at 60 degC or more (Queensland Government, 2024)."""


@rule("heater.control", "heater.kind")
def hours_are_for_electric_heaters(case: Case, folder: Path) -> Iterator[Fault]:
    heater = case.heater
    if heater.control != "always" and heater.kind not in HAS_ELEMENT:
        yield Fault(
            "heater.control",
            "only an electric heater runs by hours",
            f'`"{heater.control}"` with `kind "{heater.kind}"`',
            mend='`write control = "always"`, or correct `kind`',
        )


@rule("heater.control", "electricity.tariff")
def off_peak_needs_a_controlled_load(case: Case, folder: Path) -> Iterator[Fault]:
    tariff = case.electricity.tariff
    if case.heater.control == "off_peak" and tariff and tariff.controlled_load is None:
        yield Fault(
            "heater.control",
            "the electricity plan has no `controlled load|off-peak circuit`",
            '`"off_peak"`',
            mend=f"{add_section('electricity.tariff.controlled_load')} with its price and hours",
        )


@rule("heater.control", "electricity.off_peak_circuit")
def off_peak_needs_its_circuit(case: Case, folder: Path) -> Iterator[Fault]:
    if case.heater.control == "off_peak" and case.electricity.off_peak_circuit is False:
        yield Fault(
            "electricity.off_peak_circuit",
            "today's heater runs on the off-peak circuit that is said not to exist",
            shown(False),
            mend="`write off_peak_circuit = true`, or correct "
            "`the heater's control|<heater.control>`",
        )


@rule("heater.kind", "gas.connected")
def gas_heater_needs_gas(case: Case, folder: Path) -> Iterator[Fault]:
    if case.heater.kind in BURNS_GAS and case.gas.connected is False:
        yield Fault(
            "gas.connected",
            "today's heater burns gas, but the home is said to have none",
            shown(False),
            mend="`write connected = true`, or correct `the heater's kind|<heater.kind>`",
        )


@rule("gas.other_use_mj", "gas.connected")
def other_gas_needs_gas(case: Case, folder: Path) -> Iterator[Fault]:
    if case.gas.other_use_mj > 0 and case.gas.connected is False:
        yield Fault(
            "gas.other_use_mj",
            "gas is used, but the home is said to have none",
            f"{case.gas.other_use_mj:g}",
            mend="`write other_use_mj = 0`, or `connected = true|set <connected> to “yes”`",
        )


@rule("constraints.no_gas", "constraints.keep_gas")
def gas_is_kept_or_not(case: Case, folder: Path) -> Iterator[Fault]:
    if case.constraints.no_gas and case.constraints.keep_gas:
        yield Fault(
            "constraints.keep_gas",
            "`no_gas` and `keep_gas` contradict each other",
            "both `true|yes`",
            mend="keep one of the two",
        )


@rule("constraints.keep_gas", "gas.connected")
def kept_gas_is_there(case: Case, folder: Path) -> Iterator[Fault]:
    if case.constraints.keep_gas and case.gas.connected is False:
        yield Fault(
            "constraints.keep_gas",
            "gas cannot stay connected where it is not",
            shown(True),
            mend="`write keep_gas = false`, or `connected = true|set <gas.connected> to “yes”`",
        )


@rule("constraints.quiet_hours")
def quiet_hours_leave_time(case: Case, folder: Path) -> Iterator[Fault]:
    quiet = case.constraints.quiet_hours
    if quiet and not uncovered(quiet):
        yield Fault(
            "constraints.quiet_hours",
            "they cover the whole year, so that a heat pump could never run",
            mend="`write no_heat_pump = true` instead, or leave hours for it",
        )


@rule("heater.efficiency", "heater.kind")
def efficiency_is_for_burners(case: Case, folder: Path) -> Iterator[Fault]:
    heater = case.heater
    if heater.efficiency is not None and heater.kind not in BURNS_GAS:
        yield Fault(
            "heater.efficiency",
            "only a gas heater has a burner efficiency",
            f'{heater.efficiency:g} with `kind "{heater.kind}"`',
            mend="`remove efficiency`, or correct `kind`",
        )


@rule("heater.element_kw", "heater.kind", "quotes")
def tank_elements_are_small(case: Case, folder: Path) -> Iterator[Fault]:
    given: list[tuple[str, str, float]] = [("heater", case.heater.kind, case.heater.element_kw)]
    quotes = enumerate(case.quotes, start=1)
    given += [(f"quotes[{i}]", quote.family, quote.element_kw or 0.0) for i, quote in quotes]
    for path, kind, element_kw in given:
        if element_kw > MOST_TANK_ELEMENT_KW and kind in HAS_ELEMENT:
            yield Fault(
                f"{path}.element_kw",
                "more than the element of a tank takes",
                f"{element_kw:g}",
                f"at most {MOST_TANK_ELEMENT_KW:g} kW",
                "only a continuous heater takes more: give kW, not W or A, or correct its kind",
            )


@rule("heater.tank_l", "heater.kind")
def tank_is_for_storage(case: Case, folder: Path) -> Iterator[Fault]:
    heater = case.heater
    if heater.tank_l is not None and heater.kind in CONTINUOUS | {"none"}:
        yield Fault(
            "heater.tank_l",
            "this kind of heater has no tank",
            f'{heater.tank_l:g} with `kind "{heater.kind}"`',
            mend="`remove tank_l`, or correct `kind`",
        )


@rule("heater.two_elements", "heater.kind")
def second_element_is_for_electric_tanks(case: Case, folder: Path) -> Iterator[Fault]:
    heater = case.heater
    if heater.two_elements is not None and heater.kind != "electric_storage":
        yield Fault(
            "heater.two_elements",
            "only an electric tank has a second element",
            f'{shown(heater.two_elements)} with `kind "{heater.kind}"`',
            mend="`remove two_elements`, or correct `kind`",
        )


@rule("heater.circulation", "heater.kind")
def circulation_is_for_collectors(case: Case, folder: Path) -> Iterator[Fault]:
    heater = case.heater
    if heater.circulation is not None and heater.kind not in SOLAR_THERMAL:
        yield Fault(
            "heater.circulation",
            "only solar collectors have a loop",
            f'`"{heater.circulation}"` with `kind "{heater.kind}"`',
            f"only for {', '.join(sorted(SOLAR_THERMAL))}",
            "`remove circulation`, or correct `kind`",
        )


@rule("heater.backup_element", "heater.kind")
def backup_element_is_for_heat_pumps(case: Case, folder: Path) -> Iterator[Fault]:
    heater = case.heater
    if heater.backup_element is not None and heater.kind != "heat_pump":
        yield Fault(
            "heater.backup_element",
            "only a heat pump has an element that helps it",
            f'`"{heater.backup_element}"` with `kind "{heater.kind}"`',
            mend="`remove backup_element`, or correct `kind`",
        )


@rule("gas.bottles", "gas.tariff")
def gas_has_one_price(case: Case, folder: Path) -> Iterator[Fault]:
    if case.gas.bottles is not None and case.gas.tariff is not None:
        yield Fault(
            "gas.bottles",
            "gas comes from bottles or from the network, not from both",
            mend="`remove the section [gas.bottles] or [gas.tariff]|"
            "leave <gas.bottles> or <gas.tariff> empty`",
        )


@rule("gas.bottles", "gas.connected")
def bottles_need_gas(case: Case, folder: Path) -> Iterator[Fault]:
    if case.gas.bottles is not None and case.gas.connected is False:
        yield Fault(
            "gas.connected",
            "bottled gas is given, but the home is said to have no gas",
            shown(False),
            mend="`write connected = true`, or "
            "`remove the section [gas.bottles]|leave <gas.bottles> empty`",
        )


@rule("gas.bottles", "gas.leaving_cost")
def bottles_are_not_the_network(case: Case, folder: Path) -> Iterator[Fault]:
    if case.gas.bottles is not None and case.gas.leaving_cost is not None:
        yield Fault(
            "gas.leaving_cost",
            "a home with bottled gas has no network to leave",
            f"{case.gas.leaving_cost:g}",
            mend="`remove leaving_cost`, or `the section [gas.bottles]|leave <gas.bottles> empty`",
        )


@rule("heater.hours", "heater.control")
def hours_are_used(case: Case, folder: Path) -> Iterator[Fault]:
    if case.heater.hours and case.heater.control != "hours":
        yield Fault(
            "heater.hours",
            f'the hours are not used: `control is "{case.heater.control}"`',
            mend='`write control = "hours"`, or remove the hours',
        )


@rule("heater.setpoint_c", "heater.kind")
def store_is_hot_enough(case: Case, folder: Path) -> Iterator[Fault]:
    heater = case.heater
    if heater.kind not in INLINE_BOOSTED | {"none"} and heater.setpoint_c < SAFE_STORE_C:
        yield Fault(
            "heater.setpoint_c",
            "Legionella can grow in a tank kept below 60 degC",
            f"{heater.setpoint_c:g}",
            mend="check the setting; a licensed plumber can raise it behind a tempering valve",
        )


HEATER_RULES: tuple[Rule, ...] = (
    hours_are_for_electric_heaters,
    off_peak_needs_a_controlled_load,
    off_peak_needs_its_circuit,
    gas_heater_needs_gas,
    other_gas_needs_gas,
    gas_is_kept_or_not,
    kept_gas_is_there,
    quiet_hours_leave_time,
    efficiency_is_for_burners,
    tank_elements_are_small,
    tank_is_for_storage,
    second_element_is_for_electric_tanks,
    circulation_is_for_collectors,
    backup_element_is_for_heat_pumps,
    gas_has_one_price,
    bottles_need_gas,
    bottles_are_not_the_network,
)
HEATER_WARNINGS: tuple[Rule, ...] = (
    hours_are_used,
    store_is_hot_enough,
)
