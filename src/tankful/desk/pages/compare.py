"""Two cases of a client beside each other, compared while the page is open."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from urllib.parse import urlencode

import sqlalchemy as sa
from starlette.responses import Response

from tankful.desk.check import Checked
from tankful.desk.easel import Order, is_same
from tankful.desk.leftovers import clear_if_gone, pictures_root
from tankful.desk.pages.cases import look
from tankful.desk.pictures.sheet import Sheet
from tankful.desk.reckoner import Reckoner
from tankful.desk.sheets import MOST_BYTES, Chosen, Kept, find, keep, make_room, state_now
from tankful.desk.store import clients, works
from tankful.desk.store.clients import Client
from tankful.desk.store.tables import now
from tankful.desk.store.works import Work
from tankful.desk.studio import Studio
from tankful.desk.turns import Task
from tankful.desk.visit import Visit
from tankful.errors import Fault, MissingError, TankfulError

KIND = "compare"
WHICH = ("first", "second")


@dataclass(frozen=True)
class Side:
    """One of the two cases as it is now. ``state`` is empty while it has faults."""

    work: Work
    seen: Checked
    state: str
    name: str


@dataclass(frozen=True)
class Pair:
    """Two cases as the page shows them: what came of them, and what is under way."""

    first: Side
    second: Side
    kept: Kept | None
    task: Task | None

    @property
    def sides(self) -> tuple[Side, Side]:
        return self.first, self.second

    @property
    def is_sound(self) -> bool:
        return bool(self.first.state and self.second.state)

    @property
    def state(self) -> str:
        """A name for the states of both."""
        return f"{self.first.state}-{self.second.state}"

    @property
    def running(self) -> bool:
        return self.task is not None and not self.task.over

    @property
    def fault(self) -> TankfulError | None:
        return self.task.fault if self.task else None

    @property
    def can_start(self) -> bool:
        return self.is_sound and self.kept is None and not self.running

    @property
    def chosen(self) -> Chosen:
        """What tells this comparison from others of the first case."""
        beside = (("beside", self.second.work.id), ("state", self.second.state))
        return (*beside, *zip(WHICH, (self.first.name, self.second.name), strict=True))

    @property
    def key(self) -> str:
        """Names the pair among what is under way."""
        return f"{self.first.work.id}-{self.second.work.id}"

    def query(self, **more: str) -> str:
        """The address of the comparison behind its client's."""
        which = {"a": self.first.work.id, "b": self.second.work.id}
        return f"compare/part?{urlencode({**which, **more})}"


def show(visit: Visit) -> Response:
    """The page; what is not at hand is begun."""
    one, other = visit.asked("a"), visit.asked("b")
    with visit.reads() as db:
        client = clients.get_client(db, visit.id())
        cases = works.list_works(db, client.id)
        pair = _pair(visit, db, client, one, other) if one and other and one != other else None
    if pair and pair.can_start and not pair.task:
        pair = _begun(visit, pair)
    return visit.page(
        "compare.html",
        client=client,
        cases=cases,
        pair=(one, other),
        both=pair,
        same=bool(one) and one == other,
        said="",
    )


def show_part(visit: Visit) -> Response:
    """The comparison anew. ``go`` begins it, ``stop`` calls it off, ``watch`` asks how far it is,
    ``know`` whether both cases are still in the states that the page knows."""
    one, other = visit.asked("a"), visit.asked("b")
    if not visit.is_fragment or not one or not other or one == other:
        return visit.go(f"/clients/{visit.id()}/compare?{urlencode({'a': one, 'b': other})}")
    with visit.reads() as db:
        client = clients.get_client(db, visit.id())
        pair = _pair(visit, db, client, one, other)
    known, stopped = visit.asked("know"), visit.asked("stop") == "1"
    if known == pair.state:
        return Response(status_code=204)
    if stopped:
        _studio(visit).call_off(visit.who, pair.key, KIND)
        pair = _with_task(visit, pair)
    elif pair.can_start and (visit.asked("go") or (known and not pair.task)):
        pair = _begun(visit, pair)
    if visit.asked("watch") and pair.running:
        return visit.page("compare_progress.html", client=client, both=pair)
    said = "The comparison was called off." if stopped and not pair.kept else _said(pair)
    response = visit.page("compare_part.html", client=client, both=pair, said=said)
    response.headers["HX-Retarget"], response.headers["HX-Reswap"] = "#compared", "outerHTML"
    return response


def _said(pair: Pair) -> str:
    """What is read out of what the page now shows."""
    if pair.running:
        return ""
    return f"Compared. {' '.join(pair.kept.sheet.lead)}" if pair.kept else "Not compared."


def _pair(visit: Visit, db: sa.Connection, client: Client, one: str, other: str) -> Pair:
    """Two cases of a client. MissingError when one is not among them."""
    found = [_work_of(db, client, work_id) for work_id in (one, other)]
    same = found[0].title == found[1].title
    sides = []
    for work, which in zip(found, WHICH, strict=True):
        seen, _ = look(db, work)
        name = f"{work.title} ({which})" if same else work.title
        sides.append(Side(work, seen, state_now(seen), name))
    pair = _with_task(visit, Pair(sides[0], sides[1], None, None))  # first: it may end meanwhile
    if not pair.is_sound:
        return pair
    return replace(
        pair, kept=find(pictures_root(pair.first.work.id), pair.first.state, KIND, pair.chosen)
    )


def _work_of(db: sa.Connection, client: Client, work_id: str) -> Work:
    work = works.get_work(db, work_id)
    if work.client_id != client.id:
        fault = Fault("case", "is not a case of this client", work_id[:40], mend="go to the list")
        raise MissingError("There is no such case.", [fault])
    return work


def _with_task(visit: Visit, pair: Pair) -> Pair:
    """With what is under way for both cases as they are now, or what came of it."""
    if not pair.is_sound:
        return pair
    order = _order(visit, pair)
    task = _studio(visit).task(visit.who, pair.key, KIND, order)
    return replace(pair, task=task if task and is_same(task.order, order) else None)


def _order(visit: Visit, pair: Pair) -> Order:
    reckoner: Reckoner = visit.desk.kept["reckoner"]
    one, other = (
        Order(
            side.seen.toml,
            side.seen.loaded.path.parent if side.seen.loaded else Path(),
            KIND,
            pair.chosen,
            reckoner.whole_answer(side.work.id, side.seen.toml),
        )
        for side in pair.sides
    )
    return replace(one, beside=other)


def _begun(visit: Visit, pair: Pair) -> Pair:
    """Have the two compared; what comes of it lies with the pictures of the first."""
    root = pictures_root(pair.first.work.id)

    def keeps(sheet: Sheet) -> None:
        made = Kept(sheet, pair.chosen, pair.first.work.number, now())
        keep(root, pair.first.state, KIND, made)
        make_room(root.parent, MOST_BYTES)
        clear_if_gone(visit.desk.engine, pair.first.work.id)

    _studio(visit).ask(visit.who, pair.key, _order(visit, pair), keeps)
    return _with_task(visit, pair)


def _studio(visit: Visit) -> Studio:
    studio: Studio = visit.desk.kept["studio"]
    return studio
