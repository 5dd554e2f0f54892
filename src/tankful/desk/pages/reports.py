"""The household's report, and the adviser's name and looks on it."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from urllib.parse import urlencode

from starlette.responses import Response

from tankful.desk.check import Checked
from tankful.desk.easel import Order, is_same
from tankful.desk.leftovers import clear_if_gone, reports_root
from tankful.desk.pages.cases import look
from tankful.desk.press import Printed
from tankful.desk.reckoner import Reckoner
from tankful.desk.sheets import make_room, state_now
from tankful.desk.shelf import MOST_BYTES, Report, name_of, put_by, take, take_newest
from tankful.desk.store import clients, works
from tankful.desk.store.fold import file_name
from tankful.desk.store.record import note
from tankful.desk.store.settings import get_brand
from tankful.desk.store.tables import now
from tankful.desk.store.works import Work
from tankful.desk.studio import Studio
from tankful.desk.turns import Task
from tankful.desk.visit import Visit
from tankful.errors import Fault, MissingError, TankfulError

KINDS = {"pdf": "application/pdf", "html": "text/html; charset=utf-8"}
SIZES = {"full": "report", "short": "brief"}
"""What the page calls a report, and the kind of order that makes it."""
POLICY = (
    "sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'self'"
)
"""A report is one file with its style and pictures inside; it may run and load nothing."""


@dataclass(frozen=True)
class Desired:
    """A report of one size as the page shows it: what there is, and what is under way. ``state``
    is that of the case now and ``order`` would make its report; none while it has faults."""

    work: Work
    seen: Checked
    size: str
    state: str
    order: Order | None
    report: Report | None
    stale: bool
    task: Task | None

    @property
    def running(self) -> bool:
        return self.task is not None and not self.task.over

    @property
    def outrun(self) -> bool:
        """Whether what is under way is of another state of the case than now."""
        return self.running and not self._is_of_now

    @property
    def _is_of_now(self) -> bool:
        return bool(self.task and self.order and is_same(self.task.order, self.order))

    @property
    def fault(self) -> TankfulError | None:
        return self.task.fault if self.task and self._is_of_now else None

    @property
    def can_start(self) -> bool:
        return bool(self.state) and (self.report is None or self.stale) and not self.running

    @property
    def stage(self) -> str:
        """The step that is under way, without how far it is."""
        return self.task.told.what.partition(":")[0] if self.task else ""

    def query(self, **more: str) -> str:
        """The address of this report behind its case's."""
        return f"report/part?{urlencode({'size': self.size, **more})}"

    def file(self, kind: str, **more: str) -> str:
        """The address of one of its files behind its case's."""
        assert self.report is not None
        which = {"size": self.size, "state": self.report.state, "name": self.report.name}
        return f"report/{kind}?{urlencode({**which, **more})}"


def show(visit: Visit) -> Response:
    """The page of a report: of the size that is asked for, or else of the one that is there or
    under way; without any it is a choice between the two. None is begun unasked."""
    asked = visit.asked("size")
    found = [_desired(visit, size) for size in ((asked,) if asked else SIZES)]
    chosen = next((one for one in found if asked or one.report or one.task), None)
    desired = chosen or found[0]
    with visit.reads() as db:
        client = clients.get_client(db, desired.work.client_id)
    return visit.page(
        "report.html",
        client=client,
        chosen=chosen is not None,
        desired=desired,
        work=desired.work,
        said="",
        lost=False,
    )


