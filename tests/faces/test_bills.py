"""What a person reads about the bills in a case."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner

from tankful import service
from tankful.advice.last_gas import told_of_other_gas
from tankful.advice.settle import keeps_gas_anyway
from tankful.casefile.bill_words import bill_sentences
from tankful.casefile.household import off_peak_months
from tankful.casefile.load import check_text
from tankful.casefile.resolve import list_defaults, resolve
from tankful.cli.main import cli
from tankful.errors import CaseError
from tankful.model.calibration import Calibration
from tankful.model.home import Home
from tankful.use.meter import MeterData

HEAD = 'as_of = 2026-11-25\n[simulation]\nstep_min = 60\n[place]\npostcode = "3000"\n'
GAS = '[heater]\nkind = "gas_storage"\n'
SUMMER = ((2025, 10, 10), (2025, 12, 10), (2026, 2, 8), (2026, 4, 9))
WINTER = (*SUMMER, (2026, 6, 10), (2026, 8, 9))
PERSON = "[people]\nhot_litres_per_person_per_day = {}\n"


def gas_bills(days: tuple[tuple[int, int, int], ...], mj: list[float]) -> str:
    begins = [date(*day) for day in days]
    return "".join(
        f"[[gas.bills]]\nfirst = {first}\nlast = {nxt - timedelta(days=1)}\nmj = {amount}\n"
        for first, nxt, amount in zip(begins, begins[1:], mj, strict=False)
    )


def home(text: str) -> Home:
    return resolve(check_text(HEAD + text, Path("home.toml")))


def found(text: str) -> Calibration:
    calibration = home(text).calibration
    assert calibration is not None
    return calibration


def faults(text: str) -> list[str]:
    with pytest.raises(CaseError) as caught:
        check_text(HEAD + text, Path("home.toml"))
    return [f"{fault.field}: {fault.problem}" for fault in caught.value.faults]


USUAL = GAS + gas_bills(SUMMER, [3100.0, 2700.0, 2650.0])


def test_estimates_stand_in_for_the_defaults_and_say_where_they_are_from() -> None:
    made = home(USUAL)
    assert made.calibration is not None
    litres = made.case.people.hot_litres_per_person_per_day
    assert litres == pytest.approx(made.calibration.litres.value, abs=0.06)
    assert made.calibration.loss_w_per_k is not None
    assert made.heater_today.loss_w_per_k == made.calibration.loss_w_per_k.value
    rows = {row.path: row for row in list_defaults(check_text(HEAD + USUAL, Path("h")), made)}
    source = rows["people.hot_litres_per_person_per_day"].source
    assert source.startswith("estimated from 3 gas bills of 181 days, between ")
    assert rows["heater.loss_w_per_k"].source.startswith("estimated from 3 gas bills")


def test_kilowatt_hours_and_megajoules_give_the_same_estimate() -> None:
    in_kwh = USUAL
    for mj in (3100.0, 2700.0, 2650.0):
        in_kwh = in_kwh.replace(f"mj = {mj}", f"kwh = {mj / 3.6}")
    assert found(in_kwh).litres.value == pytest.approx(found(USUAL).litres.value)


def test_winter_bills_that_hold_heating_are_left_out_and_it_is_said() -> None:
    with_winter = found(GAS + gas_bills(WINTER, [3100.0, 2700.0, 2650.0, 7300.0, 10600.0]))
    assert [bill.used for bill in with_winter.bills] == [True, True, True, False, False]
    kept = "[constraints]\nkeep_gas = true\n"
    assert with_winter.litres == found(USUAL + kept).litres
    words = " ".join(bill_sentences(with_winter))
    assert "Bills of the cold months hold space heating" in words
    assert "gas is taken to stay connected; give gas.other_use_mj" in words
    told = "[gas]\nother_use_mj = 0.0\n"
    words = " ".join(found(GAS + told + gas_bills(WINTER, HEATED)).warnings)
    assert "The case says that hot water is the last use of gas: give gas.other_use_mj" in words


HEATED = [3100.0, 2700.0, 2650.0, 7300.0, 10600.0]


def test_the_answer_takes_the_same_other_gas_as_the_bills() -> None:
    """None where nothing tells of any; what the bills hold where they or the case do."""
    silent = home(USUAL)
    assert silent.case.gas.other_use_mj == 0.0
    assert silent.calibration is not None
    assert silent.calibration.other_use_per_day is None
    words = " ".join(bill_sentences(silent.calibration))
    assert "All the gas in the bills used is taken to be for hot water." in words
    kept = home(USUAL + "[constraints]\nkeep_gas = true\n")
    assert kept.calibration is not None
    assert kept.calibration.other_use_per_day is not None
    a_year = 365 * kept.calibration.other_use_per_day.value
    assert kept.case.gas.other_use_mj == pytest.approx(a_year, abs=50.0)
    assert silent.calibration.litres.value > kept.calibration.litres.value


def test_heating_in_the_bills_keeps_the_home_on_gas() -> None:
    made = home(GAS + gas_bills(WINTER, HEATED))
    fit = made.calibration
    assert fit is not None
    held = sum(bill.measured - bill.expected for bill in fit.bills if not bill.used)
    assert fit.other_use_per_day is not None
    a_year = held + 365 * fit.other_use_per_day.value
    assert made.case.gas.other_use_mj == pytest.approx(a_year, abs=50.0)
    assert keeps_gas_anyway(made)
    assert told_of_other_gas(made)


def test_winter_bills_of_hot_water_alone_are_used() -> None:
    calm = found(GAS + gas_bills(WINTER, [3100.0, 2700.0, 2850.0, 3700.0, 4200.0]))
    assert all(bill.used for bill in calm.bills)
    assert calm.warnings == ()


def test_given_litres_win_and_are_compared() -> None:
    made = home(PERSON.format(70.0) + USUAL)
    assert made.case.people.hot_litres_per_person_per_day == 70.0
    assert made.calibration is not None
    assert not made.calibration.takes_losses
    assert "The bills and the case disagree" in " ".join(made.calibration.warnings)
    near = home(PERSON.format(48.0) + USUAL)
    assert near.calibration is not None
    assert near.calibration.takes_losses
    assert near.calibration.warnings == ()


def test_bills_far_above_any_hot_water_are_not_used() -> None:
    made = home(GAS + gas_bills(SUMMER, [43100.0, 42700.0, 42650.0]))
    assert made.case.people.hot_litres_per_person_per_day == 50.0
    assert made.calibration is not None
    words = " ".join(bill_sentences(made.calibration))
    assert "No plausible use of hot water explains them: 128,450 MJ" in words
    assert "Heating, a pool, a leak" in words


def test_the_simulation_confirms_the_estimate(tmp_path: Path) -> None:
    path = tmp_path / "home.toml"
    path.write_text(HEAD + USUAL)
    calibration = service.advise(path).calibration
    assert calibration is not None
    billed = sum(bill.measured for bill in calibration.used)
    simulated = sum(bill.simulated or 0.0 for bill in calibration.used)
    assert simulated == pytest.approx(billed, rel=0.03)
    assert calibration.warnings == ()


def test_check_shows_the_estimate_and_writes_it_as_data(tmp_path: Path) -> None:
    path, out = tmp_path / "home.toml", tmp_path / "out.json"
    path.write_text(HEAD + USUAL)
    result = CliRunner().invoke(cli, ["check", str(path), "--json", str(out)])
    assert result.exit_code == 0, result.output
    assert "From your bills" in result.output
    assert all(len(line) <= 80 for line in result.output.split("\n"))
    record = json.loads(out.read_text())["calibration"]
    assert record["source"] == "gas bills"
    assert record["bills"][0]["first"] == "2025-10-10"


def test_the_meters_off_peak_register_counts_month_by_month() -> None:
    days = [date(2026, 1, 1) + timedelta(days=i) for i in range(59) if i != 5]
    kwh = {day: 5.0 if day.month == 1 else 7.0 for day in days}
    rows = [[kwh[day] / 2.0] * 2 for day in days]
    import numpy as np

    meter = MeterData(tuple(days), 720, np.array(rows), controlled_kwh=np.array(rows))
    assert off_peak_months(meter) == (
        (date(2026, 1, 1), date(2026, 1, 31), pytest.approx(155.0)),
        (date(2026, 2, 1), date(2026, 2, 28), pytest.approx(196.0)),
    )


BILL = "[[gas.bills]]\nfirst = {}\nlast = {}\n{}\n"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (BILL.format("2026-03-01", "2026-01-01", "mj = 900"), "the last day lies before the first"),
        (BILL.format("2026-01-01", "2026-03-01", ""), "a gas bill needs mj or kwh"),
        (BILL.format("2026-01-01", "2026-01-02", "mj = 90"), "this bill spans 2 days"),
        (BILL.format("2026-01-01", "2026-02-28", "mj = 900000"), "more than a home can use"),
        (
            BILL.format("2026-01-01", "2026-02-28", "mj = 900")
            + BILL.format("2026-02-20", "2026-04-20", "mj = 900"),
            "so days are counted twice",
        ),
    ],
)
def test_unfit_bills_are_refused_in_words(text: str, words: str) -> None:
    assert any(words in fault for fault in faults(GAS + text))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (USUAL.replace("gas_storage", "heat_pump"), "burns no gas by the case"),
        (USUAL.replace("gas_storage", "solar_gas"), "how much the sun gave is not in them"),
        (
            "[[electricity.off_peak_bills]]\nfirst = 2026-01-01\nlast = 2026-02-28\nkwh = 300.0\n",
            "not on the off-peak circuit by the case",
        ),
        ('[people]\npattern = "EU-M"\n' + USUAL, "a standard day stands in for the people"),
    ],
)
def test_bills_that_say_nothing_about_the_heater_are_pointed_out(text: str, words: str) -> None:
    loaded = check_text(HEAD + text, Path("home.toml"))
    assert any(words in fault.problem for fault in loaded.warnings)
    assert resolve(loaded).calibration is None


def test_a_state_s_own_rules_are_told_where_they_concern_today_s_heater() -> None:
    """What the notes say is from memory, and says so."""
    victoria = [note for note in home(GAS).notes if "In Victoria" in note]
    assert len(victoria) == 1
    assert "(from memory)" in victoria[0]
    assert not [note for note in home("").notes if "In Victoria" in note]


def test_bills_of_heating_months_alone_are_told_to_be_of_no_use() -> None:
    winter = gas_bills(((2026, 5, 3), (2026, 7, 3), (2026, 9, 2)), [6850.0, 7400.0])
    found = home(GAS + "[gas]\nother_use_mj = 11000.0\n" + winter)
    assert found.calibration is None
    (told,) = (note for note in found.notes if "gas bills" in note)
    assert told.startswith("The 2 gas bills are not used for the litres of hot water")
    assert "11,000 MJ a year" in told
    kept = home(GAS)
    assert not [note for note in kept.notes if "gas bill" in note]
