"""The list of clients, and one client with the cases."""

from __future__ import annotations

import re
import secrets
from pathlib import Path

import sqlalchemy as sa
from starlette.responses import Response

from tankful.casefile.quantities import says_none
from tankful.casefile.read import MAX_BYTES, decoded, printable
from tankful.casefile.typed import Typed, field_at, typed_of_toml
from tankful.desk.form import Source, item_at
from tankful.desk.layout import FIRST_ANSWERS, FIRST_PANELS
from tankful.desk.pages.moved import Wish, told
from tankful.desk.store import clients, works
from tankful.desk.store.clients import LONGEST_NAME
from tankful.desk.store.jottings import read_jottings
from tankful.desk.store.moved import MovedError
from tankful.desk.store.record import recent
from tankful.desk.store.removal import DELETED
from tankful.desk.store.saves import KINDS
from tankful.desk.store.tables import STATES
from tankful.desk.store.uploads import copy_uploads
from tankful.desk.visit import Visit
from tankful.errors import CaseError, Fault
from tankful.model.fields import field_row

FIRST_TITLE = "Hot water"


def show_list(visit: Visit) -> Response:
    """Every client, found by words of name and contact and by the state of the work."""
    words, state = visit.asked("q")[:200], visit.asked("state")
    archived = visit.asked("archived") == "1"
    with visit.reads() as db:
        found = clients.find_clients(db, words, state, archived=archived)
        gone = recent(db, DELETED) if archived else []
    return visit.page(
        "clients.html",
        clients=found[: clients.LIST_AT_MOST],
        more=len(found) > clients.LIST_AT_MOST,
        words=words,
        state_now=state,
        states=STATES,
        archived=archived,
        gone=gone,
        at_most=clients.LIST_AT_MOST,
        first=[(words, item_at(path, Source({}, {}))) for path, words in FIRST_ANSWERS.items()],
    )


def add(visit: Visit) -> Response:
    """A new client with a first case from a few answers; the case opens."""
    typed = {path: visit.form.get(path, "").strip() for path in FIRST_ANSWERS}
    panels = field_at(FIRST_PANELS)
    assert panels is not None
    if says_none(typed[FIRST_PANELS], field_row(FIRST_PANELS, panels)):
        del typed[FIRST_PANELS]
    with visit.db() as db:
        client_id = clients.add_client(db, visit.form.get("client", ""), visit.who)
        work_id = _add_work(db, visit, client_id, FIRST_TITLE, typed)
    return visit.go(f"/cases/{work_id}")


def _add_work(db: sa.Connection, visit: Visit, client_id: str, title: str, typed: Typed) -> str:
    """A case named after its client unless it names itself."""
    typed = {path: text for path, text in typed.items() if text}
    typed.setdefault("name", clients.get_client(db, client_id).name)
    return works.add_work(db, client_id, title, typed, visit.who)


def show(visit: Visit) -> Response:
    """One client: cases, what is written down, name, what was done."""
    with visit.reads() as db:
        client = clients.get_client(db, visit.id())
        cases = works.list_works(db, client.id)
        jotted = read_jottings(db, client.id)
        lines = recent(db, client.id, but=KINDS)
    return visit.page(
        "client.html",
        client=client,
        cases=cases,
        jotted=jotted,
        lines=lines,
        window=secrets.token_hex(8),
    )


def rename(visit: Visit) -> Response:
    name = visit.form.get("client", "")
    try:
        with visit.db() as db:
            clients.rename_client(db, visit.id(), name, visit.form.get("was", ""), visit.who)
    except MovedError as moved:
        return told(visit, moved, Wish("name", "client", name))
    return visit.go(f"/clients/{visit.id()}")


def archive(visit: Visit) -> Response:
    with visit.db() as db:
        clients.archive_client(db, visit.id(), visit.form.get("archived") == "1", visit.who)
    return visit.go(f"/clients/{visit.id()}")


def add_case(visit: Visit) -> Response:
    """Another case, empty or with what an earlier one says, and its files."""
    like, title = visit.form.get("like", ""), visit.form.get("title", "")
    with visit.db() as db:
        typed = works.get_work(db, like).typed if like else {}
        work_id = _add_work(db, visit, visit.id(), title, typed)
        if like:
            copy_uploads(db, like, work_id, visit.who)
    return visit.go(f"/cases/{work_id}")


def take_in(visit: Visit) -> Response:
    """A case file becomes a case of the client."""
    title, typed = _brought(visit)
    with visit.db() as db:
        work_id = _add_work(db, visit, visit.id(), title, typed)
    return visit.go(f"/cases/{work_id}")


def take_in_anew(visit: Visit) -> Response:
    """A case file becomes a new client of the name that it gives, or else that of the file."""
    title, typed = _brought(visit)
    with visit.db() as db:
        name = typed.get("name", "")[:LONGEST_NAME].strip() or title
        client_id = clients.add_client(db, name, visit.who)
        work_id = _add_work(db, visit, client_id, FIRST_TITLE, typed)
    return visit.go(f"/cases/{work_id}")


def _in_the_file(fault: Fault) -> Fault:
    """A fault of a case file that came along: who mends it reads the file, not the form."""
    words = (str(fault.value), str(fault.allowed), str(fault.mend))
    problem = f"{fault.field}: {fault.problem}" if fault.field else str(fault.problem)
    return Fault("", problem, *words, fault.line, fault.file)


def _brought(visit: Visit) -> tuple[str, Typed]:
    """A case file that came along: a title from its name, and what it says."""
    file = visit.files.get("file")
    if file is None or not file.filename:
        raise CaseError("No file was chosen.", [Fault("file", "missing", mend="choose a file")])
    raw = file.file.read(MAX_BYTES + 1)
    name = printable(re.split(r"[/\\]", file.filename)[-1])
    try:
        typed = typed_of_toml(decoded(raw, Path(name)), name)
    except CaseError as error:
        raise CaseError(error.message, [_in_the_file(fault) for fault in error.faults]) from None
    title = name.strip().removesuffix(".toml").strip()[:LONGEST_NAME] or FIRST_TITLE
    return title, typed
