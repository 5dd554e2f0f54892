"""The form is the field table, whole and in the order of the conversation."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from whole_form import ROWS, all_fields, fields

from tankful.casefile.labels import FOLDS, LABELS, LISTS
from tankful.casefile.naming import name_of
from tankful.casefile.typed import field_at, typed_of_toml
from tankful.desk.check import checked
from tankful.desk.form import form_of, slot_of
from tankful.desk.layout import FILE_FIELDS, FIRST_ANSWERS, SECTIONS
from tankful.desk.words import about, fault_words, plain, said
from tankful.errors import Fault
from tankful.model.case import Case
from tankful.model.fields import field_table

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))


def table_paths() -> set[str]:
    paths = set()
    for row in field_table(Case):
        path = row.path.replace("[]", "[1]")
        paths.add(path if field_at(path) else path.rpartition("[1].")[0])
    return paths


def test_every_field_of_the_case_is_asked_exactly_once() -> None:
    paths = [field.path for field in all_fields({})]
    assert len(paths) == len(set(paths))
    assert set(paths) == table_paths()


def test_the_conversation_begins_with_the_home_and_ends_with_wishes() -> None:
    assert [section.id for section in SECTIONS] == [
        "home", "heater", "bills", "sun", "quotes", "wishes"
    ]  # fmt: skip


def test_five_answers_make_a_sound_case(tmp_path: Path) -> None:
    assert len(FIRST_ANSWERS) == 5
    answers = dict(zip(FIRST_ANSWERS, ("2480", "4", "gas_storage", "11", "6.6"), strict=True))
    assert checked(answers, (), tmp_path).faults == ()


def test_words_of_its_own_belong_to_fields_that_exist() -> None:
    folded = [f"{row}.{name}" for row, folds in FOLDS.items() for fold in folds.values()
              for name in fold]  # fmt: skip
    for path in (*LABELS, *folded, *FIRST_ANSWERS, *FILE_FIELDS):
        assert field_at(path.replace("[]", "[1]")) is not None, path
    lists = {row for row in ROWS if field_at(row.removesuffix("[1]")) is None}
    assert {path.replace("[]", "[1]") + "[1]" for path in LISTS} == lists


def test_names_of_inputs_are_short_and_speak_of_no_case_file() -> None:
    for field in all_fields({}):
        assert len(field.label) <= 35, field.path
        words = " ".join((field.label, field.remark, field.allowed, field.default, field.unit))
        assert not re.search(r"[a-z]_[a-z]|degC|case file", words), (field.path, words)


def test_a_field_is_called_by_its_name_and_row_and_a_choice_by_its_words() -> None:
    assert name_of("people.count") == "People in the home"
    assert name_of("quotes[2].tank_l") == "Quote 2: Tank volume"
    assert name_of("quotes[2]") == "Quote 2"
    assert (
        name_of("electricity.tariff.usage[1].blocks[2].price_per_kwh")
        == "Usage price 1, block 2: Price in this block"
    )
    assert name_of("electricity.tariff") == "Electricity plan"
    assert name_of("gas.tariff.supply_per_day") == "Gas plan: Daily supply charge"
    assert name_of("electricity.tariff.free_window.start") == "Free hours: From"
    assert name_of("nonsense") == "nonsense"
    assert name_of("ghi, hour 5 of the year") == "Sun on level ground, hour 5 of the year"
    assert said("heater.kind", "gas_storage") == "gas storage heater"
    assert said("people.count", "four") == "four"
    assert plain("off_peak", "heater.control") == "on the off-peak circuit"


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: file.stem)
def test_what_an_example_says_stands_in_the_form(file: Path) -> None:
    typed = typed_of_toml(file.read_text(encoding="utf-8"), file.name)
    shown = {f.path: f.value for part in form_of(typed, ())
             for f in (*fields(part.asked), *fields(part.more)) if f.value}  # fmt: skip
    assert shown == typed


def test_a_default_is_shown_as_one_with_its_source() -> None:
    shown = {field.path: field for field in all_fields({})}
    litres = shown["people.hot_litres_per_person_per_day"]
    assert (litres.value, litres.default, litres.unit) == ("", "50", "L/day")
    assert "Your Home" in litres.source or litres.source
    assert shown["heater.tank_l"].default == "usual size for the people"


def test_prices_are_in_the_money_of_the_case() -> None:
    for currency, unit in (("", "$/kWh"), ("EUR", "€/kWh"), ("CHF", "CHF/kWh")):
        shown = {field.path: field for field in all_fields({"wishes.currency": currency})}
        assert shown["electricity.usage_price_per_kwh"].unit == unit


def test_a_fault_stands_at_its_field_and_nothing_typed_is_lost(tmp_path: Path) -> None:
    typed = {"place.postcode": "2480", "people.count": "four", "heater.hours": "at night",
             "quotes[1].cop": "3"}  # fmt: skip
    shown = {f.path: f for f in all_fields(typed, checked(typed, (), tmp_path).faults)}
    assert shown["people.count"].value == "four"
    assert shown["people.count"].faults[0].problem == "not a whole number"
    assert shown["heater.hours"].faults
    assert shown["quotes[1].family"].faults[0].problem == "missing"


@pytest.mark.parametrize(
    ("path", "slot"),
    [
        ("place.cold_water_c[3]", "place.cold_water_c"),
        ("heater.hours[1].start", "heater.hours"),
        ("quotes[2].cop", "quotes[2].cop"),
        ("electricity.tariff", "electricity.tariff"),
        ("electricity.tariff.usage[1].nonsense", "electricity.tariff.usage[1]"),
        ("nonsense.more", ""),
        ("", ""),
    ],
)
def test_a_fault_that_is_no_field_s_stands_at_what_lies_around_it(path: str, slot: str) -> None:
    assert slot_of(path) == slot


@pytest.mark.parametrize(
    "name", ["../../../../etc/passwd", "/etc/passwd", "..\\x", "other-case.csv", "a\0b"]
)
def test_a_case_opens_no_file_but_its_own(name: str, tmp_path: Path) -> None:
    (tmp_path / "meter.csv").write_text("")
    for path in FILE_FIELDS:
        found = checked({"place.postcode": "2480", path: name}, {"meter.csv"}, tmp_path)
        assert [fault.field for fault in found.faults] == [path]
        assert name not in found.toml


@pytest.mark.parametrize(
    ("typed", "at", "words"),
    [
        ({}, "place.postcode", "Needed, but not filled in. Give the postcode."),
        ({"heater.hours": "at night"}, "heater.hours", "Write hours such as 22:00 to 07:00."),
        ({"heater.age_years": "about 12"}, "heater.age_years", "Write only the number: 12."),
        (
            {"electricity.tariff.supply_per_day": "1.2"},
            "electricity.tariff.usage",
            "Needed, but not filled in. Fill in at least one entry.",
        ),
        (
            {"constraints.no_gas": "yes", "constraints.keep_gas": "yes"},
            "constraints.keep_gas",
            "“No gas” and “Gas stays for other uses” contradict each other",
        ),
    ],
)
def test_a_fault_speaks_of_the_form_not_of_a_file(
    typed: dict[str, str], at: str, words: str, tmp_path: Path
) -> None:
    place = {"place.postcode": "2480"} if typed else {}
    told = {
        fault.field: fault_words(fault)
        for fault in checked({**place, **typed}, (), tmp_path).faults
    }
    assert words in told[at]


def test_words_for_two_hundred_assumed_values_read_the_field_table_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from tankful.casefile import given

    first = about("people.count")
    monkeypatch.setattr(given, "field_table", None)
    assert [about("people.count") for _ in range(200)] == [first] * 200


def test_a_fault_gives_days_as_people_write_them(tmp_path: Path) -> None:
    typed = {"place.postcode": "2480", "as_of": "1/1/1999"}
    told = [fault_words(fault) for fault in checked(typed, (), tmp_path).faults]
    assert "found 1/1/1999). Allowed: at least 1/1/2000, at most 31/12/2099." in told[0]
    assert "1999-01-01" in fault_words(Fault("x", "refused", value='"1999-01-01.csv"'))
