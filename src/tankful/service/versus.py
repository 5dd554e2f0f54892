"""Two cases beside each other: what they say otherwise, and what comes of it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tankful.advice.compare import Progress
from tankful.advice.headline import headline
from tankful.advice.versus import versus
from tankful.advice.wording import lead
from tankful.casefile.differing import differing
from tankful.casefile.load import LoadedCase, load_case
from tankful.casefile.resolve import resolve
from tankful.casefile.typed import typed_of_toml
from tankful.errors import TankfulError
from tankful.model.answer import Answer
from tankful.model.versus import CasesCompared, OptionPair, Versus
from tankful.service.answers import study_case
from tankful.service.homes import silent

WHICH = ("first case", "second case")


def compare_cases(first: Path, second: Path, progress: Progress = silent) -> CasesCompared:
    """Two case files and their answers beside each other. Raises the faults of both at once."""
    one, other = _both(first, second)
    answers = [
        study_case(loaded, of_one(progress, which)).answer
        for which, loaded in enumerate((one, other))
    ]
    return compared((one, answers[0]), (other, answers[1]), _names(first, second))


Answered = tuple[LoadedCase, Answer]
"""A sound case with its answer."""


def compared(first: Answered, second: Answered, names: tuple[str, str]) -> CasesCompared:
    """What two answered cases say otherwise, and what comes of it; ``names`` is what the words
    call them."""
    (one, answer), (other, other_answer) = first, second
    typed = [typed_of_toml(case.text, str(case.path)) for case in (one, other)]
    folders = one.path.parent, other.path.parent
    entered = differing(typed[0], typed[1], folders)
    return CasesCompared(entered, versus(answer, other_answer, names))


def of_one(progress: Progress, which: int) -> Progress:
    """The progress of one case (0 or 1) among two."""

    def told(done: int, total: int, what: str) -> None:
        progress(which * total + done, 2 * total, f"{WHICH[which]}: {what}")

    return told


def _both(first: Path, second: Path) -> tuple[LoadedCase, LoadedCase]:
    """Both cases, each looked through with the files that it names."""
    found: dict[Path, LoadedCase] = {}
    errors: list[TankfulError] = []
    for path in dict.fromkeys((first, second)):
        try:
            found[path] = load_case(path)
            resolve(found[path])
        except TankfulError as error:
            errors.append(error)
    if errors:
        raise _together(errors)
    return found[first], found[second]


def _together(errors: list[TankfulError]) -> TankfulError:
    """The faults of one case, or of both."""
    if len(errors) == 1:
        return errors[0]
    faults = [fault for error in errors for fault in error.faults]
    return type(errors[0])(f"{len(faults)} things to mend in the two case files.", faults)


def _names(first: Path, second: Path) -> tuple[str, str]:
    """The files' names, in full where these are the same."""
    if first.name != second.name:
        return first.name, second.name
    return str(first), str(second)


def compared_as_json(found: CasesCompared) -> dict[str, Any]:
    """The comparison as plain data; each pair is the first's, then the second's."""
    versus = found.versus
    return {
        "cases": [_case(versus, which) for which in (0, 1)],
        "best_changes": versus.best_changes,
        "sentences": versus.sentences,
        "remarks": versus.remarks,
        "entered_differently": [vars(item) for item in found.differing],
        "options": [_option(pair) for pair in versus.pairs],
    }


def _case(versus: Versus, which: int) -> dict[str, Any]:
    answer: Answer = versus.answers[which]
    return {
        "name": versus.names[which],
        "case_name": answer.case_name,
        "as_of": answer.as_of,
        "currency": answer.currency,
        "horizon_years": answer.horizon_years,
        "best": answer.best.id,
        "tied": [option.id for option in answer.tied],
        "lead": lead(answer) if answer.options[1:] else None,
        "headline": " ".join(headline(answer)),
    }


def _option(pair: OptionPair) -> dict[str, Any]:
    both = (pair.first, pair.second)
    return {
        "id": pair.id,
        "label": pair.label,
        "rank": [option and option.rank for option in both],
        "net_present_cost": [option and option.net_present_cost for option in both],
        "difference": pair.gap,
        "why_missing": pair.why_missing,
    }
