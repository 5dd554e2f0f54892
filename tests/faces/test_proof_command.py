"""``tankful proof``: what it prints, writes and returns."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest
from click.testing import CliRunner

from tankful.cli.main import cli
from tankful.cli.show_proof import number
from tankful.proof.check import Claim

KEYS = {"id", "claim", "source", "basis", "expected", "got", "tolerance", "unit", "passed", "error"}


def claims_giving(*values: float):
    """A topic whose claims expect 1 within 0.1; a value of 0 raises."""

    def claims():
        for index, value in enumerate(values):
            yield Claim(
                id=f"example-{index}",
                claim="A claim of some length about nothing in particular, made for a test",
                source="No source: made for a test of how sources of more than one line wrap "
                "at the right edge",
                basis="common practice",
                expected=1.0,
                tolerance=0.1,
                unit="kWh/day",
                compute=lambda value=value: value / value * value,
            )

    return claims


@pytest.fixture
def proof(monkeypatch):
    def run(*values: float, options: tuple[str, ...] = ()):
        topics = {"Example": claims_giving(*values)}
        monkeypatch.setattr("tankful.proof.catalogue.TOPICS", topics)
        return CliRunner().invoke(cli, ["proof", *options])

    return run


def test_all_checks_holding_give_exit_code_zero_and_a_summary(proof):
    result = proof(1.0, 1.05)
    assert result.exit_code == 0
    last = result.stdout.strip().splitlines()[-1]
    assert last.startswith("2 of 2 checks hold (0 published, 2 common practice, 0 from memory).")


def test_one_failing_check_gives_exit_code_one_and_is_named(proof):
    result = proof(1.0, 1.5)
    assert result.exit_code == 1
    assert "FAILS" in result.stdout
    assert "1 of 2 checks hold" in result.stdout


def test_a_check_that_raises_is_shown_with_its_error(proof):
    result = proof(0.0)
    assert result.exit_code == 1
    assert "ZeroDivisionError" in result.stdout


def test_lines_fit_eighty_columns_and_keep_every_word(proof):
    text = proof(1.0, 1.5, 0.0).stdout
    assert max(len(line) for line in text.splitlines()) <= 80
    flat = " ".join(text.split())
    assert "made for a test of how sources of more than one line wrap at the right edge" in flat


def test_json_goes_to_a_file_beside_the_table(proof, tmp_path):
    file = tmp_path / "proof.json"
    result = proof(1.0, 1.5, options=("--json", str(file)))
    assert "FAILS" in result.stdout
    data = json.loads(file.read_text())
    assert set(data) == {"checks", "version"}
    assert [check["passed"] for check in data["checks"]] == [True, False]
    assert all(set(check) == KEYS for check in data["checks"])


def test_json_on_standard_output_is_alone_there(proof):
    result = proof(1.0, options=("--json", "/dev/stdout"))
    assert json.loads(result.stdout)["checks"][0]["got"] == 1.0


def test_an_unwritable_file_is_an_output_fault(proof, tmp_path):
    result = proof(1.0, options=("--json", str(tmp_path / "missing" / "proof.json")))
    assert result.exit_code == 6
    assert "could not be written" in result.stderr


def test_the_real_command_holds_and_writes_nothing_but_json():
    code = "from tankful.cli.main import main; main()"
    done = subprocess.run(
        [sys.executable, "-c", code, "proof", "--json", "/dev/stdout"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    checks = json.loads(done.stdout)["checks"]
    assert len(checks) >= 35
    assert all(check["passed"] for check in checks)


@pytest.mark.parametrize(
    ("value", "tolerance", "text"),
    [
        (55.3408, 0.001, "55.3408"),
        (2328.38, 0.5, "2,328.38"),
        (11.0, 0.0, "11"),
        (0.5, 1e-12, "0.5"),
    ],
)
def test_numbers_show_as_many_decimals_as_their_tolerance(value, tolerance, text):
    assert number(value, tolerance) == text
