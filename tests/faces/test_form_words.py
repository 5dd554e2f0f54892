"""Whatever is wrong with a case, the form says it in its own words: no field, section or value as
a case file writes them comes through."""

from __future__ import annotations

import pickle
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from whole_form import ROWS, all_fields

from tankful.casefile.check import RULES, WARNINGS
from tankful.casefile.naming import choices_of, name_of, on_form
from tankful.casefile.resolve import resolve
from tankful.casefile.rule import Rule
from tankful.casefile.typed import Typed, typed_toml
from tankful.desk.check import at_fields, checked
from tankful.desk.form import Group, form_of
from tankful.desk.words import about, fault_words
from tankful.errors import CaseError, Fault, TankfulError
from tankful.model.case import Case
from tankful.model.fields import field_table
from tankful.site.weather_table import HEADER_LIMITS, LIMITS

FILE_SYNTAX = re.compile(
    r"`|<|>|[\[\]{}]|[a-z0-9]_[a-z0-9]| = |\bsections?\b|\bkeys?\b|\b(true|false)\b|"
    r"(in|without) quotes\b|\btoml\b|case file|\bmend|deg[CF]"
)
"""What only a case file holds."""

HOME = {"place.postcode": "2480"}
PLAN = {
    "electricity.tariff.supply_per_day": "1.2",
    "electricity.tariff.usage[1].price_per_kwh": "0.3",
}
FEED_IN = {**PLAN, "electricity.tariff.feed_in[1].price_per_kwh": "0.05"}
GAS_PLAN = {"gas.tariff.supply_per_day": "1", "gas.tariff.blocks[1].price_per_mj": "0.04"}
BOTTLES = {"gas.bottles.price_per_kg": "4"}
PANELS = {"electricity.arrays[1].kw": "6.6"}
HEAT_PUMP = {"quotes[1].family": "heat_pump"}
SOLAR = {"quotes[1].family": "solar_flat"}


def bill(row: str, first: str, last: str, amount: str) -> Typed:
    name = "mj" if row.startswith("gas") else "kwh"
    return {f"{row}.first": first, f"{row}.last": last, f"{row}.{name}": amount}


