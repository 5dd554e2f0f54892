"""``tankful check`` and the command group: messages, exit codes, speed of the start."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from tankful.cli.main import COMMANDS, cli

FOLDER = Path(__file__).parents[2] / "examples"
EXAMPLES = sorted(FOLDER.glob("*.toml"))
SAMPLE = EXAMPLES[0]


def test_the_sample_home_is_the_first_example() -> None:
    assert SAMPLE.name == "01-sample-home.toml"


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_example_is_sound(path: Path) -> None:
    result = CliRunner().invoke(cli, ["check", str(path)])
    assert result.exit_code == 0, result.output
    assert "the case is sound" in result.output


def test_a_sound_case_shows_what_was_understood_and_the_defaults_that_weigh_most() -> None:
    text = CliRunner().invoke(cli, ["check", str(SAMPLE)]).output
    for words in (
        "2480",
        "climate point",
        "peak 0.52 AUD/kWh 15:00 to 21:00",
        "controlled load 0.21 AUD/kWh",
        "0.048 AUD/MJ up to 40 MJ a day",
        "6.6 kW of panels, inverter 5 kW, export at most 5 kW",
        "365 whole days from 2025-07-01 to",
        "people.hot_litres_per_person_per_day",
        "YourHome",
    ):
        assert words in text
    assert "people.seed" not in text
    assert text.count("\n") < 120


def test_every_default_is_listed_on_demand() -> None:
    record = json.loads(CliRunner().invoke(cli, ["check", str(SAMPLE), "--json", "-"]).output)
    text = CliRunner().invoke(cli, ["check", str(SAMPLE), "--all-sources"]).output
    assert [item for item in record["assumptions"] if item["path"] not in text] == []


def test_what_is_printed_fits_eighty_columns_with_whole_words() -> None:
    for path in EXAMPLES:
        lines = CliRunner().invoke(cli, ["check", str(path)]).output.split("\n")
        assert max(map(len, lines)) <= 80
        assert not any("…" in line for line in lines)


def test_json_holds_the_same_and_leaves_standard_output_to_itself(tmp_path: Path) -> None:
    record = json.loads(CliRunner().invoke(cli, ["check", str(SAMPLE), "--json", "-"]).output)
    assert record["sound"] is True
    assert record["understood"]["Gas plan"][0] == "supply 0.85 AUD a day"
    assert all(item["source"] for item in record["assumptions"])
    file = tmp_path / "found.json"
    CliRunner().invoke(cli, ["check", str(SAMPLE), "--json", str(file)])
    assert json.loads(file.read_text()) == record


def test_json_of_a_broken_case_lists_its_faults(tmp_path: Path) -> None:
    case, file = tmp_path / "home.toml", tmp_path / "found.json"
    case.write_text('[place]\npostcode = "2480"\n[heater]\nsetpont_c = 60.0\n')
    result = CliRunner().invoke(cli, ["check", str(case), "--json", str(file)])
    assert result.exit_code == 2
    record = json.loads(file.read_text())
    assert record["sound"] is False
    assert record["faults"][0]["field"] == "heater.setpont_c"
    assert record["faults"][0]["line"] == 4


def test_messages_of_faults_fit_eighty_columns(tmp_path: Path) -> None:
    case = tmp_path / "home.toml"
    case.write_text('[place]\npostcode = "2480"\nbogus = 1\n[heater]\nkind = "x"\n')
    output = CliRunner().invoke(cli, ["check", str(case)]).output
    folder = str(tmp_path)
    assert all(len(line) <= 80 or folder in line for line in output.split("\n"))


PLACES = {
    "an unknown postcode": ('[place]\npostcode = "9999"\n', 4, "place.postcode"),
    "a heater on a plan that the state lacks": (
        '[place]\npostcode = "0800"\n[heater]\ncontrol = "off_peak"\n',
        2,
        "heater.control",
    ),
    "a currency without prices": (
        (FOLDER / "03-abroad.toml").read_text().replace('"EUR"', '"ISK"'),
        2,
        "wishes.currency",
    ),
    "a home abroad without a plan": (
        (FOLDER / "03-abroad.toml").read_text().split("[electricity.tariff]")[0]
        + '[wishes]\ncurrency = "EUR"\n',
        2,
        "electricity.tariff",
    ),
}


@pytest.mark.parametrize("name", PLACES)
def test_defaults_that_are_not_known_are_asked_for(name: str, tmp_path: Path) -> None:
    text, code, field = PLACES[name]
    weather = (FOLDER / "abroad-weather.csv").read_bytes()
    (tmp_path / "abroad-weather.csv").write_bytes(weather)
    case = tmp_path / "home.toml"
    case.write_text(text)
    result = CliRunner().invoke(cli, ["check", str(case)])
    assert result.exit_code == code, result.output
    assert field in result.output


def run(*args: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", "from tankful.cli.main import main; main()", *args]
    return subprocess.run(command, capture_output=True, text=True, check=False, timeout=120)


def test_exit_codes_and_streams_of_a_real_process(tmp_path: Path) -> None:
    missing = run("check", str(tmp_path / "none.toml"))
    assert missing.returncode == 2
    assert missing.stdout == ""
    assert "there is no such file" in " ".join(missing.stderr.split())
    assert "Traceback" not in missing.stderr
    assert run("check").returncode == 2
    assert run("--version").stdout.startswith("tankful")


def test_help_imports_nothing_heavy() -> None:
    heavy = "numpy", "pydantic", "pandas", "numba", "scipy", "pvlib", "rich", "duckdb"
    code = (
        "import sys, click.testing\n"
        "from tankful.cli.main import cli\n"
        "click.testing.CliRunner().invoke(cli, ['--help'], catch_exceptions=False)\n"
        f"print([name for name in {heavy!r} if name in sys.modules])"
    )
    command = [sys.executable, "-c", code]
    assert subprocess.run(command, capture_output=True, text=True, check=True).stdout == "[]\n"


def test_every_command_explains_itself() -> None:
    listing = CliRunner().invoke(cli, ["--help"]).output
    for name in COMMANDS:
        assert name in listing
        result = CliRunner().invoke(cli, [name, "--help"])
        assert result.exit_code == 0
        assert result.output.startswith("Usage:")


def test_a_bug_keeps_its_traceback(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(path: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("tankful.casefile.load.load_case", broken)
    result = CliRunner().invoke(cli, ["check", "home.toml"])
    assert isinstance(result.exception, ZeroDivisionError)
