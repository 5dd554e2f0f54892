"""Draws the pictures of a case, in a process of its own that keeps the case at hand."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from tankful.desk.lane import Done, Progress
from tankful.errors import CaseError, Fault

if TYPE_CHECKING:
    from tankful.advice.along import Landscape
    from tankful.casefile.load import LoadedCase
    from tankful.desk.pictures.sheet import Sheet
    from tankful.model.answer import Answer
    from tankful.service.scene import Scene

CASES_KEPT = 2
"""In each process; a case takes some 50 MB."""

QUICK = ("choices", "one", "day")
LONG = ("flips", "map", "futures")
AXES = {"--x": "Along", "--y": "Up"}
"""What the page calls the inputs of a map."""
DRAWS = 200
"""Futures that are tried."""


@dataclass(frozen=True)
class Order:
    """Pictures to draw of a case: their kind and what was chosen for them. ``answer`` spares
    the search where it is known."""

    toml: str
    folder: Path
    kind: str
    chosen: tuple[tuple[str, str], ...] = ()
    answer: Answer | None = None


Case = tuple[str, Path]
Kept = TypeVar("Kept")
_scenes: OrderedDict[Case, Scene] = OrderedDict()
_grounds: OrderedDict[Case, Landscape] = OrderedDict()


def drawn(order: Order, progress: Progress) -> Done:
    """Draw what was ordered. Raises what is wrong with the case or the choice."""
    return Done(sheet=_sheet(order, progress))


def _sheet(order: Order, progress: Progress) -> Sheet:
    from tankful.desk.pictures import days, options

    chosen = dict(order.chosen)
    if order.kind in LONG:
        return _doubt(order, chosen, progress)
    scene = _kept(_scenes, order, partial(_scene, order, progress))
    progress(1, 1, "drawing")
    if order.kind == "choices":
        return options.answer_sheet(scene)
    if order.kind == "one":
        return options.option_sheet(scene, chosen["option"])
    shown = [chosen[name] for name in ("option", "beside") if chosen.get(name)]
    return days.day_sheet(scene, list(dict.fromkeys(shown)), chosen["date"])


def _doubt(order: Order, chosen: dict[str, str], progress: Progress) -> Sheet:
    from tankful.advice.flips import find_flips
    from tankful.advice.futures import find_futures
    from tankful.desk.pictures import doubt, land
    from tankful.service import what_if

    ground = _kept(_grounds, order, lambda: what_if.ground(_loaded(order), progress))
    if order.kind == "flips":
        return doubt.flips_sheet(find_flips(ground, progress))
    if order.kind == "futures":
        return doubt.futures_sheet(find_futures(ground, draws=DRAWS, seed=1, progress=progress))
    names = {option.id: option.label for option in ground.fine.options}
    try:
        found = what_if.map_on(ground, chosen["x"], chosen["y"], progress=progress)
    except CaseError as error:
        raise CaseError(error.message, [_at_the_page(fault) for fault in error.faults]) from None
    return land.map_sheet(found, names)


def _at_the_page(fault: Fault) -> Fault:
    """A fault of a map in the words of its controls."""
    problem = fault.problem
    for name, words in AXES.items():
        problem = problem.replace(name, f"“{words}”")
    return replace(fault, field=AXES.get(fault.field, ""), problem=problem)


def _loaded(order: Order) -> LoadedCase:
    from tankful.casefile.load import check_text
    from tankful.desk.check import CASE_NAME

    return check_text(order.toml, order.folder / CASE_NAME)


def _scene(order: Order, progress: Progress) -> Scene:
    from tankful.service import study_case
    from tankful.service.scene import scene_again, scene_of

    if order.answer is not None:
        progress(0, 1, "reading the case and the weather")
        return scene_again(_loaded(order), order.answer)
    return scene_of(study_case(_loaded(order), progress))


def _kept(store: OrderedDict[Case, Any], order: Order, make: Callable[[], Kept]) -> Kept:
    """What is at hand of a case, or is made now in the place of the case used least lately."""
    case = (order.toml, order.folder)
    if case not in store:
        store[case] = make()
    store.move_to_end(case)
    while len(store) > CASES_KEPT:
        store.popitem(last=False)
    found: Kept = store[case]
    return found
