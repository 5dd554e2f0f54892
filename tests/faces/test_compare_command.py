"""``tankful compare``: what it prints, its file, and the faults of both cases at once."""

from __future__ import annotations

import json
import re
from pathlib import Path

from click.testing import CliRunner

from tankful.cli.main import cli

CASE = (
    'name = "Hill house"\nas_of = 2026-11-25\n[simulation]\nstep_min = 60\n'
    '[place]\npostcode = "2480"\n[[electricity.arrays]]\nkw = 5.0\n'
)
BATTERY = "[electricity.battery]\ncapacity_kwh = 10.0\n"


def call(folder: Path, first: str, second: str, *args: str) -> tuple[int, str]:
    paths = folder / "before.toml", folder / "after.toml"
    for path, text in zip(paths, (first, second), strict=True):
        path.write_text(text, encoding="utf-8")
    result = CliRunner().invoke(cli, ["compare", *map(str, paths), *args])
    return result.exit_code, result.output


def test_both_answers_and_every_difference_are_shown_at_eighty_columns(tmp_path: Path) -> None:
    file = tmp_path / "both.json"
    code, text = call(tmp_path, CASE, CASE + BATTERY, "--json", str(file))
    assert code == 0, text
    assert max(map(len, text.split("\n"))) <= 80
    record = json.loads(file.read_text())
    words = " ".join(text.split())
    for sentence in (*record["sentences"], *record["remarks"]):
        assert sentence in words
    assert "electricity.battery.capacity_kwh left open 10 kWh usable when new" in words
    rows = re.findall(r" +\$([\d,]+) +\S+ +\$([\d,]+) +([+-]?)\$([\d,]+)$", text, re.MULTILINE)
    both = [option for option in record["options"] if option["difference"] is not None]
    assert len(rows) == len(both) > 5
    for row, option in zip(rows, both, strict=True):
        was, now, gap = (int(cell.replace(",", "")) for cell in (row[0], row[1], row[3]))
        assert now - was == (-gap if row[2] == "-" else gap) == option["difference"]
    assert [case["name"] for case in record["cases"]] == ["before.toml", "after.toml"]
    assert [item["path"] for item in record["entered_differently"]] == [
        "electricity.battery.capacity_kwh"
    ]


def test_a_case_against_itself_differs_in_nothing(tmp_path: Path) -> None:
    code, text = call(tmp_path, CASE, CASE)
    assert code == 0, text
    words = " ".join(text.split())
    assert "Entered differently Nothing." in words
    assert "costs the same in both" in words


def test_other_years_are_told_and_not_subtracted(tmp_path: Path) -> None:
    ten = CASE + "[wishes]\nhorizon_years = 10\n"
    code, text = call(tmp_path, CASE, ten, "--json", "-")
    assert code == 0, text
    record = json.loads(text)
    assert [case["horizon_years"] for case in record["cases"]] == [15, 10]
    assert "cannot be subtracted" in " ".join(record["remarks"])
    assert {option["difference"] for option in record["options"]} == {None}


def test_the_faults_of_both_cases_are_shown_at_once(tmp_path: Path) -> None:
    one = CASE.replace("kw = 5.0", "kw = -5.0")
    other = CASE + '[electricity]\nmeter_file = "meter.csv"\n[people]\ncount = 0\n'
    other = other.replace("[[electricity.arrays]]\nkw = 5.0\n", "")
    code, text = call(tmp_path, one, other)
    assert code == 2
    words = " ".join(text.split())
    assert "3 things to mend in the two case files" in words
    for told in ("before.toml:8", "electricity.arrays[1].kw", "meter_file", "people.count"):
        assert told in words, told


def test_a_meter_that_cannot_be_read_is_told_with_the_faults_of_the_other(tmp_path: Path) -> None:
    (tmp_path / "meter.csv").write_text("not,a\nmeter,file\n")
    one = CASE.replace(
        "[[electricity.arrays]]\nkw = 5.0\n", '[electricity]\nmeter_file = "meter.csv"\n'
    )
    code, text = call(tmp_path, one, CASE.replace("2480", "0001"))
    assert code != 0
    words = " ".join(text.split())
    assert "meter.csv" in words
    assert "after.toml" in words
    assert "place.postcode" in words


def test_the_file_does_not_replace_a_case(tmp_path: Path) -> None:
    code, text = call(tmp_path, CASE, CASE, "--json", str(tmp_path / "after.toml"))
    assert code == 6
    assert "this is the case itself" in " ".join(text.split())
    assert (tmp_path / "after.toml").read_text() == CASE
