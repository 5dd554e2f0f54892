"""Electricity bills in a case: what is taken from them, and what they may not stand beside."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from tankful.casefile.load import check_text
from tankful.casefile.resolve import resolve
from tankful.cli.main import cli
from tankful.errors import CaseError
from tankful.service import study_case

PLACE = '[place]\npostcode = "2480"\n[simulation]\nstep_min = 60\n'
TANK = '[heater]\nkind = "electric_storage"\n'
PANELS = "[[electricity.arrays]]\nkw = 6.6\n"
HALF_YEARS = (("2025-07-01", "2025-12-31"), ("2026-01-01", "2026-06-30"))


def bills(*kwh: float) -> str:
    return "".join(
        f"[[electricity.bills]]\nfirst = {first}\nlast = {last}\nkwh = {used}\n"
        for (first, last), used in zip(HALF_YEARS, kwh, strict=False)
    )


def faults_of(text: str) -> list[str]:
    with pytest.raises(CaseError) as caught:
        check_text(PLACE + text, Path("home.toml"))
    return [f"{fault.field}: {fault.problem}" for fault in caught.value.faults]


def test_without_panels_and_gas_heater_the_bills_are_the_house_s_use() -> None:
    text = PLACE + bills(2100.0, 1900.0) + '[heater]\nkind = "gas_storage"\n'
    home = resolve(check_text(text, Path("home.toml")))
    assert home.house_w.sum() * home.clock.step_s / 3.6e6 == pytest.approx(4000.0)
    assert "2 bills of 365 days with 4,000 kWh bought: 4,000 kWh a year" in home.load_text


def test_a_home_with_panels_uses_more_than_it_buys_and_the_answer_says_how_that_is_known() -> None:
    case = check_text(PLACE + bills(2100.0, 1900.0) + PANELS, Path("home.toml"))
    answer = study_case(case, known={}).answer
    assert any("what the house used of its own sun was added" in note for note in answer.notes)
    assert float(resolve(case).load_text.split(": ")[1].split(" ")[0].replace(",", "")) > 4200.0


def test_an_electric_tank_is_taken_out_of_the_bills() -> None:
    kept = PLACE + bills(3000.0, 2800.0) + TANK
    notes = study_case(check_text(kept, Path("home.toml")), known={}).answer.notes
    assert "The modelled electric water heater was taken out of the bills." in notes
    few = PLACE + bills(400.0, 500.0) + TANK
    notes = study_case(check_text(few, Path("home.toml")), known={}).answer.notes
    assert any(note.startswith("Warning: the bills hold") for note in notes)


def test_use_is_told_in_one_way_only() -> None:
    use = "[electricity]\nannual_use_kwh = 4000\n"
    assert faults_of(use + bills(2000.0)) == [
        "electricity.annual_use_kwh: the bills already say how much is used"
    ]
    (fault,) = (
        f
        for f in faults_of('[electricity]\nmeter_file = "m.csv"\n' + bills(2000.0))
        if f.startswith("electricity.bills")
    )
    assert "the meter file already says" in fault


def test_a_reading_of_the_meter_is_no_bill() -> None:
    assert "is more than a home can use" in faults_of(bills(84_312.0))[0]


def test_bills_beside_a_battery_are_warned_of(tmp_path: Path) -> None:
    case = tmp_path / "home.toml"
    case.write_text(
        PLACE + bills(2100.0, 1900.0) + PANELS + "[electricity.battery]\ncapacity_kwh = 10\n"
    )
    told = CliRunner().invoke(cli, ["check", str(case)])
    assert told.exit_code == 0, told.output
    assert "taken to be from before the battery" in " ".join(told.output.split())
