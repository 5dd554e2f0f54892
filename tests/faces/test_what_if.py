"""Flips, map and futures as a person at a terminal meets them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tankful.cli.main import cli

CASE = """
as_of = 2026-11-25
[simulation]
step_min = 60
[place]
postcode = "5000"
[people]
pattern = "EU-S"
[[electricity.arrays]]
kw = 5.0
"""


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("case") / "home.toml"
    path.write_text(CASE)
    return path


def call(*words: object) -> Result:
    return CliRunner().invoke(cli, [str(word) for word in words], catch_exceptions=False)


def fits(text: str) -> bool:
    return max(len(line.rstrip()) for line in text.splitlines()) <= 80


def test_flips_are_told_in_sentences_and_as_data(case: Path, tmp_path: Path) -> None:
    file = tmp_path / "flips.json"
    result = call("flips", case, "--json", file)
    assert result.exit_code == 0
    assert fits(result.stdout)
    assert "Cheapest today: " in result.stdout
    data = json.loads(file.read_text())
    assert data["flips"]
    for flip in data["flips"]:
        assert len(flip["sentences"]) == sum(flip[way] is not None for way in ("below", "above"))


def test_a_map_is_drawn_in_letters_and_told_as_data(case: Path, tmp_path: Path) -> None:
    file = tmp_path / "map.json"
    words = ("--x", "feed-in", "--y", "hot-water", "--cells", 9, "--json", file)
    result = call("map", case, *words)
    assert result.exit_code == 0
    assert fits(result.stdout)
    assert "+" in result.stdout
    data = json.loads(file.read_text())
    assert len(data["winner"]) == len(data["y"]["values"]) == 9
    for label in data["option_labels"]:
        assert label in result.stdout


def test_futures_tell_chance_saving_and_what_moves_it(case: Path, tmp_path: Path) -> None:
    file = tmp_path / "futures.json"
    result = call("futures", case, "--draws", 20, "--json", file)
    assert result.exit_code == 0
    assert fits(result.stdout)
    assert "futures of 100 the cheapest is" in " ".join(result.stdout.split())
    data = json.loads(file.read_text())
    assert data["draws"] == 20
    assert data["sentences"]
    assert all(driver["basis"] for driver in data["drivers"])


def test_inputs_of_a_map_are_listed(case: Path) -> None:
    result = call("map", case, "--inputs")
    assert result.exit_code == 0
    assert "feed-in " in result.stdout
    assert "price:heat_pump" in result.stdout


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("map", "--x", "moon", "--y", "feed-in"), "moon"),
        (("map", "--x", "feed-in", "--y", "feed-in"), "the same as --x"),
        (("map", "--x", "feed-in", "--y", "usage", "--x-range", 0.3, 0.1), "--x-range"),
        (("map", "--x", "feed-in", "--y", "usage", "--cells", 100_000), "--cells"),
        (("futures", "--draws", 0), "--draws"),
        (("futures", "--draws", 30, "--seed", -1), "--seed"),
    ],
)
def test_faults_are_told_with_their_mend(case: Path, words: tuple[object, ...], told: str) -> None:
    result = call(words[0], case, *words[1:])
    assert result.exit_code != 0
    assert told in result.stderr
    assert "Traceback" not in result.output


def test_all_faults_of_a_map_come_at_once(case: Path) -> None:
    result = call("map", case, "--x", "moon", "--y", "stars", "--cells", 0)
    for word in ("moon", "stars", "--cells"):
        assert word in result.stderr


@pytest.mark.parametrize("suffix", ["svg", "png", "pdf"])
def test_a_map_is_drawn_to_a_picture(case: Path, tmp_path: Path, suffix: str) -> None:
    file = tmp_path / f"map.{suffix}"
    words = ("--x", "feed-in", "--y", "certificate-price", "--cells", 8, "--picture", file)
    assert call("map", case, *words).exit_code == 0
    start = {"svg": b"<svg", "png": b"\x89PNG", "pdf": b"%PDF"}[suffix]
    assert file.read_bytes().startswith(start)


def test_a_picture_of_no_known_kind_is_refused_before_the_work(case: Path, tmp_path: Path) -> None:
    file = tmp_path / "map.bmp"
    result = call("map", case, "--x", "feed-in", "--y", "usage", "--picture", file)
    assert result.exit_code != 0
    assert ".svg, .png, .pdf" in result.stderr
    assert not file.exists()
