"""``tankful panels``: its tables, its file, and what it says when nothing may go on the roof."""

from __future__ import annotations

import json
from pathlib import Path

from click.testing import CliRunner

from tankful.cli.main import cli

CASE = (
    "as_of = 2026-11-25\n[simulation]\nstep_min = 60\n"
    '[place]\npostcode = "2480"\n[more_panels]\nsizes_kw = [3.3, 6.6]\n'
)


def call(folder: Path, text: str, *args: str) -> tuple[int, str]:
    path = folder / "home.toml"
    path.write_text(text, encoding="utf-8")
    result = CliRunner().invoke(cli, ["panels", str(path), *args])
    return result.exit_code, result.output


def test_both_accounts_are_shown_by_size_at_eighty_columns(tmp_path: Path) -> None:
    code, text = call(tmp_path, CASE)
    assert code == 0, text
    assert max(map(len, text.split("\n"))) <= 80
    for title in (
        "The panels alone",
        "Panels and hot water together",
        "Of it hot water alone",
        "One kilowatt more",
        "Share of hot water's energy from own sun",
        "Take care",
    ):
        assert title in text
    rows = [line.split()[0] for line in text.split("\n") if line[:4].strip()]
    assert rows.count("3.3") >= 4
    assert "common practice, no source" in " ".join(text.split()).casefold()


def test_the_file_holds_every_size_and_what_was_assumed(tmp_path: Path) -> None:
    code, text = call(tmp_path, CASE, "--json", "/dev/stdout")
    assert code == 0, text
    record = json.loads(text)
    assert [panels["kw"] for panels in record["alone"]] == [0.0, 3.3, 6.6]
    for heater in record["heaters"]:
        assert [row["kw"] for row in heater["sizes"]][-2:] == [3.3, 6.6]
    assumed = {item["path"] for item in record["assumptions"]}
    assert "more_panels.price_per_kw" in assumed
    assert "more_panels.sizes_kw" not in assumed


def test_a_case_without_roof_work_is_told_so(tmp_path: Path) -> None:
    code, text = call(tmp_path, CASE + "[constraints]\nno_roof_work = true\n")
    assert code == 2
    assert "constraints.no_roof_work" in text


def test_a_quoted_price_needs_its_one_size(tmp_path: Path) -> None:
    code, text = call(tmp_path, CASE + "installed_price = 7000.0\n")
    assert code == 2
    assert "name that size alone in sizes_kw" in " ".join(text.split())


def test_the_check_tells_of_new_panels_and_of_a_roof_that_takes_none(tmp_path: Path) -> None:
    path = tmp_path / "home.toml"
    path.write_text(CASE, encoding="utf-8")
    text = " ".join(CliRunner().invoke(cli, ["check", str(path)]).output.split())
    assert "3.3 kW at 5,100 AUD, 6.6 kW at 8,400 AUD, before certificates" in text
    path.write_text(CASE + "[constraints]\nno_roof_work = true\n", encoding="utf-8")
    text = " ".join(CliRunner().invoke(cli, ["check", str(path)]).output.split())
    assert "constraints.no_roof_work rules new panels out" in text