def show_part(visit: Visit) -> Response:
    """The report anew. ``go`` begins it (``first``: from the choice between the two, which the
    report's own page takes the place of), ``stop`` calls it off, ``watch`` asks how far it is,
    ``know`` whether the case is still in the state that the page knows."""
    if not visit.is_fragment:
        return visit.go(f"/cases/{visit.id()}/report")
    asked = visit.request.query_params
    desired = _desired(visit, asked.get("size", "full"))
    if asked.get("stop"):
        _studio(visit).call_off(visit.who, desired.work.id, SIZES[desired.size])
        desired = replace(desired, task=None)
    elif asked.get("go") and desired.can_start:
        desired = _begun(visit, desired)
    if asked.get("first"):
        return visit.go(f"/cases/{visit.id()}/report?size={desired.size}")
    watching = bool(asked.get("watch"))
    if watching and desired.running:
        told = "" if asked.get("heard") == desired.stage else desired.stage
        response = visit.page("report_progress.html", desired=desired, told=told, anew=True)
        response.headers["HX-Reswap"] = "none"  # its parts find their places themselves
        return response
    if "know" in asked and asked["know"] == desired.state:
        return Response(status_code=204)
    lost = watching and desired.can_start and not desired.fault and not desired.stale
    said = "The report was called off." if asked.get("stop") else _said(desired)
    return visit.page("report_part.html", desired=desired, work=desired.work, said=said, lost=lost)


def _said(desired: Desired) -> str:
    if desired.running:
        return ""
    if desired.report is None:
        return "The report is not made."
    return "The report is of an earlier state." if desired.stale else "The report is ready."


def file(visit: Visit) -> Response:
    """One file of a report that was made."""
    kind, asked = str(visit.request.path_params["kind"]), visit.request.query_params
    if kind not in KINDS:
        raise MissingError("There is no such report.", [Fault("", "no such kind", kind[:20])])
    state, name = (re.sub(r"[^a-z0-9-]", "", asked.get(key, "")) for key in ("state", "name"))
    report = take(reports_root(visit.id()), state, name) if state and name else None
    try:
        content = report.read(kind) if report else None
    except OSError:  # cleared away for newer ones
        content = None
    if content is None:
        return visit.go(f"/cases/{visit.id()}/report")
    saved = kind == "pdf" or asked.get("save") == "1"
    with visit.db() as db:
        work = works.get_work(db, visit.id())
        client = clients.get_client(db, work.client_id)
        if saved:
            note(db, visit.who, f"took the report as {kind}", work.id)
    words = file_name(client.name, work.title, "report", otherwise="report")
    how = "attachment" if saved else "inline"
    headers = {
        "content-disposition": f'{how}; filename="{words}.{kind}"',
        "content-security-policy": POLICY,
    }
    return Response(content, media_type=KINDS[kind], headers=headers)


def _desired(visit: Visit, size: str) -> Desired:
    if size not in SIZES:
        raise MissingError("There is no such report.", [Fault("size", "no such size", size[:20])])
    with visit.reads() as db:
        work = works.get_work(db, visit.id())
        seen, _ = look(db, work)
        brand = get_brand(db)
    state, root, kind = state_now(seen), reports_root(work.id), SIZES[size]
    order = Order(seen.toml, seen.loaded.path.parent, kind, brand=brand) if seen.loaded else None
    task = _studio(visit).task(visit.who, work.id, kind, order)  # first: it may end meanwhile
    report = take(root, state, name_of(size, brand)) if state else None
    older = None if report else take_newest(root, size)
    stale = report is None and older is not None
    return Desired(work, seen, size, state, order, report or older, stale, None if report else task)


def _begun(visit: Visit, desired: Desired) -> Desired:
    """Have it made."""
    work, order = desired.work, desired.order
    assert order is not None
    reckoner: Reckoner = visit.desk.kept["reckoner"]
    known = reckoner.whole_answer(work.id, order.toml)

    def keep(made: Printed) -> None:
        name = name_of(desired.size, order.brand)
        put_by(reports_root(work.id), desired.state, name, made, work.number, now())
        make_room(reports_root(work.id).parent, MOST_BYTES)
        clear_if_gone(visit.desk.engine, work.id)

    studio = _studio(visit)
    studio.ask(visit.who, work.id, replace(order, answer=known), keep)
    return replace(desired, task=studio.task(visit.who, work.id, order.kind, order))


def _studio(visit: Visit) -> Studio:
    studio: Studio = visit.desk.kept["studio"]
    return studio
