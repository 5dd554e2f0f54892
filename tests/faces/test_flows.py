"""One option's year as a table, weather files, and what a user can get wrong on the way."""

from __future__ import annotations

from pathlib import Path

import duckdb
import numpy as np
import pandas as pd
import pytest
from click.testing import CliRunner, Result

from tankful import service
from tankful.advice.compare import Comparison
from tankful.advice.options import build_options
from tankful.cli.main import cli
from tankful.units import J_PER_KWH, J_PER_MJ

EXAMPLES = Path(__file__).parents[2] / "examples"
SAMPLE = EXAMPLES / "01-sample-home.toml"
OPTION = "heat-pump-timed"
SMALL = (
    "as_of = 2026-11-25\n[simulation]\nstep_min = 60\n"
    '[place]\npostcode = "2480"\n[constraints]\nno_heat_pump = true\n'
)


@pytest.fixture(scope="module")
def frame() -> pd.DataFrame:
    return service.flows_frame(SAMPLE, OPTION)


@pytest.fixture
def ready(frame: pd.DataFrame, monkeypatch: pytest.MonkeyPatch) -> None:
    """The sample home's flows without computing them again."""
    monkeypatch.setattr(service, "flows_frame", lambda path, option_id: frame)


def call(*args: object) -> Result:
    """A command; a bug would come through as the exception it is."""
    return CliRunner().invoke(cli, [str(arg) for arg in args], catch_exceptions=False)


@pytest.fixture
def small(tmp_path: Path) -> Path:
    path = tmp_path / "home.toml"
    path.write_text(SMALL, encoding="utf-8")
    return path


@pytest.mark.usefixtures("ready")
def test_flows_are_the_same_as_csv_and_parquet(tmp_path: Path) -> None:
    csv, parquet = tmp_path / "flows.csv", tmp_path / "flows.parquet"
    for file in (csv, parquet):
        result = call("flows", SAMPLE, "--option", OPTION, "--out", file)
        assert result.exit_code == 0
        assert "105,120 steps" in result.stderr
        assert result.stdout == ""
    text, binary = pd.read_csv(csv), duckdb.read_parquet(str(parquet)).df()
    assert list(text.columns) == list(binary.columns)
    assert len(text) == len(binary) == 105_120
    for name in text.columns:
        if name.endswith("_time"):
            assert (pd.to_datetime(text[name]) == binary[name]).all()
        else:
            np.testing.assert_allclose(text[name], binary[name], rtol=1e-12, atol=1e-9)


def test_flows_add_up_to_the_answers_sums(frame: pd.DataFrame) -> None:
    home = service.load_home(SAMPLE)
    option = next(option for option in build_options(home)[0] if option.id == OPTION)
    sums = Comparison(home).evaluate(option).sums
    step_s = 300.0

    def kwh(series: pd.Series) -> float:
        return float(series.sum()) * step_s / J_PER_KWH

    without = (frame["house_w"] - frame["pv_w"]).clip(lower=0.0)
    assert kwh(frame["delivered_w"]) == pytest.approx(sums.heat_delivered_kwh, rel=1e-12)
    assert kwh(frame["loss_w"]) == pytest.approx(sums.standing_loss_kwh, rel=1e-12)
    assert kwh(frame["heater_w"]) == pytest.approx(sums.electricity_kwh, rel=1e-12)
    assert kwh(frame["import_w"] - without) == pytest.approx(sums.purchased_kwh, rel=1e-12)
    assert float(frame["gas_w"].sum()) * step_s / J_PER_MJ == sums.gas_mj
    balance = frame["pv_w"] + frame["import_w"] - frame["house_w"] - frame["heater_w"]
    assert (balance - frame["export_w"] - frame["curtailed_w"]).abs().max() < 1e-6


