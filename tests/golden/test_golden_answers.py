"""The examples' answers, number for number, as they were last recorded.

A number may move only with a line under "Numbers moved" in CHANGELOG.md that says which,
by how much and why; ``python builders/record_golden_answers.py`` then records them anew.
"""

from __future__ import annotations

import json
import runpy
from pathlib import Path
from typing import Any

import pytest

from tankful import service
from tankful.casefile.load import load_case

ROOT = Path(__file__).parents[2]
RECORDED = json.loads((Path(__file__).parent / "answers.json").read_text(encoding="utf-8"))
BUILDER = runpy.run_path(str(ROOT / "builders" / "record_golden_answers.py"))
EXAMPLES = {path.stem: path for path in BUILDER["EXAMPLES"]}

RELATIVE = 1e-6
"""Libraries of different machines round the last digits of sines and powers differently."""

ABSOLUTE = 2 * 10.0 ** -BUILDER["DECIMALS"]
"""The file is rounded."""


def test_the_examples_and_the_recorded_answers_are_the_same_ones() -> None:
    assert set(RECORDED) == set(EXAMPLES)
    assert len(EXAMPLES) == 7


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_examples_do_not_depend_on_today(name: str) -> None:
    assert load_case(EXAMPLES[name]).case.as_of is not None


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_example_gives_the_recorded_answer(name: str) -> None:
    found: dict[str, dict[str, Any]] = BUILDER["key_numbers"](service.advise(EXAMPLES[name]))
    assert list(found) == list(RECORDED[name])
    for option, numbers in RECORDED[name].items():
        for key, value in numbers.items():
            same = value if isinstance(value, list) else pytest.approx(value, RELATIVE, ABSOLUTE)
            assert found[option][key] == same, f"{option}: {key}"
