"""The pictures of a case: kept ones at once, others drawn while the page is open."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from starlette.responses import Response

from tankful.desk.check import Checked
from tankful.desk.easel import QUICK, Order
from tankful.desk.leftovers import clear_if_gone, pictures_root
from tankful.desk.pages.cases import look
from tankful.desk.pictures.sheet import Sheet
from tankful.desk.reckoner import Reckoner
from tankful.desk.sheets import (
    MOST_BYTES,
    Chosen,
    Kept,
    find,
    find_newest,
    keep,
    make_room,
    state_now,
)
from tankful.desk.store import clients, works
from tankful.desk.store.tables import now
from tankful.desk.store.works import Work
from tankful.desk.studio import Studio
from tankful.desk.turns import Task
from tankful.desk.visit import Visit
from tankful.errors import Fault, MissingError, TankfulError

TITLES = {
    "choices": "The options side by side",
    "one": "One option, close up",
    "day": "Any day of the year",
    "flips": "What would turn the answer",
    "map": "Which option wins where",
    "futures": "In other futures",
}
ABOUT = {
    "choices": "",
    "one": "How its cost comes about, what heats the water month by month, and the bills.",
    "day": "Sun, house, heater, tank and taps by the clock, as they were simulated.",
    "flips": "How far each input may go, all else as it is, before another option is ahead.",
    "map": "Two inputs at once. Move the pointer to read out what wins and by how much. Prices "
    "are settled in a few seconds; use, panels and yields are simulated and take longer.",
    "futures": "Two hundred draws of prices, weather, use and lives of heaters.",
}
ASKS = {"one": ("option",), "day": ("option", "beside", "date"), "map": ("x", "y")}
"""What is chosen for a picture."""
TAKES = {
    "flips": "about 8 seconds when nothing else runs",
    "map": "a few seconds",
    "futures": "about 15 seconds when nothing else runs",
}
"""How long what is not drawn at once takes on an ordinary computer (bench/RESULTS.md)."""
LONGEST = 60


@dataclass(frozen=True)
class Case:
    """A case as it is now, and where its sheets lie. ``state`` is empty while it has faults."""

    work: Work
    seen: Checked
    root: Path
    state: str

    def order(self, kind: str, chosen: Chosen) -> Order | None:
        """What would draw a picture of it; ``None`` while it has faults."""
        loaded = self.seen.loaded
        return Order(self.seen.toml, loaded.path.parent, kind, chosen) if loaded else None


@dataclass(frozen=True)
class Part:
    """One kind of picture on the page: what there is, and what is under way."""

    kind: str
    chosen: Chosen
    kept: Kept | None
    stale: bool
    task: Task | None
    can_start: bool

    @property
    def title(self) -> str:
        return TITLES[self.kind]

    @property
    def about(self) -> str:
        return ABOUT[self.kind]

    @property
    def takes(self) -> str:
        return TAKES.get(self.kind, "a moment")

    @property
    def running(self) -> bool:
        return self.task is not None and not self.task.over

    @property
    def fault(self) -> TankfulError | None:
        return self.task.fault if self.task else None

    @property
    def values(self) -> dict[str, str]:
        return dict(self.chosen)

    def query(self, **more: str) -> str:
        """The address of this part behind its case's."""
        return f"{self.kind}?{urlencode([*self.chosen, *more.items()])}"


def show(visit: Visit) -> Response:
    """The page: what is kept at once; what takes but a moment is begun."""
    case = _case(visit)
    with visit.reads() as db:
        client = clients.get_client(db, case.work.client_id)
    choices = _opened(visit, case, "choices", ())
    facts = choices.kept.sheet.facts if choices.kept else {}
    parts = [choices]
    for kind in list(TITLES)[1:] if facts else ():
        chosen = _last_chosen(case, kind) or _usual(kind, facts)
        begins = kind in QUICK and not choices.stale
        parts.append((_opened if begins else _part)(visit, case, kind, chosen))
    return visit.page(
        "pictures.html",
        client=client,
        work=case.work,
        faults=case.seen.faults,
        parts=parts,
        facts=facts,
        said="",
    )


