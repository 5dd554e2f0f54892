"""A form's typed text and the case file say the same, and nothing typed is lost."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankful.casefile.load import check_text
from tankful.casefile.syntax import parse_text
from tankful.casefile.typed import field_at, kind_of, typed_of_toml, typed_text, typed_toml
from tankful.casefile.write import case_text
from tankful.errors import CaseError
from tankful.model.case import Case
from tankful.model.fields import field_table

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))
NUMBER = "people.count"
TEXT = "name"
HOURS = "constraints.quiet_hours"


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: file.stem)
def test_an_example_survives_the_form(file: Path) -> None:
    text = file.read_text(encoding="utf-8")
    typed = typed_of_toml(text, file.name)
    again = typed_toml(typed)
    assert check_text(again, file).case == check_text(text, file).case
    assert typed_of_toml(again, file.name) == typed


def test_every_field_of_the_field_table_has_a_place() -> None:
    for row in field_table(Case):
        path = row.path.replace("[]", "[1]")
        if ".hours[1]." in path or "quiet_hours[1]." in path:
            path = path.rsplit("[1].", 1)[0]
        info = field_at(path)
        assert info is not None, row.path
        assert kind_of(info) not in ("table", "tables")


@given(st.text(alphabet=st.characters(blacklist_categories=["Cs"]), max_size=60))
def test_whatever_is_typed_into_any_kind_of_field_gives_a_readable_file(text: str) -> None:
    for path in (NUMBER, TEXT, HOURS, "as_of", "people.season", "place.cold_water_c"):
        data = parse_text(typed_toml({path: text}), "case.toml")
        if not text.strip():
            assert data == {}


@given(
    st.text(
        alphabet=st.characters(blacklist_categories=["Cs"], blacklist_characters="\0"),
        min_size=1,
        max_size=60,
    )
)
def test_a_text_comes_back_as_typed_but_for_blanks_around_it(text: str) -> None:
    typed = typed_of_toml(typed_toml({TEXT: text}), "case.toml")
    assert typed.get(TEXT, "") == text.strip()


@given(st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(10**15), 10**15))
def test_a_number_comes_back_equal(value: float) -> None:
    data = parse_text(typed_toml({"place.latitude": typed_text(value)}), "case.toml")
    assert data["place"]["latitude"] == value


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        *(("007", 7), (".5", 0.5), ("5.", 5.0), ("+2", 2), ("-.25", -0.25), ("1e3", 1000.0)),
        *(("5,400", 5400), ("1 234 567.5", 1234567.5)),
    ],
)
def test_numbers_people_type_are_understood(typed: str, number: float) -> None:
    data = parse_text(typed_toml({"place.latitude": typed}), "case.toml")
    assert data["place"]["latitude"] == number


def test_what_is_no_number_is_told_with_its_mend() -> None:
    toml = typed_toml({"place.postcode": "2480", NUMBER: "four", "heater.age_years": "about 11"})
    with pytest.raises(CaseError) as caught:
        check_text(toml, Path("case.toml"))
    told = {fault.field: fault for fault in caught.value.faults}
    assert told[NUMBER].value == '"four"'
    assert told["heater.age_years"].mend == "write only the number, without quotes: 11"


def test_a_day_is_typed_as_people_write_it() -> None:
    for text in ("25/11/2026", "25.11.2026", "2026-11-25"):
        data = parse_text(typed_toml({"as_of": text}), "case.toml")
        assert data["as_of"] == date(2026, 11, 25)
    for text in ("11/25/2026", "31/2/2026"):
        assert parse_text(typed_toml({"as_of": text}), "case.toml")["as_of"] == text


def test_hours_are_typed_in_words() -> None:
    text = "22:00 to 07:00 weekday months 6 7 8, 10:00 - 15:00"
    data = parse_text(typed_toml({HOURS: text}), "case.toml")
    assert data["constraints"]["quiet_hours"] == [
        {"start": "22:00", "end": "07:00", "days": "weekday", "months": [6, 7, 8]},
        {"start": "10:00", "end": "15:00"},
    ]


def test_a_row_between_others_that_is_empty_keeps_their_places() -> None:
    toml = typed_toml({"quotes[1].family": "timer", "quotes[3].family": "diverter"})
    quotes = parse_text(toml, "case.toml")["quotes"]
    assert [quote.get("family") for quote in quotes] == ["timer", None, "diverter"]


@pytest.mark.parametrize("path", ["", "no_such", "place", "place.postcode.x", "quotes.family",
                                  "quotes[0].family", "place[1].postcode", "heater.hours[1].start",
                                  "quotes[99999].family", "__class__", "../etc"])  # fmt: skip
def test_a_path_that_no_field_has_is_refused(path: str) -> None:
    assert field_at(path) is None
    with pytest.raises(KeyError):
        typed_toml({path: "x"})


FIELDS = sorted(
    {re.sub(r"(hours)\[1\]\..*", r"\1", row.path.replace("[]", "[1]")) for row in field_table(Case)}
)
TEXTS = st.sampled_from(
    ["1", "0.25", "true", "no", "2026-11-25", "22:00 to 07:00 weekend", "timer"]
)
ANY_TEXT = st.text(
    st.characters(blacklist_categories=["Cs"], blacklist_characters="\0"), max_size=30
)
CHANGES = st.dictionaries(st.sampled_from(FIELDS), TEXTS | ANY_TEXT, max_size=8)


@given(CHANGES)
def test_what_is_taken_out_as_a_file_comes_back_as_it_was(typed: dict[str, str]) -> None:
    toml = typed_toml(typed)
    again = typed_of_toml(toml, "case.toml")
    same = typed_toml(again)  # but for how numbers are spelt: 2e0 comes back as 2
    assert same == toml or parse_text(same, "case.toml") == parse_text(toml, "case.toml")
    assert set(again) == {path for path, text in typed.items() if text.strip()}


@given(st.sampled_from(EXAMPLES), CHANGES)
@settings(max_examples=50, deadline=None)
def test_a_sound_case_is_equal_after_it_was_taken_out_and_brought_in(
    file: Path, changes: dict[str, str]
) -> None:
    """What of the changes makes the case unsound is left out."""
    typed = typed_of_toml(file.read_text(encoding="utf-8"), file.name)
    for path, text in changes.items():
        try:
            case = check_text(typed_toml({**typed, path: text}), file).case
        except CaseError:
            continue
        typed[path] = text
        brought_in = typed_of_toml(case_text(case), file.name)
        assert check_text(typed_toml(brought_in), file).case == case


@pytest.mark.parametrize(
    ("value", "problem"),
    [
        ('"a\\u0000b"', "holds characters that cannot be printed"),
        ("0x" + "F" * 9000, "a number has too many digits"),
        ("[0x" + "F" * 9000 + "]", "a number has too many digits"),
        ("{ a = 0x" + "F" * 9000 + " }", "a number has too many digits"),
    ],
)
def test_a_value_that_no_text_can_say_is_a_fault(value: str, problem: str) -> None:
    for field in ("name", "electricity.export_limit_kw", "people.season", "heater.hours"):
        with pytest.raises(CaseError) as caught:
            typed_of_toml(f"{field} = {value}\n", "case.toml")
        assert [(fault.field, fault.problem) for fault in caught.value.faults] == [(field, problem)]


def test_a_flood_of_faults_is_told_in_part_and_soon() -> None:
    keys = "".join(f"k{n} = 1\n" for n in range(2_000))
    for read in (typed_of_toml, lambda text, name: check_text(text, Path(name))):
        with pytest.raises(CaseError) as caught:
            read(keys, "case.toml")
        assert len(caught.value.faults) == 201
        assert sum("more faults are not listed" in f.problem for f in caught.value.faults) == 1


def test_a_file_with_unknown_keys_says_which() -> None:
    with pytest.raises(CaseError) as caught:
        typed_of_toml('[place]\npostcod = "2480"\n[quotes]\nx = 1\n', "case.toml")
    assert {fault.field for fault in caught.value.faults} == {"place.postcod", "quotes[1].x"}


def test_a_case_is_the_same_in_whatever_order_it_was_typed() -> None:
    typed = {"people.count": "4", "place.postcode": "2480", "people.habits": "mixed"}
    typed |= {f"electricity.arrays[{i}].kw": f"{i}" for i in range(1, 12)}
    assert typed_toml(typed) == typed_toml(dict(reversed(typed.items())))
