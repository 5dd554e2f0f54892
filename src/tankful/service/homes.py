"""A case file to a home with everything filled in, and its options weighed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tankful.advice.compare import Comparison, Progress, evaluate_all, ranked
from tankful.advice.fit import rule_out_simulated
from tankful.advice.option import Option
from tankful.advice.options import build_options
from tankful.advice.quotes import compare_quotes
from tankful.casefile.load import load_case
from tankful.casefile.resolve import resolve
from tankful.clock import FloatArray
from tankful.model.answer import Answer, Excluded, OptionResult
from tankful.model.home import Home
from tankful.model.quotes import QuotesCompared
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


@dataclass(frozen=True, eq=False)
class Weighed:
    """A home's options weighed: cheapest first, and those ruled out with their reasons."""

    comparison: Comparison
    options: tuple[Option, ...]
    """All that were simulated."""
    fitting: tuple[Option, ...]
    """Those that stayed after their year."""
    results: tuple[OptionResult, ...]
    excluded: tuple[Excluded, ...]
    quotes: tuple[QuotesCompared, ...]


def fitting_again(home: Home, answer: Answer) -> tuple[Option, ...]:
    """The options of an answer that is at hand, with all their controls."""
    ids = {option.id for option in answer.options}
    return tuple(option for option in build_options(home)[0] if option.id in ids)


def weigh(
    home: Home,
    progress: Progress,
    narrow: Callable[[tuple[Option, ...]], tuple[Option, ...]] = lambda options: options,
    *,
    other_sizes: bool = True,
) -> Weighed:
    """Simulate, settle and rank every option of a home; ``narrow`` may take controls away, and
    ``other_sizes`` of tanks may stay untried."""
    options, excluded = build_options(home)
    comparison = Comparison(home, other_sizes=other_sizes)
    evaluated = evaluate_all(comparison, narrow(options), progress)
    stayed, unfit = rule_out_simulated(home, evaluated)
    ids = {item.option.id for item in stayed}
    fitting = tuple(option for option in options if option.id in ids)
    results = ranked(home, stayed)
    quotes = compare_quotes(home, fitting, results)
    return Weighed(comparison, options, fitting, results, (*excluded, *unfit), quotes)