def show_part(visit: Visit) -> Response:
    """One kind anew. ``go`` begins what takes long, ``stop`` calls it off, ``watch`` asks how far
    it is."""
    kind = visit.id("kind")
    if kind not in TITLES:
        raise MissingError("There is no such picture.", [Fault("", "no such picture", kind[:30])])
    if not visit.is_fragment:
        return visit.go(f"/cases/{visit.id()}/pictures")
    case = _case(visit)
    asked = visit.request.query_params
    chosen = tuple((name, asked.get(name, "")[:LONGEST]) for name in ASKS.get(kind, ()))
    if asked.get("stop"):
        _studio(visit).call_off(visit.who, case.work.id, kind)
    elif (asked.get("go") or (kind in QUICK and not asked.get("watch"))) and _begins(
        case, kind, chosen
    ):
        _ask(visit, case, kind, chosen)
    part = _part(visit, case, kind, chosen)
    if asked.get("watch") and part.running:
        return visit.page("pictures_progress.html", part=part, work=case.work)
    return _whole(visit, case, part, watched=bool(asked.get("watch")))


def _whole(visit: Visit, case: Case, part: Part, *, watched: bool) -> Response:
    """A part with its pictures; once the options are there the page has more to show."""
    if part.kind == "choices" and watched and part.kept and not part.stale:
        return visit.go(f"/cases/{case.work.id}/pictures")
    said = ""
    if not part.running:
        said = f"{part.title}: " + ("ready" if part.kept and not part.stale else "not drawn") + "."
    response = visit.page("pictures_part.html", part=part, work=case.work, said=said)
    response.headers["HX-Retarget"] = f"#b-{part.kind}"
    response.headers["HX-Reswap"] = "outerHTML"
    return response


def _case(visit: Visit) -> Case:
    with visit.reads() as db:
        work = works.get_work(db, visit.id())
        seen, _ = look(db, work)
    return Case(work, seen, pictures_root(work.id), state_now(seen))


def _opened(visit: Visit, case: Case, kind: str, chosen: Chosen) -> Part:
    """A part that opening the page begins, unless it was called off."""
    part = _part(visit, case, kind, chosen)
    if part.task is not None and not part.running and not part.fault:
        return part
    if not _begins(case, kind, chosen):
        return part
    _ask(visit, case, kind, chosen)
    return _part(visit, case, kind, chosen)


def _part(visit: Visit, case: Case, kind: str, chosen: Chosen) -> Part:
    order = case.order(kind, chosen)
    task = _studio(visit).task(visit.who, case.work.id, kind, order)  # first: it may end meanwhile
    kept = find(case.root, case.state, kind, chosen) if case.state else None
    stale = kept is None
    if kept is None and (case.state == "" or find_newest(case.root, kind, case.state) is None):
        kept = find_newest(case.root, kind)
    # After a fault of what was chosen, other choices begin by themselves.
    waits = task is None or (task.over and (kind not in QUICK or task.fault is None))
    can_start = stale and bool(case.state) and waits
    return Part(kind, chosen, kept, stale and kept is not None, task if stale else None, can_start)


def _last_chosen(case: Case, kind: str) -> Chosen:
    """What was chosen for the newest sheet of this state of the case."""
    kept = find_newest(case.root, kind, case.state) if case.state else None
    return kept.chosen if kept else ()


def _usual(kind: str, facts: dict[str, Any]) -> Chosen:
    """What is shown before anybody has chosen."""
    usual = {"option": facts["best"], "beside": facts["beside"], "date": facts["days"][1]}
    usual |= dict(zip(("x", "y"), facts["axes"], strict=False))
    return tuple((name, usual.get(name, "")) for name in ASKS.get(kind, ()))


def _begins(case: Case, kind: str, chosen: Chosen) -> bool:
    return bool(case.state) and find(case.root, case.state, kind, chosen) is None


def _ask(visit: Visit, case: Case, kind: str, chosen: Chosen) -> None:
    order = case.order(kind, chosen)
    assert order is not None
    reckoner: Reckoner = visit.desk.kept["reckoner"]
    known = reckoner.whole_answer(case.work.id, order.toml)

    def keeps(sheet: Sheet) -> None:
        kept = Kept(sheet, chosen, case.work.number, now())
        keep(case.root, case.state, kind, kept)
        make_room(case.root.parent, MOST_BYTES)
        clear_if_gone(visit.desk.engine, case.work.id)

    _studio(visit).ask(visit.who, case.work.id, replace(order, answer=known), keeps)


def _studio(visit: Visit) -> Studio:
    studio: Studio = visit.desk.kept["studio"]
    return studio
