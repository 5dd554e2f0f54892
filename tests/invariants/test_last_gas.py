"""What the answer rests on where nobody said whether gas does more than heat the water."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

from tankful import service
from tankful.advice.headline import after_headline
from tankful.advice.last_gas import last_gas_sentences
from tankful.model.answer import Answer

CENT = 0.01
CASE = """
as_of = 2026-11-25
[simulation]
step_min = 60
[place]
postcode = "3000"
[heater]
kind = "gas_storage"
age_years = 9.0
"""
BOTTLES = "[gas.bottles]\nprice_per_kg = 3.2\nrent_per_year = 90.0\n"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("homes")


def advise(folder: Path, more: str) -> Answer:
    path = folder / "home.toml"
    path.write_text(CASE + more)
    return service.advise(path)


@pytest.fixture(scope="module")
def untold(folder: Path) -> Answer:
    return advise(folder, "")


@pytest.mark.parametrize("bottles", ["", BOTTLES], ids=["network", "bottles"])
def test_what_is_told_of_gas_that_stays_is_the_answer_of_the_case_that_says_so(
    bottles: str, folder: Path
) -> None:
    found = advise(folder, bottles).last_gas
    kept = advise(folder, f"{bottles}[constraints]\nkeep_gas = true\n")
    assert found is not None
    assert found.bottled == bool(bottles)
    assert found.best_if_kept == kept.best.id
    costs = {option.id: option.net_present_cost for option in kept.options}
    before = advise(folder, bottles)
    gain = costs["keep"] - costs[before.best.id]
    assert found.saving_if_kept == pytest.approx(gain, abs=CENT)
    worth = found.charge_worth - found.leaving_gas
    assert found.saving - found.saving_if_kept == pytest.approx(worth, abs=CENT)
    assert worth > 100.0
    assert kept.last_gas is None


def test_the_charge_is_that_of_the_waterfall(untold) -> None:
    steps = {step.key: step.amount for step in untold.best.waterfall.steps}
    assert untold.last_gas.charge_worth == pytest.approx(-steps["gas_supply"], abs=CENT)
    assert untold.last_gas.leaving_gas == pytest.approx(steps["leaving_gas"], abs=CENT)


@pytest.mark.parametrize(
    "told",
    [
        "[gas]\nother_use_mj = 0.0\n",
        "[constraints]\nno_gas = true\n",
        "[constraints]\nkeep_gas = false\n",
    ],
)
def test_nothing_is_assumed_where_the_case_says_it(told: str, folder: Path) -> None:
    assert advise(folder, told).last_gas is None


def test_it_is_told_under_the_headline_and_in_the_data(untold) -> None:
    told = " ".join(after_headline(untold))
    assert "It is assumed that hot water is the last use of gas" in told
    assert "If you also cook or heat with gas, it saves about $" in told
    (saves,) = re.findall(r"heater it saves (\$[\d,]+)", told)
    assert re.findall(r", not (\$[\d,]+)", told) == [saves]
    data = json.loads(json.dumps(service.answer_as_json(untold), default=str))
    assert data["last_gas"]["charge_worth"] == untold.last_gas.charge_worth


def test_what_comes_first_instead_is_named(untold) -> None:
    other = replace(untold.last_gas, best_if_kept="x", label_if_kept="Y", saving_if_kept=-120.0)
    (_, told) = last_gas_sentences(replace(untold, last_gas=other))
    assert told.endswith(
        "it costs about $120 more than keeping today's heater, and this comes first: Y."
    )
