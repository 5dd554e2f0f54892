"""Draws the pictures of a case and makes its report, in a process of its own that keeps the case
at hand."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from tankful.desk.lane import Done, Progress
from tankful.errors import CaseError, Fault, TankfulError

if TYPE_CHECKING:
    from tankful.advice.along import Landscape
    from tankful.casefile.load import LoadedCase
    from tankful.desk.pictures.sheet import Sheet
    from tankful.desk.store.settings import Brand
    from tankful.model.answer import Answer
    from tankful.model.whatif import Flips, Futures
    from tankful.service.scene import Scene

CASES_KEPT = 2
"""In each process; a case takes some 50 MB."""

QUICK = ("choices", "one", "day", "brief", "compare")
LONG = ("flips", "map", "futures", "report")
REPORTS = ("brief", "report")
CONTROLS = {"--x": "Along", "--y": "Up", "option": "Option", "date": "Day"}
"""What the page calls what is chosen for a picture."""
DRAWS, SEED = 200, 1
"""Futures that are tried: the same for the pictures and the report."""


@dataclass(frozen=True)
class Order:
    """What to make of a case: the kind of pictures and what was chosen for them, or a report with
    the adviser's ``brand``. ``answer`` spares the search where it is known. ``beside`` is the case
    that it is compared with."""

    toml: str
    folder: Path
    kind: str
    chosen: tuple[tuple[str, str], ...] = ()
    answer: Answer | None = None
    brand: Brand | None = None
    beside: Order | None = None

    @property
    def bare(self) -> Order:
        """What is wanted, whether or not the answers are known."""
        return replace(self, answer=None, beside=self.beside and self.beside.bare)


def is_same(one: Order, other: Order) -> bool:
    """The same to be made, whether or not the answer was known."""
    return one.bare == other.bare


Case = tuple[str, Path]
Kept = TypeVar("Kept")
_scenes: OrderedDict[Case, Scene] = OrderedDict()
_grounds: OrderedDict[Case, Landscape] = OrderedDict()
_flips: OrderedDict[Case, Flips] = OrderedDict()
_futures: OrderedDict[Case, Futures] = OrderedDict()


def drawn(order: Order, progress: Progress) -> Done:
    """Make what was ordered. Raises what is wrong with the case or the choice."""
    if order.kind in REPORTS:
        from tankful.desk.press import printed

        return Done(report=printed(order, progress))
    return Done(sheet=_sheet(order, progress))


def _sheet(order: Order, progress: Progress) -> Sheet:
    chosen = dict(order.chosen)
    try:
        if order.beside is not None:
            return _pair(order, order.beside, (chosen["first"], chosen["second"]), progress)
        draw = _doubt if order.kind in LONG else _sight
        return draw(order, chosen, progress)
    except CaseError as error:
        raise CaseError(error.message, [_at_the_page(fault) for fault in error.faults]) from None


def _sight(order: Order, chosen: dict[str, str], progress: Progress) -> Sheet:
    from tankful.desk.pictures import days, options

    scene = scene_at_hand(order, progress)
    progress(1, 1, "drawing")
    if order.kind == "choices":
        return options.answer_sheet(scene)
    if order.kind == "one":
        return options.option_sheet(scene, chosen["option"])
    shown = [chosen[name] for name in ("option", "beside") if chosen.get(name)]
    return days.day_sheet(scene, list(dict.fromkeys(shown)), chosen["date"])


def _doubt(order: Order, chosen: dict[str, str], progress: Progress) -> Sheet:
    from tankful.desk.pictures import doubt, land
    from tankful.service import what_if

    if order.kind == "flips":
        return doubt.flips_sheet(flips_at_hand(order, progress))
    if order.kind == "futures":
        return doubt.futures_sheet(futures_at_hand(order, progress))
    ground = ground_at_hand(order, progress)
    names = {option.id: option.label for option in ground.fine.options}
    found = what_if.map_on(ground, chosen["x"], chosen["y"], progress=progress)
    return land.map_sheet(found, names, land.gap_today(ground))


def _pair(one: Order, other: Order, names: tuple[str, str], progress: Progress) -> Sheet:
    """A case beside another, whose names come along."""
    from tankful.desk.pictures.pair import pair_sheet
    from tankful.service import versus

    answered = []
    for which, order in enumerate((one, other)):
        told = versus.of_one(progress, which)
        try:
            answer = order.answer or scene_at_hand(order, told).answer
        except TankfulError as error:
            raise type(error)(f"“{names[which]}”: {error.message}", error.faults) from None
        answered.append((loaded_case(order), answer))
    progress(1, 1, "comparing")
    return pair_sheet(versus.compared(answered[0], answered[1], names))


def _at_the_page(fault: Fault) -> Fault:
    """A fault of what was chosen, in the words of the page's controls."""
    problem = fault.problem
    for name in ("--x", "--y"):
        problem = problem.replace(name, f"“{CONTROLS[name]}”")
    known = replace(fault, field=CONTROLS.get(fault.field, fault.field), problem=problem)
    if fault.field != "option":
        return known
    mend = "open this page again, the case has changed meanwhile"
    return replace(known, value="", allowed="", mend=mend)


def loaded_case(order: Order) -> LoadedCase:
    """The case of an order."""
    from tankful.casefile.load import check_text
    from tankful.desk.check import CASE_NAME

    return check_text(order.toml, order.folder / CASE_NAME)


def scene_at_hand(order: Order, progress: Progress) -> Scene:
    """The answered home."""
    from tankful.service import study_case
    from tankful.service.scene import scene_again, scene_of

    def make() -> Scene:
        if order.answer is None:
            return scene_of(study_case(loaded_case(order), progress))
        progress(0, 1, "reading the case and the weather")
        return scene_again(loaded_case(order), order.answer)

    return _kept(_scenes, order, make)


def ground_at_hand(order: Order, progress: Progress) -> Landscape:
    """Its options, ready for flips, maps and futures."""
    from tankful.service import what_if

    def make() -> Landscape:
        if order.answer is None:
            return what_if.ground(loaded_case(order), progress)
        return what_if.ground_again(loaded_case(order), order.answer, progress)

    return _kept(_grounds, order, make)


def flips_at_hand(order: Order, progress: Progress) -> Flips:
    """What would turn its answer."""
    from tankful.advice.flips import find_flips

    return _kept(_flips, order, lambda: find_flips(ground_at_hand(order, progress), progress))


def futures_at_hand(order: Order, progress: Progress) -> Futures:
    """Its options in many futures."""
    from tankful.advice.futures import find_futures

    def make() -> Futures:
        ground = ground_at_hand(order, progress)
        return find_futures(ground, draws=DRAWS, seed=SEED, progress=progress)

    return _kept(_futures, order, make)


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
