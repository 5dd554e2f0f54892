"""``tankful new``: what it writes loads to what was answered, and nothing is lost."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import pytest
from click.testing import CliRunner

from tankful.casefile.load import check_text, load_case
from tankful.casefile.write import Answers, case_text, new_case_text
from tankful.cli.main import cli
from tankful.model.case import Case, HeaterKind
from tankful.model.fields import field_table

HERE = Path("home.toml")
EXAMPLES = Path(__file__).parents[2] / "examples"


def test_the_few_answers_load_to_the_case_they_describe() -> None:
    answers = Answers("2480", "Us", 4, "gas_storage", 11.0, 6.6, 4500.0)
    case = check_text(new_case_text(answers), HERE).case
    assert case == Case.model_validate(
        {
            "name": "Us",
            "place": {"postcode": "2480"},
            "people": {"count": 4},
            "heater": {"kind": "gas_storage", "age_years": 11.0},
            "electricity": {"arrays": [{"kw": 6.6}], "annual_use_kwh": 4500.0},
        }
    )


def test_every_field_stands_in_a_new_case_with_its_help_and_range() -> None:
    text = " ".join(new_case_text(Answers("2480")).replace("\n# ", " ").split())
    for row in field_table(Case):
        if ".hours[]" in row.path or "quiet_hours[]" in row.path:
            continue  # windows are written inline and explained at the head
        name = row.path.rsplit(".", 1)[-1]
        assert f"{name} =" in text, row.path
        assert " ".join(row.about.split())[1:] in text, row.path
        assert row.allowed in text, row.path


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.toml")), ids=lambda p: p.stem)
def test_any_case_survives_being_written_and_read(path: Path) -> None:
    case = load_case(path).case
    assert check_text(case_text(case), path).case == case


def test_yes_asks_nothing(tmp_path: Path) -> None:
    path = tmp_path / "home.toml"
    result = CliRunner().invoke(cli, ["new", str(path), "--yes", "--postcode", "3000"])
    assert result.exit_code == 0, result.output
    assert load_case(path).case.place.postcode == "3000"


def test_answers_are_asked_and_a_wrong_one_asked_again(tmp_path: Path) -> None:
    path = tmp_path / "home.toml"
    answers = "9999\n2480\n40\n4\ngas_storage\n11\ntown\nnetwork\n6.6\n10\n5c\nmany\n4500\n"
    result = CliRunner().invoke(cli, ["new", str(path)], input=answers)
    assert result.exit_code == 0, result.output
    assert "the nearest known postcodes are" in result.output
    case = load_case(path).case
    assert case.place.postcode == "2480"
    assert case.people.count == 4
    assert case.heater.kind == "gas_storage"
    assert case.electricity.annual_use_kwh == 4500.0
    assert [array.kw for array in case.electricity.arrays] == [6.6]
    assert case.electricity.battery is not None
    assert case.electricity.battery.capacity_kwh == 10.0
    assert case.gas.bottles is None
    assert case.electricity.feed_in_price_per_kwh == 0.05


@pytest.mark.parametrize(
    ("answer", "price"),
    [("4.20/kg", (4.2, None)), ("$2.10/L", (None, 2.1)), ("2.1 / l", (None, 2.1))],
)
def test_bottled_gas_is_priced_by_weight_or_by_volume(
    answer: str, price: tuple[float | None, float | None], tmp_path: Path
) -> None:
    path = tmp_path / "home.toml"
    answers = f"\nsolar_gas\n\n{answer}\n\n\n"
    result = CliRunner().invoke(cli, ["new", str(path), "--postcode", "2480"], input=answers)
    assert result.exit_code == 0, result.output
    bottles = load_case(path).case.gas.bottles
    assert bottles is not None
    assert (bottles.price_per_kg, bottles.price_per_l) == price


@pytest.mark.parametrize("answer", ["0/kg", "nan/kg", "4.20", "kg", "-1/L", "1e9/L"])
def test_a_price_of_gas_that_makes_no_sense_is_asked_again(answer: str, tmp_path: Path) -> None:
    path = tmp_path / "home.toml"
    answers = f"\ngas_continuous\n\n{answer}\n4/kg\n\n\n"
    result = CliRunner().invoke(cli, ["new", str(path), "--postcode", "2480"], input=answers)
    assert result.exit_code == 0, result.output
    assert "write network, or a price such as" in result.output


def test_every_kind_of_heater_is_offered_in_words(tmp_path: Path) -> None:
    path = tmp_path / "home.toml"
    result = CliRunner().invoke(cli, ["new", str(path), "--postcode", "2480"], input="\n" * 7)
    for name in get_args(HeaterKind):
        assert f"\n  {name:<20} " in result.output
    assert all(len(line) <= 80 for line in result.output.split("\n") if line.startswith("  "))


def test_enter_leaves_everything_to_the_defaults(tmp_path: Path) -> None:
    path = tmp_path / "home.toml"
    result = CliRunner().invoke(cli, ["new", str(path), "--postcode", "2480"], input="\n" * 7)
    assert result.exit_code == 0, result.output
    case = load_case(path).case
    assert case.electricity.annual_use_kwh is None
    assert case.electricity.arrays == ()


def test_a_bill_becomes_kilowatt_hours_under_the_states_plan(tmp_path: Path) -> None:
    """1899 AUD a year at 3900 kWh: Default Market Offer 2026-27, Ausgrid flat tariff,
    Australian Energy Regulator (transcribed)."""
    path = tmp_path / "home.toml"
    answers = "\n\n\n\n\n$1899\n"
    result = CliRunner().invoke(cli, ["new", str(path), "--postcode", "2000"], input=answers)
    assert result.exit_code == 0, result.output
    assert load_case(path).case.electricity.annual_use_kwh == 3900.0


def test_an_existing_file_is_kept_unless_forced(tmp_path: Path) -> None:
    path = tmp_path / "home.toml"
    path.write_text("mine")
    kept = CliRunner().invoke(cli, ["new", str(path), "--yes"])
    assert kept.exit_code == 6
    assert "the file exists already" in " ".join(kept.output.split())
    assert path.read_text() == "mine"
    forced = CliRunner().invoke(cli, ["new", str(path), "--yes", "--force"])
    assert forced.exit_code == 0
    assert load_case(path).case.name == "Home"


def test_a_folder_that_is_not_there_is_a_clear_fault(tmp_path: Path) -> None:
    result = CliRunner().invoke(cli, ["new", str(tmp_path / "no" / "home.toml"), "--yes"])
    assert result.exit_code == 6
    assert "check that the folder exists" in result.output


def test_nothing_is_left_behind_when_a_case_is_written(tmp_path: Path) -> None:
    CliRunner().invoke(cli, ["new", str(tmp_path / "home.toml"), "--yes"])
    CliRunner().invoke(cli, ["new", str(tmp_path / "home.toml"), "--yes"])
    assert [path.name for path in tmp_path.iterdir()] == ["home.toml"]


def test_an_unknown_postcode_on_the_command_line_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "home.toml"
    result = CliRunner().invoke(cli, ["new", str(path), "--yes", "--postcode", "9999"])
    assert result.exit_code == 2
    assert not path.exists()


def answered(tmp_path: Path, answers: list[str], postcode: str = "2480") -> tuple[Case, str]:
    path = tmp_path / "home.toml"
    text = "\n".join(answers) + "\n"
    result = CliRunner().invoke(cli, ["new", str(path), "--postcode", postcode], input=text)
    assert result.exit_code == 0, result.output
    return load_case(path).case, result.output


def test_plain_words_and_units_are_understood(tmp_path: Path) -> None:
    answers = ["4 people", "electric tank", "18 months", "off-peak", "6600 W", "10 kWh", "$0.045"]
    case, _ = answered(tmp_path, [*answers, "4,500 kWh"])
    assert (case.people.count, case.heater.kind, case.heater.age_years) == (
        4,
        "electric_storage",
        1.5,
    )
    assert case.heater.control == "off_peak"
    assert [array.kw for array in case.electricity.arrays] == [6.6]
    assert case.electricity.battery is not None
    assert case.electricity.battery.capacity_kwh == 10.0
    assert case.electricity.feed_in_price_per_kwh == 0.045
    assert case.electricity.annual_use_kwh == 4500.0


def test_hours_of_a_timer_are_understood(tmp_path: Path) -> None:
    case, _ = answered(tmp_path, ["", "", "", "10 to 16", "", ""])
    assert case.heater.control == "hours"
    assert [(w.start, w.end) for w in case.heater.hours] == [("10:00", "16:00")]


@pytest.mark.parametrize(
    ("answers", "words"),
    [
        (["60", "4", "", "", "", "", ""], "60 people is out of range: write a number from 1 to 20"),
        (["2.5", "3", "", "", "", "", ""], "write a whole number of people"),
        (["", "gas", "", "", "", "", ""], '"gas" may be gas_storage (it has a tank) or'),
        (["", "solar", "", "", "", "", ""], '"solar" may be solar_flat'),
        (["", "elektric", "", "", "", "", ""], "did you mean electric_storage?"),
        (["", "", "old", "8", "", "", ""], "write a number of years, such as 11"),
        (["", "", "", "25:00-07:00", "", "", ""], "write always, off-peak, or clock hours"),
        (["", "", "", "", "10 kWh", "", ""], "write a number of kW, such as 6.6"),
        (["", "", "", "", "5", "", "33", "5c", ""], "33 a kWh is too much: in cents write 33c"),
    ],
)
def test_what_is_not_understood_is_asked_again_with_what_to_write(
    answers: list[str], words: str, tmp_path: Path
) -> None:
    _, output = answered(tmp_path, answers)
    assert words in output


def test_off_peak_is_not_taken_where_no_plan_has_it(tmp_path: Path) -> None:
    _, output = answered(tmp_path, ["", "", "", "off-peak", "always", "", ""], postcode="6000")
    assert "the default plan of WA has no off-peak circuit" in output


def test_new_asks_nothing_when_the_folder_is_not_there(tmp_path):
    done = CliRunner().invoke(cli, ["new", str(tmp_path / "nowhere" / "home.toml")])
    assert done.exit_code != 0
    assert "its folder does not exist" in done.output
    assert "Postcode of the home" not in done.output