FIRED: dict[str, tuple[Typed, ...]] = {
    "postcode_is_australian": ({"place.country": "NZ"},),
    "australia_needs_its_postcode": (
        {"place.postcode": "", "place.latitude": "-33", "place.longitude": "151",
         "place.time_zone": "Australia/Sydney", "place.weather_file": "w.epw"},
    ),
    "latitude_has_its_sign": ({"place.latitude": "28.8", "place.longitude": "153.3"},),
    "coordinates_come_in_pairs": ({"place.latitude": "-28"}, {"place.longitude": "153"}),
    "time_zone_exists": (
        {"place.time_zone": "Australia/Sidney"}, {"place.time_zone": "nowhere"},
    ),
    "longitude_fits_the_time_zone": (
        {"place.latitude": "-28", "place.longitude": "15", "place.time_zone": "Australia/Sydney"},
    ),
    "time_zone_fits_the_postcode": ({"place.time_zone": "Europe/London"},),
    "weather_file_is_there": ({"place.weather_file": "gone.epw"},),
    "meter_file_is_there": (
        {"electricity.meter_file": "gone.csv"},
        {"electricity.meter_file": "http://x.org/a"},
        {"electricity.meter_file": "folder"},
        {"electricity.meter_file": "empty.csv"},
    ),
    "hours_are_for_electric_heaters": (
        {"heater.kind": "gas_storage", "heater.control": "off_peak"},
    ),
    "off_peak_needs_a_controlled_load": ({**PLAN, "heater.control": "off_peak"},),
    "off_peak_needs_its_circuit": (
        {"heater.control": "off_peak", "electricity.off_peak_circuit": "no"},
    ),
    "gas_heater_needs_gas": ({"heater.kind": "gas_storage", "gas.connected": "no"},),
    "other_gas_needs_gas": ({"gas.other_use_mj": "9", "gas.connected": "no"},),
    "gas_is_kept_or_not": ({"constraints.no_gas": "yes", "constraints.keep_gas": "yes"},),
    "kept_gas_is_there": ({"constraints.keep_gas": "yes", "gas.connected": "no"},),
    "quiet_hours_leave_time": ({"constraints.quiet_hours": "00:00 to 24:00"},),
    "efficiency_is_for_burners": ({"heater.efficiency": "0.8"},),
    "tank_elements_are_small": (
        {"heater.element_kw": "20"},
        {"quotes[1].family": "electric_storage", "quotes[1].element_kw": "20"},
    ),
    "tank_is_for_storage": ({"heater.kind": "gas_continuous", "heater.tank_l": "250"},),
    "second_element_is_for_electric_tanks": (
        {"heater.kind": "heat_pump", "heater.two_elements": "yes"},
    ),
    "circulation_is_for_collectors": ({"heater.circulation": "thermosiphon"},),
    "backup_element_is_for_heat_pumps": ({"heater.backup_element": "cold_tank"},),
    "gas_has_one_price": ({**GAS_PLAN, **BOTTLES},),
    "bottles_need_gas": ({**BOTTLES, "gas.connected": "no"},),
    "bottles_are_not_the_network": ({**BOTTLES, "gas.leaving_cost": "200"},),
    "hours_are_used": ({"heater.hours": "22:00 to 07:00"},),
    "store_is_hot_enough": ({"heater.setpoint_c": "50"},),
    "use_is_given_once": (
        {"electricity.meter_file": "meter.csv", "electricity.annual_use_kwh": "5000"},
        bill("electricity.bills[1]", "2025-01-01", "2025-03-31", "900")
        | {"electricity.meter_file": "meter.csv"},
    ),
    "australia_pays_in_dollars": ({"wishes.currency": "NZD"},),
    "circuit_has_a_price": ({**PLAN, "electricity.off_peak_circuit": "yes"},),
    "prices_are_given_once": (
        {**PLAN, "electricity.usage_price_per_kwh": "0.3"},
        {**FEED_IN, "electricity.feed_in_price_per_kwh": "0.3"},
        {**GAS_PLAN, "gas.price_per_mj": "0.04"},
        {**BOTTLES, "gas.price_per_mj": "0.04"},
    ),
    "off_peak_price_has_its_hours": ({**PLAN, "electricity.off_peak_price_per_kwh": "0.2"},),
    "feed_in_contract_runs": (
        {**FEED_IN, "electricity.tariff.feed_in[1].until": "2020-01-01"},
        {**FEED_IN, "electricity.tariff.feed_in[1].until": "2090-01-01"},
    ),
    "inverter_fits_the_panels": ({**PANELS, "electricity.inverter_kw": "2"},),
    "panels_are_there": ({"electricity.inverter_kw": "5"},),
    "export_limit_can_bind": (
        {**PANELS, "electricity.inverter_kw": "5", "electricity.export_limit_kw": "9"},
    ),
    "panels_face_the_sun": ({**PANELS, "electricity.arrays[1].azimuth_deg": "180"},),
    "every_usage_price_applies": ({**PLAN, "electricity.tariff.usage[2].price_per_kwh": "0.2"},),
    "export_pays_less_than_use": (
        {"electricity.usage_price_per_kwh": "0.1", "electricity.feed_in_price_per_kwh": "0.3"},
        {**FEED_IN, "electricity.tariff.feed_in[1].price_per_kwh": "0.6"},
    ),
    "prices_are_of_this_time": ({"as_of": "2035-01-01"},),
    "year_is_near_the_advice": ({"as_of": "2026-01-01", "simulation.year": "2040"},),
    "horizon_can_be_seen": ({"wishes.horizon_years": "40"},),
    "car_charges_in_its_hours": (
        {"electricity.car.kwh_per_day": "99", "electricity.car.hours": "01:00 to 02:00"},
    ),
    "car_is_counted_once": (
        {"electricity.car.kwh_per_day": "5", "electricity.car.hours": "01:00 to 05:00",
         "electricity.meter_file": "meter.csv"},
    ),
    "bills_are_from_before_the_battery": (
        bill("electricity.bills[1]", "2025-01-01", "2025-03-31", "900")
        | {**PANELS, "electricity.battery.capacity_kwh": "10"},
    ),
    "battery_has_something_to_store": ({"electricity.battery.capacity_kwh": "10"},),
    "every_export_limit_applies": (
        {"electricity.export_limits[1].kw": "5"},
        {**PANELS, "electricity.export_limits[1].kw": "5", "electricity.export_limits[2].kw": "3"},
    ),
    "shade_leaves_some_sun": ({**PANELS, "electricity.arrays[1].shading": "0.8 " * 12},),
    "horizon_leaves_some_sun": ({"roof.horizon_deg": "80 80 80 80"},),
    "roof_faces_the_sun": ({"roof.azimuth_deg": "180"},),
    "new_panels_may_go_on_the_roof": (
        {"more_panels.room_kw": "5", "constraints.no_roof_work": "yes"},
    ),
    "quotes_of_a_kind_are_told_apart": (
        {f"quotes[{n}].family": "heat_pump" for n in range(1, 7)},
        {f"quotes[{n}].family": "electric_circuit" for n in (1, 2)},
        {"quotes[1].family": "heat_pump", "quotes[2].family": "heat_pump",
         "quotes[1].label": "A", "quotes[2].label": "A"},
    ),
    "quotes_fit_their_family": (
        {"quotes[1].family": "dedicated_panels", "quotes[1].cop": "3", "quotes[1].tank_l": "300",
         "quotes[1].two_elements": "yes", "quotes[1].circulation": "pump",
         "quotes[1].element_kw": "3"},
    ),
    "rebate_is_below_the_price": (
        {**HEAT_PUMP, "quotes[1].installed_price": "100", "quotes[1].rebate": "900"},
    ),
    "collector_values_come_together": ({**SOLAR, "quotes[1].collector_eta0": "0.7"},),
    "cop_test_has_its_cop": ({**HEAT_PUMP, "quotes[1].cop_air_c": "7"},),
    "cop_test_is_possible": (
        {**HEAT_PUMP, "quotes[1].cop": "3", "quotes[1].cop_air_c": "7",
         "quotes[1].cop_wet_bulb_c": "9"},
        {**HEAT_PUMP, "quotes[1].cop": "3", "quotes[1].cop_water_from_c": "60",
         "quotes[1].cop_water_to_c": "20"},
    ),
    "no_element_has_no_power": (
        {**HEAT_PUMP, "quotes[1].backup_element": "none", "quotes[1].element_kw": "1"},
    ),
    "circulating_takes_a_pump": (
        {**SOLAR, "quotes[1].circulation": "thermosiphon",
         "quotes[1].frost_protection": "circulate"},
    ),
    "certificates_fit_the_tank": (
        {**HEAT_PUMP, "quotes[1].tank_l": "500", "quotes[1].certificates": "20"},
    ),
    "quoted_cop_is_believable": (
        {**HEAT_PUMP, "quotes[1].cop": "7", "quotes[1].cop_air_c": "7"},
    ),
    "bills_do_not_overlap": (
        bill("gas.bills[1]", "2025-01-01", "2025-03-31", "900")
        | bill("gas.bills[2]", "2025-03-01", "2025-05-31", "900"),
    ),
    "bills_are_as_long_as_bills": (bill("gas.bills[1]", "2025-01-01", "2025-01-02", "90"),),
    "bills_are_of_one_home": (
        bill("gas.bills[1]", "2025-01-01", "2025-03-31", "900000"),
        bill("electricity.off_peak_bills[1]", "2025-01-01", "2025-03-31", "90000"),
        bill("electricity.bills[1]", "2025-01-01", "2025-03-31", "90000"),
    ),
    "bills_hold_the_heater": (
        bill("gas.bills[1]", "2025-01-01", "2025-03-31", "900"),
        bill("gas.bills[1]", "2025-01-01", "2025-03-31", "900") | {"heater.kind": "solar_gas"},
        bill("electricity.off_peak_bills[1]", "2025-01-01", "2025-03-31", "900"),
        bill("electricity.off_peak_bills[1]", "2025-01-01", "2025-03-31", "900")
        | {"heater.kind": "heat_pump", "people.pattern": "EU-M"},
    ),
}  # fmt: skip
"""What makes each rule speak."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("case")
    (made / "folder").mkdir()
    (made / "empty.csv").write_text("")
    (made / "meter.csv").write_text("not looked into here\n")
    return made


def of_the_form(words: str) -> str:
    assert words
    assert not FILE_SYNTAX.search(words), words
    return words


def test_there_is_something_that_makes_each_rule_speak() -> None:
    assert set(FIRED) == {rule.find.__name__ for rule in (*RULES, *WARNINGS)}


@pytest.mark.parametrize("rule", [*RULES, *WARNINGS], ids=lambda rule: str(rule.find.__name__))
def test_what_a_rule_finds_is_said_in_the_words_of_the_form(rule: Rule, folder: Path) -> None:
    for typed in FIRED[rule.find.__name__]:
        case = Case.model_validate(plain_data({**HOME, **typed}))
        found = list(rule.find(case, folder))
        assert found, typed
        for fault in found:
            of_the_form(fault_words(fault))
            of_the_form(name_of(fault.field))


def plain_data(typed: Typed) -> dict[str, Any]:
    return tomllib.loads(typed_toml(typed))


NONSENSE = ("nonsense", "-1e9", "1e9", "yes", "140", "4.5", "6,600 W", "9%", "x" * 5000,
            "7am to 9am", "25/13/2026", "2099-12-31", "1, 2", "22:00 to 07:00", "au",
            "2480")  # fmt: skip


@pytest.mark.parametrize("text", NONSENSE, ids=lambda text: text[:12])
def test_whatever_is_typed_into_any_field_is_refused_in_the_words_of_the_form(
    text: str, folder: Path
) -> None:
    seen = set()
    for field in all_fields({}):
        for fault in checked({**HOME, field.path: text}, {text}, folder).faults:
            seen.add(fault.problem)
            of_the_form(fault_words(fault).replace(text[:37], ""))
            of_the_form(name_of(fault.field))
    assert seen


MISSING = (
    {},
    {"electricity.tariff.name": "Plan"},
    {"electricity.tariff.supply_per_day": "1"},
    {**PLAN, "electricity.tariff.controlled_load.price_per_kwh": "0.2"},
    {**PLAN, "electricity.tariff.usage[1].start": "07:00"},
    {**PLAN, "electricity.tariff.usage[1].price_per_kwh": ""},
    {**PLAN, "electricity.tariff.usage[1].blocks[1].price_per_kwh": "0.2"},
    {**FEED_IN, "electricity.tariff.feed_in[1].tiers[1].price_per_kwh": "0.2"},
    {**FEED_IN, "electricity.tariff.feed_in[1].price_after_per_kwh": "0.2"},
    {**FEED_IN, "electricity.tariff.feed_in[1].price_per_kwh": "4"},
    {**PLAN, "electricity.tariff.usage[1].price_per_kwh": "-33"},
    {**GAS_PLAN, "gas.tariff.blocks[2].price_per_mj": "0.03"},
    {**GAS_PLAN, "gas.tariff.blocks[1].up_to_mj_per_day": "9",
     "gas.tariff.blocks[2].price_per_mj": "1", "gas.tariff.blocks[2].up_to_mj_per_day": "5",
     "gas.tariff.blocks[3].price_per_mj": "1"},
    {"gas.bottles.rent_per_year": "40"},
    {**BOTTLES, "gas.bottles.price_per_l": "2"},
    {"gas.bills[1].first": "2025-01-01", "gas.bills[1].last": "2025-03-01"},
    bill("gas.bills[1]", "2025-03-01", "2025-01-01", "900"),
    {"heater.control": "hours"},
    {"more_panels.installed_price": "9000"},
    {"quotes[1].label": "Offer"},
    {"electricity.car.kwh_per_day": "5"},
    {"electricity.arrays[1].tilt_deg": "20"},
    {"place.postcode": "", "place.country": "PT"},
    {"place.postcode": "", "people.count": "4"},
)  # fmt: skip


@pytest.mark.parametrize("typed", MISSING, ids=lambda typed: " ".join(typed)[:40])
def test_what_is_missing_or_does_not_go_together_is_said_in_the_words_of_the_form(
    typed: Typed, folder: Path
) -> None:
    home = {**HOME, **typed} if typed else {}
    found = checked(home, (), folder).faults
    assert found
    for fault in found:
        of_the_form(fault_words(fault))
        of_the_form(name_of(fault.field))


UNKNOWN = (
    {"place.postcode": "6000", "electricity.off_peak_price_per_kwh": "0.15"},
    {"place.postcode": "6000", "heater.control": "off_peak"},
    {"place.postcode": "9999"},
)


@pytest.mark.parametrize("typed", UNKNOWN, ids=lambda typed: " ".join(typed)[-40:])
def test_what_is_not_known_of_a_place_is_said_in_the_words_of_the_form(
    typed: Typed, folder: Path
) -> None:
    found = checked({**HOME, **typed}, (), folder)
    faults = found.faults  # what is looked up fast is told at once
    if found.loaded is not None:
        with pytest.raises(TankfulError) as caught:
            resolve(found.loaded)
        faults = at_fields(caught.value, found.toml).faults
    assert faults
    for fault in faults:
        of_the_form(fault_words(fault))


def test_doubts_are_noted_in_the_words_of_the_form(folder: Path) -> None:
    typed = {**HOME, **PANELS, "electricity.arrays[1].azimuth_deg": "180",
             "heater.hours": "22:00 to 07:00"}  # fmt: skip
    loaded = checked(typed, (), folder).loaded
    assert loaded is not None
    notes = [of_the_form(on_form(note)) for note in resolve(loaded).notes]
    assert any(note.startswith("“Solar panels 1: Direction faced”: these") for note in notes)
    assert any("set “The element may run” to “in hours of its own”" in note for note in notes)


def test_hints_and_choices_are_words_of_the_form() -> None:
    for field in all_fields({}):
        words = (field.label, field.remark, field.allowed, field.default, field.unit)
        for text in (*words, *(label for _, label in choices_of(field.path))):
            of_the_form(text or "left open")
    for group in groups():
        of_the_form(" ".join((group.title, group.about, group.one)))


def test_what_a_weather_file_holds_has_a_name() -> None:
    for column in (*LIMITS, *HEADER_LIMITS, "weather_file", "meter_file"):
        assert of_the_form(name_of(column)) != column


def groups() -> Iterator[Group]:
    waiting = [item for part in form_of({}, (), ROWS) for item in (*part.asked, *part.more)]
    while waiting:
        item = waiting.pop()
        if isinstance(item, Group):
            yield item
            waiting += item.items


def test_what_is_assumed_is_told_in_the_words_of_the_form() -> None:
    for row in field_table(Case):
        of_the_form(about(row.path.replace("[]", "[1]")))


def test_marks_are_for_the_form_and_a_case_file_never_shows_them() -> None:
    fault = Fault("gas.connected", "a", mend="`write connected = true`, or `this|that`")
    assert str(fault) == "gas.connected: a\n    mend: write connected = true, or this"
    assert fault_words(fault) == "A. Set “The home has gas” to “yes”, or that."


def test_what_somebody_typed_is_never_taken_for_marks(folder: Path) -> None:
    (fault,) = checked({**HOME, "people.count": "`gas.tariff|<gas.tariff>`"}, (), folder).faults
    assert fault.value == "\"'gas.tariff|<gas.tariff>'\""
    assert "Gas plan" not in fault_words(fault)


def test_words_keep_their_marks_on_their_way_from_another_process() -> None:
    sent = pickle.dumps(CaseError("No.", [Fault("gas", "`gas.tariff` is there")]))
    error = pickle.loads(sent)  # noqa: S301 our own
    assert fault_words(error.faults[0]) == "“Gas plan” is there."
    assert str(error.faults[0]) == "gas: gas.tariff is there"
