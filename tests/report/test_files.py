"""Both files are written, or neither."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from tankful.cli.main import cli
from tankful.errors import OutputError
from tankful.model.report_facts import ReportFacts
from tankful.report.render import write_report


@pytest.mark.parametrize("place", ["missing/r.pdf", "folder"])
def test_a_report_that_cannot_be_written_leaves_nothing(
    place: str, facts: ReportFacts, tmp_path: Path
) -> None:
    (tmp_path / "folder").mkdir()
    before = sorted(tmp_path.rglob("*"))
    with pytest.raises(OutputError, match="could not be written"):
        write_report(facts, html=tmp_path / place)
    assert sorted(tmp_path.rglob("*")) == before


def test_the_command_writes_both(tmp_path: Path) -> None:
    case = tmp_path / "home.toml"
    case.write_text(
        'as_of = 2026-11-25\n[simulation]\nstep_min = 60\n[place]\npostcode = "2480"\n'
        "[constraints]\nno_heat_pump = true\n",
        encoding="utf-8",
    )
    brand = tmp_path / "brand.toml"
    brand.write_text('name = "Adviser of our own"\n', encoding="utf-8")
    args = ["advise", case, "--quick", "--pdf", tmp_path / "r.pdf", "--html", tmp_path / "r.html"]
    done = CliRunner().invoke(
        cli, [str(a) for a in (*args, "--branding", brand)], catch_exceptions=False
    )
    assert done.exit_code == 0, done.output
    assert (tmp_path / "r.pdf").read_bytes().startswith(b"%PDF")
    assert "Adviser of our own" in (tmp_path / "r.html").read_text(encoding="utf-8")
