"""Whole homes for the laws of a year, each made once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import pytest

from tankful import service
from tankful.advice.option import Option
from tankful.advice.options import build_options
from tankful.model.home import Home
from tankful.model.result import Flows, YearSums
from tankful.model.system import Control, WaterHeater
from tankful.simulate.drive import HomeYear, home_year
from tankful.simulate.run import simulate, year_sums


@dataclass(frozen=True)
class Place:
    """A home, its year on the kernel's steps, and its options by id."""

    home: Home
    year: HomeYear
    options: dict[str, Option]

    def flows(self, heater: WaterHeater, control: Control | None = None) -> Flows:
        return simulate(heater if control is None else heater.under(control), self.year)

    def sums(self, heater: WaterHeater, control: Control | None = None) -> YearSums:
        return year_sums(self.flows(heater, control), self.year)

    def heater(self, family: str) -> WaterHeater:
        """A new heater of a family."""
        found = self.home.equipment[family].heater
        assert found is not None
        return found


@pytest.fixture(scope="session")
def place(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Place]:
    """Makes a home of a case's text, a postcode and a step, a quarter hour unless said."""

    @cache
    def make(text: str = "", postcode: str = "2000", step_min: int = 15) -> Place:
        path = tmp_path_factory.mktemp("home") / "home.toml"
        start = f"as_of = 2026-11-25\n[simulation]\nstep_min = {step_min}\n"
        path.write_text(f'{start}[place]\npostcode = "{postcode}"\n{text}')
        home = service.load_home(path)
        options, _ = build_options(home)
        return Place(home, home_year(home), {option.id: option for option in options})

    return make