def test_flows_tell_standard_and_clock_time(frame: pd.DataFrame) -> None:
    """Daylight saving of New South Wales: an hour from October to April."""
    ahead = frame["clock_time"] - frame["standard_time"]
    summer = frame["standard_time"].dt.month.isin((1, 2, 12))
    winter = frame["standard_time"].dt.month.isin((5, 6, 7, 8, 9))
    inside = slice(12, -12)  # the clock's year ends an hour earlier
    assert (ahead[inside][summer[inside]] == pd.Timedelta(hours=1)).all()
    assert (ahead[winter] == pd.Timedelta(0)).all()
    assert (frame["standard_time"].diff()[1:] == pd.Timedelta(minutes=5)).all()


# Faults of the user


def test_an_unknown_option_is_told_the_ones_there_are(small: Path, tmp_path: Path) -> None:
    result = call("flows", small, "--option", "zeppelin", "--out", tmp_path / "x.csv")
    assert result.exit_code == 2
    assert "keep" in result.stderr
    assert "electric-timed" in result.stderr
    assert not (tmp_path / "x.csv").exists()


def test_an_option_that_was_ruled_out_says_why(small: Path, tmp_path: Path) -> None:
    result = call("flows", small, "--option", "heat-pump", "--out", tmp_path / "x.csv")
    assert result.exit_code == 2
    assert "cannot be placed" in result.stderr


@pytest.mark.usefixtures("ready")
@pytest.mark.parametrize("name", ["flows.csv", "flows.parquet"])
@pytest.mark.parametrize("place", ["missing/{}", "{}"], ids=["no folder", "a folder of the name"])
def test_flows_that_cannot_be_written_leave_nothing_behind(
    name: str, place: str, tmp_path: Path
) -> None:
    (tmp_path / name).mkdir()
    before = sorted(tmp_path.rglob("*"))
    result = call("flows", SAMPLE, "--option", OPTION, "--out", tmp_path / place.format(name))
    assert result.exit_code == 6
    assert "could not be written" in result.stderr
    assert sorted(tmp_path.rglob("*")) == before


def test_a_weather_file_cannot_colour_the_screen(tmp_path: Path) -> None:
    lines = (EXAMPLES / "abroad-weather.csv").read_text(encoding="utf-8").split("\n")
    lines.insert(5, "# note: \x1b[31mred\x1b[0m")
    file = tmp_path / "weather.csv"
    file.write_text("\n".join(lines), encoding="utf-8")
    result = call("weather", "show", file)
    assert result.exit_code == 0
    assert "\x1b" not in result.output
    assert "[31mred" in result.output


def test_fetching_weather_offline_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TANKFUL_CACHE_DIR", str(tmp_path / "cache"))
    for name in ("HTTPS_PROXY", "https_proxy", "ALL_PROXY", "all_proxy"):
        monkeypatch.setenv(name, "http://127.0.0.1:9")  # the discard port: nobody listens
    for name in ("NO_PROXY", "no_proxy"):
        monkeypatch.delenv(name, raising=False)
    out = tmp_path / "w.csv"
    place = ("--latitude", 48.0, "--longitude", 11.0)
    result = call("weather", "fetch", *place, "--out", out)
    assert result.exit_code == 5, result.output
    assert not out.exists()


@pytest.mark.parametrize(
    ("args", "code"),
    [
        (("advise", "{}/none.toml"), 2),
        (("advise", "{}"), 2),
        (("advise", "{}/bytes.toml"), 2),
        (("flows", "{}/none.toml", "--option", "keep", "--out", "x.csv"), 2),
        (("weather", "show", "{}/none.csv"), 3),
        (("weather", "show", "{}/bytes.toml"), 3),
        (("weather", "fetch", "--latitude", "91", "--longitude", "0"), 2),
    ],
)
def test_a_users_fault_is_a_message_with_a_mend_and_never_a_traceback(
    args: tuple[str, ...], code: int, tmp_path: Path
) -> None:
    (tmp_path / "bytes.toml").write_bytes(bytes(range(256)) * 40)
    result = call(*(arg.format(tmp_path) for arg in args))
    assert result.exit_code == code, result.output
    assert result.stderr
    assert "Traceback" not in result.stderr
