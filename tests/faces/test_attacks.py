"""Hostile surroundings: names, terminals, answers and files that no careful person would give."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tankful.cli.main import cli, wrapped
from tankful.errors import OutputError
from tankful.paths import write_whole
from tankful.site.weather_file import read_weather_file

EXAMPLES = Path(__file__).parents[2] / "examples"
CAPITAL = EXAMPLES / "02-capital.toml"
RED = "\x1b[31m"


def run(*arguments: object, answers: str = "") -> Result:
    result = CliRunner().invoke(cli, [str(argument) for argument in arguments], input=answers)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def told(result: Result) -> str:
    """The message on one line."""
    return " ".join(result.stderr.split())


def in_own_process(*arguments: object, **environment: str) -> subprocess.CompletedProcess[bytes]:
    command = [sys.executable, "-c", "from tankful.cli.main import main; main()"]
    return subprocess.run(
        [*command, *map(str, arguments)],
        env={**os.environ, **environment},
        capture_output=True,
        check=False,
    )


def test_a_message_never_steers_the_terminal(tmp_path: Path) -> None:
    assert wrapped(f"a{RED}b\u202ec\x9bd\n  e") == "a\\x1b[31mb\\u202ec\\x9bd\n  e"
    result = run("weather", "show", tmp_path / f"{RED}.epw")
    assert result.exit_code == 3
    assert "\x1b" not in result.stderr


def test_notes_of_a_weather_file_lose_what_steers_a_terminal(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TANKFUL_CACHE_DIR", str(tmp_path / "cache"))
    lines = (EXAMPLES / "abroad-weather.csv").read_text(encoding="utf-8").split("\n")
    file = tmp_path / "weather.csv"
    file.write_text("\n".join([lines[0], f"# note: {RED}red\u202e", *lines[1:]]), encoding="utf-8")
    assert "[31mred" in read_weather_file(file).notes


def test_a_file_of_nothing_but_commas_has_no_line_to_name(tmp_path: Path) -> None:
    (tmp_path / "meter.csv").write_text("," * 3000)
    case = tmp_path / "case.toml"
    case.write_text('[place]\npostcode = "2600"\n[electricity]\nmeter_file = "meter.csv"\n')
    result = run("check", case)
    assert result.exit_code == 3
    assert "meter.csv: record: the end record 900 is missing" in result.stderr


def test_letters_that_the_terminal_lacks_appear_as_escapes(tmp_path: Path) -> None:
    file = tmp_path / "case.toml"
    file.write_text('name = "Zoë 家"\n[place]\npostcode = "2600"\n', encoding="utf-8")
    shown = in_own_process("check", file, PYTHONIOENCODING="ascii")
    assert shown.returncode == 0
    assert shown.stdout.startswith(b"Zo\\xeb \\u5bb6: the case is sound.")
    record = in_own_process("check", file, "--json", "-", PYTHONIOENCODING="ascii")
    assert json.loads(record.stdout)["name"] == "Zoë 家"


@pytest.mark.parametrize(
    "command", [("check", "--json"), ("advise", "--json"), ("flows", "--option", "keep", "--out")]
)
def test_a_result_never_replaces_the_case_it_is_made_from(
    command: tuple[str, ...], tmp_path: Path
) -> None:
    case = tmp_path / "case.toml"
    case.write_bytes(CAPITAL.read_bytes())
    (tmp_path / "link.toml").symlink_to(case)
    verb, *options = command
    for name in ("case.toml", "link.toml"):
        result = run(verb, case, *options, tmp_path / name)
        assert result.exit_code == OutputError.exit_code
        assert "mend: choose another name" in result.stderr
    assert case.read_bytes() == CAPITAL.read_bytes()


@pytest.mark.parametrize("name", [".", "..", "/", "a" * 300, "no/such/folder/x"])
def test_a_file_name_that_cannot_be_is_told_in_words(name: str, tmp_path: Path) -> None:
    old = os.getcwd()
    os.chdir(tmp_path)
    try:
        for arguments in (("new", name, "--yes"), ("new", name, "--yes", "--force")):
            result = run(*arguments)
            assert result.exit_code in (2, OutputError.exit_code)
            assert result.stderr
        for arguments in (("check", CAPITAL, "--json", name),):
            assert run(*arguments).exit_code in (2, OutputError.exit_code)
    finally:
        os.chdir(old)
    assert list(tmp_path.iterdir()) == []


def test_a_nameless_path_is_an_error_of_the_system() -> None:
    with pytest.raises(IsADirectoryError):
        write_whole(Path(), lambda draft: draft.write_text("x"))


def test_numbers_that_are_none_are_asked_for_again(tmp_path: Path) -> None:
    file = tmp_path / "home.toml"
    heater = "gas_storage\nnan\ninf\n11\nnan/kg\nnetwork\n"
    answers = f"2480\n3\n{heater}nan\n6.6\nnan\n0\nnan\n5c\nnan\n$nan\n$-5\n$100\n4,500 kwh\n"
    assert run("new", file, answers=answers).exit_code == 0
    given = [line for line in file.read_text().split("\n") if line and line[0] not in "#["]
    assert {"age_years = 11.0", "kw = 6.6", "annual_use_kwh = 4500.0"} <= set(given)


def test_a_latitude_that_is_no_number_is_refused_before_anything_is_fetched() -> None:
    result = run("weather", "fetch", "--latitude", "nan", "--longitude", "2")
    assert result.exit_code == 2
    assert "not a number" in result.stderr


def test_an_empty_postcode_is_not_taken_for_none(tmp_path: Path) -> None:
    result = run("new", tmp_path / "home.toml", "--yes", "--postcode", "")
    assert result.exit_code == 2
    assert list(tmp_path.iterdir()) == []


def test_a_result_never_replaces_the_meter_file(tmp_path: Path) -> None:
    meter = tmp_path / "sample-home-meter.csv"
    for file in ("01-sample-home.toml", meter.name):
        (tmp_path / file).write_bytes((EXAMPLES / file).read_bytes())
    before = meter.read_bytes()
    result = run("check", tmp_path / "01-sample-home.toml", "--json", meter)
    assert result.exit_code == OutputError.exit_code
    assert "this is the meter_file of the case" in told(result)
    assert meter.read_bytes() == before


def test_a_result_never_replaces_the_branding_or_its_logo(tmp_path: Path) -> None:
    (tmp_path / "logo.html").write_text("kept")
    (tmp_path / "brand.html").write_text("logo = 'logo.html'")
    for name in ("logo.html", "brand.html"):
        result = run(
            "advise", CAPITAL, "--html", tmp_path / name, "--branding", tmp_path / "brand.html"
        )
        assert result.exit_code == OutputError.exit_code
        assert "choose another name" in told(result)
    assert (tmp_path / "logo.html").read_text() == "kept"


def test_two_results_never_share_a_file(tmp_path: Path) -> None:
    both = tmp_path / "both"
    result = run("advise", CAPITAL, "--json", both, "--html", both)
    assert result.exit_code == OutputError.exit_code
    assert "two results would go to this file" in told(result)
    assert not both.exists()


def test_a_result_that_cannot_be_written_is_told_before_the_long_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tankful.service.study", None)  # never to be reached
    monkeypatch.setattr("tankful.service.advise", None)
    for option in ("--json", "--pdf", "--html"):
        for bad in (tmp_path, tmp_path / "none" / "x", CAPITAL / "x"):
            result = run("advise", CAPITAL, option, bad)
            assert result.exit_code == OutputError.exit_code
            assert "could not be written" in told(result)


def test_a_branding_without_a_report_is_not_passed_over(tmp_path: Path) -> None:
    result = run("advise", CAPITAL, "--branding", tmp_path / "none.toml")
    assert result.exit_code == 2
    assert "add --pdf or --html" in told(result)


def test_an_empty_name_is_told(tmp_path: Path) -> None:
    case = tmp_path / "case.toml"
    case.write_text('name = " "\n[place]\npostcode = "2480"\n')
    result = run("check", case)
    assert result.exit_code == 2
    assert "case.toml:1: name: is empty" in told(result)
