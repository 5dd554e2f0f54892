"""A new case with one "#" removed and another forgotten, and hours written as one text."""

from __future__ import annotations

from pathlib import Path

import pytest

from tankful.casefile.load import check_text
from tankful.casefile.write import Answers, new_case_text
from tankful.errors import CaseError, Fault

NEW = new_case_text(Answers("2480"))


def faults(text: str) -> list[Fault]:
    with pytest.raises(CaseError) as caught:
        check_text(text, Path("home.toml"))
    return list(caught.value.faults)


def in_force(header: str, line: str, put: str) -> str:
    """A new case in which one commented line at or below a section's name is brought into
    force."""
    above, name, below = NEW.partition(f"\n{header}\n")
    assert name
    whole = f"{header}\n{below}"
    assert f"{line}\n" in whole
    return f"{above}\n" + whole.replace(f"{line}\n", f"{put}\n", 1)


def line_of(text: str, line: str) -> int:
    return text.split("\n").index(line) + 1


def test_a_key_under_a_section_that_is_not_in_force_names_the_mark_to_remove() -> None:
    text = in_force("#[[electricity.arrays]]", "#kw =", "kw = 6.6")
    (fault,) = faults(text)
    assert fault.problem == "no such key"
    number = line_of(text, "#[[electricity.arrays]]")
    assert fault.mend.startswith(f'remove the "#" before [[electricity.arrays]] on line {number}')


def test_a_key_twice_because_of_a_mark_names_it_too() -> None:
    text = 'name = "A"\n[place]\npostcode = "2480"\n[heater]\ntank_l = 200\n'
    (fault,) = faults(text + "#[[quotes]]\ntank_l = 300\n")
    assert fault.problem == "given twice"
    assert fault.mend.startswith('remove the "#" before [[quotes]] on line 6')


def test_a_section_in_force_without_its_keys_names_the_mark_to_remove() -> None:
    text = in_force("#[[gas.bills]]", "#[[gas.bills]]", "[[gas.bills]]")
    first, last = faults(text)
    assert (first.problem, last.problem) == ("missing", "missing")
    assert first.mend.startswith('remove the "#" before first on line ')
    assert first.mend.endswith("or put one before [[gas.bills]]")


def test_other_faults_keep_their_own_mends() -> None:
    (fault,) = faults('[place]\npostcode = "2480"\n[gas]\nkw = 3\n')
    assert "it belongs in" in fault.mend


@pytest.mark.parametrize(
    ("written", "start", "end"),
    [
        ('"22:00-07:00"', "22:00", "07:00"),
        ('"9 to 16"', "09:00", "16:00"),
        ('["10:30-15:00"]', "10:30", "15:00"),
        ('"10pm to 7am"', "22:00", "07:00"),
    ],
)
def test_hours_in_one_text_are_shown_as_they_must_be_written(
    written: str, start: str, end: str
) -> None:
    place = '[place]\npostcode = "2480"\n[heater]\ncontrol = "hours"\n'
    (fault,) = faults(f"{place}hours = {written}\n")
    assert fault.problem == "not a list of clock hours"
    assert fault.mend == f'write hours = [{{ start = "{start}", end = "{end}" }}]'


@pytest.mark.parametrize("written", ['"at night"', "22", '"10-3"', '"7-10pm"'])
def test_what_tells_no_hours_is_shown_how_hours_are_written(written: str) -> None:
    place = '[place]\npostcode = "2480"\n[heater]\ncontrol = "hours"\n'
    (fault,) = faults(f"{place}hours = {written}\n")
    assert fault.problem == "not a list of clock hours"
    example = 'hours = [{ start = "22:00", end = "07:00" }]'
    assert fault.mend == f"write {example} with the hours meant"
