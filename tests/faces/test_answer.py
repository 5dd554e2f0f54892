"""The answer on screen and as JSON: ``tankful advise``."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tankful import service
from tankful.cli.main import cli
from tankful.cli.show_answer import show_answer
from tankful.cli.tables import plain_console
from tankful.model.answer import Answer, Excluded

EXAMPLES = Path(__file__).parents[2] / "examples"
SAMPLE = EXAMPLES / "01-sample-home.toml"
SMALL = (
    "as_of = 2026-11-25\n[simulation]\nstep_min = 60\n"
    '[place]\npostcode = "2480"\n[constraints]\nno_heat_pump = true\n'
)


@pytest.fixture(scope="module")
def answer() -> Answer:
    return service.advise(SAMPLE)


@pytest.fixture
def ready(answer: Answer, monkeypatch: pytest.MonkeyPatch) -> None:
    """The sample home's answer without computing it again."""
    monkeypatch.setattr(service, "advise", lambda path, progress=None: answer)


def call(*args: object) -> Result:
    """A command; a bug would come through as the exception it is."""
    return CliRunner().invoke(cli, [str(arg) for arg in args], catch_exceptions=False)


def printed(answer: Answer, **wishes: bool) -> str:
    console = plain_console()
    console.file = io.StringIO()
    show_answer(answer, console=console, **wishes)
    return console.file.getvalue()


def small(folder: Path, text: str = "") -> Path:
    path = folder / "home.toml"
    path.write_text(SMALL + text, encoding="utf-8")
    return path


# On screen


@pytest.mark.parametrize("count", [1, 2, 5, 9, 10, 13, 16])
def test_the_answer_fits_eighty_columns(count: int, answer: Answer) -> None:
    best = [option for option in answer.options if option.id != "keep"][: count - 1]
    keep = [option for option in answer.options if option.id == "keep"]
    text = printed(replace(answer, options=(*best, *keep)), bills=True, all_sources=True)
    lines = text.split("\n")
    assert max(map(len, lines)) <= 80
    assert "…" not in text  # nothing is cut short
    assert sum(line.startswith(f"{i} ") for i in range(1, 30) for line in lines) >= 3 * count


def test_what_options_pay_back_against_is_said_and_has_no_payback_itself(answer: Answer) -> None:
    assert "against keeping today's heater" in " ".join(printed(answer).split())
    without = tuple(option for option in answer.options if option.id != "keep")
    text = printed(replace(answer, options=without))
    assert "against a plain tank always on" in " ".join(text.split())
    row = next(line for line in text.split("\n") if "Electric tank, always on" in line)
    assert row.split()[-2] == "-"


def test_long_names_and_large_sums_keep_to_eighty_columns_and_lose_nothing(
    answer: Answer,
) -> None:
    name = "Wagga" * 24
    reason = "an aged and narrow meter box " * 5
    large = tuple(
        replace(option, net_present_cost=option.net_present_cost - 9_000_000.0, rank=i)
        for i, option in enumerate(answer.options, start=101)
    )
    text = printed(
        replace(
            answer,
            case_name=name,
            options=large,
            excluded=(Excluded("x", "Long" * 30, reason),),
            notes=("x" * 300,),
        )
    )
    assert max(map(len, text.split("\n"))) <= 80
    flat = "".join(text.split())
    for whole in (name, reason.replace(" ", ""), "x" * 300, "Long" * 30):
        assert whole in flat
    assert "-$8,9" in text


def test_markup_and_emoji_codes_in_names_are_shown_as_they_are_written(answer: Answer) -> None:
    nasty = "[bold]Ann[/bold] [link=http://a.b]x[/link] [/] :dog: [red"
    text = printed(replace(answer, case_name=nasty, notes=(nasty,)))
    assert text.count(nasty) == 2


