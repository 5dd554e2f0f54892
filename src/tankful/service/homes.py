"""A case file to a home with everything filled in."""

from __future__ import annotations

from pathlib import Path

from tankful.casefile.load import load_case
from tankful.casefile.resolve import resolve
from tankful.clock import FloatArray
from tankful.model.home import Home
from tankful.simulate.drive import home_year
from tankful.simulate.run import simulate


def load_home(path: Path) -> Home:
    """Read a case file and fill in what it leaves open. Raises CaseError with every fault."""
    return resolve(load_case(path), heater_series=heater_today_w)


def heater_today_w(home: Home) -> FloatArray:
    """Electricity of today's heater on the general circuit [W], to take out of a meter."""
    return simulate(home.heater_today, home_year(home)).heater_w


def silent(done: int, total: int, what: str) -> None:
    """Progress that nobody watches."""
    return