def test_control_characters_of_an_input_file_are_shown_and_not_obeyed(answer: Answer) -> None:
    note = "station \x1b[31mred\x1b]0;title\x07 \u202eback \x9b1m"
    text = printed(replace(answer, notes=(note,)))
    assert not any(c in text for c in "\x1b\x07\u202e\x9b")
    assert r"station \x1b[31mred\x1b]0;title\x07 \u202eback \x9b1m" in text


def test_control_characters_in_a_case_are_refused_and_named(tmp_path: Path) -> None:
    case = tmp_path / "home.toml"
    case.write_text('name = "a\\u001b[31mb"\n' + SMALL, encoding="utf-8")
    result = call("advise", case)
    assert result.exit_code == 2
    assert "\x1b" not in result.output
    assert r"\x1b" in result.output


# In files


FIELDS = {
    "id": str,
    "rank": int,
    "upfront_cost": float,
    "year_one_cost": float,
    "net_present_cost": float,
    "purchased_kwh": float,
    "gas_mj": float,
    "heat_delivered_kwh": float,
    "standing_loss_kwh": float,
    "solar_share": float,
    "cold_draws_per_year": int,
    "ledger_residual": float,
}


@pytest.mark.usefixtures("ready")
def test_json_holds_the_answer(answer: Answer, tmp_path: Path) -> None:
    file = tmp_path / "answer.json"
    result = call("advise", SAMPLE, "--json", file)
    assert "Best:" in result.stdout
    record = json.loads(file.read_text(encoding="utf-8"))
    assert [option["id"] for option in record["options"]] == [o.id for o in answer.options]
    for written, option in zip(record["options"], answer.options, strict=True):
        for name, kind in FIELDS.items():
            assert isinstance(written[name], kind), name
        assert written["net_present_cost"] == option.net_present_cost
        assert written["payback_years"] == option.payback_years
        assert written["cold_draws_per_year"] == option.sums.cold_draws
        assert written["control"]["kind"] == option.choice.control.kind
        assert len(written["costs"]) == record["horizon_years"] + 1
        assert written["electricity_bill"]["lines"]
    assert record["best"] == answer.options[0].id
    assert record["as_of"] == "2026-11-25"


@pytest.mark.usefixtures("ready")
def test_json_says_what_was_assumed_where_from_and_by_which_versions(tmp_path: Path) -> None:
    file = tmp_path / "answer.json"
    call("advise", SAMPLE, "--json", file)
    record = json.loads(file.read_text(encoding="utf-8"))
    assert len(record["assumptions"]) > 50
    assert all(item["path"] and item["source"] for item in record["assumptions"])
    assert all(item["value"] not in (None, "") for item in record["assumptions"])
    assert {"tankful", "python", "numpy", "numba"} <= set(record["versions"])
    assert all(record["versions"].values())
    assert all(caution["source"] for caution in record["cautions"])


def test_json_on_standard_output_is_alone_there(tmp_path: Path) -> None:
    code = "from tankful.cli.main import main; main()"
    case = small(tmp_path)
    done = subprocess.run(
        [sys.executable, "-c", code, "advise", str(case), "--json", "/dev/stdout"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert {option["id"] for option in json.loads(done.stdout)["options"]} >= {"keep"}


@pytest.mark.usefixtures("ready")
@pytest.mark.parametrize("place", ["missing/x.json", "x.json"], ids=["no folder", "a folder"])
def test_an_answer_that_cannot_be_written_leaves_nothing_behind(place: str, tmp_path: Path) -> None:
    (tmp_path / "x.json").mkdir()
    before = sorted(tmp_path.rglob("*"))
    result = call("advise", SAMPLE, "--json", tmp_path / place)
    assert result.exit_code == 6
    assert "could not be written" in result.stderr
    assert sorted(tmp_path.rglob("*")) == before


@pytest.mark.skipif(not Path("/dev/full").is_char_device(), reason="needs an always full device")
@pytest.mark.usefixtures("ready")
def test_a_full_disk_is_a_fault_and_no_bug() -> None:
    assert call("advise", SAMPLE, "--json", "/dev/full").exit_code == 6
