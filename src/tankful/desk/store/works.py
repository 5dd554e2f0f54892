"""Cases of a client: what was typed, how far the work has come, and every change so far."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import sqlalchemy as sa

from tankful.casefile.typed import Typed
from tankful.desk.store.clients import clean, get_client
from tankful.desk.store.moved import differs
from tankful.desk.store.record import note
from tankful.desk.store.tables import STATES, change, client, new_id, now, work
from tankful.errors import CaseError, Fault, MissingError, TooMuchError

LONGEST_TEXT = 4_000
MOST_TEXT = 400_000
"""Characters in one field, and in a whole case."""
HISTORY_AT_MOST = 200
"""Changes on one page of a case's history."""
STATE_LINE, TITLE_LINE = "state is now ", "renamed the case, which was "
"""How the lines of the record begin that tell who changed these."""


@dataclass(frozen=True)
class Work:
    """A case as stored."""

    id: str
    client_id: str
    title: str
    state: str
    archived: bool
    number: int
    typed: Typed
    changed_at: str


def add_work(db: sa.Connection, client_id: str, title: str, typed: Typed, who: str) -> str:
    """A new case's id."""
    check_size(typed)
    get_client(db, client_id, lock=True)
    work_id = new_id()
    row = {"id": work_id, "client_id": client_id, "title": clean(title, "title")}
    fresh = {"state": STATES[0], "archived": False, "number": 0, "typed": typed}
    at = now()
    db.execute(work.insert().values(**row, **fresh, changed_at=at))
    touch(db, client_id, at)
    note(db, who, "added the case", work_id)
    return work_id


def get_work(db: sa.Connection, work_id: str, *, lock: bool = False) -> Work:
    """One case; ``lock`` keeps others from changing it until the transaction ends."""
    query = sa.select(work).where(work.c.id == work_id)
    row = db.execute(query.with_for_update() if lock else query).one_or_none()
    if row is None:
        fault = Fault("case", "is not among the records", work_id[:40], mend="go to the list")
        raise MissingError("There is no such case.", [fault])
    return Work(**row._mapping)


def list_works(db: sa.Connection, client_id: str) -> list[Work]:
    """Every case of a client, those put away last."""
    query = sa.select(work).where(work.c.client_id == client_id)
    rows = db.execute(query.order_by(work.c.archived, work.c.changed_at.desc()))
    return [Work(**row._mapping) for row in rows]


def set_state(
    db: sa.Connection, work_id: str, state: str, was: str, who: str, remark: str = ""
) -> None:
    """How far the work has come, where it was as the page saw it. MovedError else. The
    ``remark`` goes into the line of the record, such as which report was sent."""
    if state not in STATES:
        allowed = ", ".join(STATES)
        fault = Fault("state", "no such state", state[:40], allowed, "choose one of them")
        raise CaseError("The state was not changed.", [fault])
    found = get_work(db, work_id, lock=True)
    if differs(db, found.state, was, state, about=work_id, line=STATE_LINE):
        line = f"{STATE_LINE}{state}"
        _set(db, found, who, f"{line}: {remark}" if remark else line, state=state)


def set_title(db: sa.Connection, work_id: str, title: str, was: str, who: str) -> None:
    """Another title, where it was as the page saw it. MovedError else."""
    title, found = clean(title, "title"), get_work(db, work_id, lock=True)
    if differs(db, found.title, was, title, about=work_id, line=TITLE_LINE):
        _set(db, found, who, f"{TITLE_LINE}“{found.title}”", title=title)


def archive_work(db: sa.Connection, work_id: str, archived: bool, who: str) -> None:
    """Put a case away, or take it out again; nothing where somebody has already done so."""
    found = get_work(db, work_id, lock=True)
    if archived != found.archived:
        what = "archived the case" if archived else "brought back the case"
        _set(db, found, who, what, archived=archived)


def _set(db: sa.Connection, found: Work, who: str, what: str, **values: object) -> None:
    """Write to a case that is locked."""
    at = now()
    db.execute(work.update().where(work.c.id == found.id).values(**values, changed_at=at))
    touch(db, found.client_id, at)
    note(db, who, what, found.id)


def history(
    db: sa.Connection, work_id: str, before: int = 0, at_most: int = HISTORY_AT_MOST
) -> list[sa.Row[tuple[object, ...]]]:
    """The newest changes first, or the newest of those numbered below ``before``."""
    query = sa.select(change).where(change.c.work_id == work_id)
    if before:
        query = query.where(change.c.number < before)
    return list(db.execute(query.order_by(change.c.number.desc()).limit(at_most)))


def check_size(typed: Mapping[str, str]) -> None:
    """TooMuchError for a text or a case that is too long."""
    long = [path for path, text in typed.items() if len(text) > LONGEST_TEXT]
    if long or sum(map(len, typed.values())) + sum(map(len, typed)) > MOST_TEXT:
        allowed = f"at most {LONGEST_TEXT:,} letters in a field, {MOST_TEXT:,} in a case"
        fault = Fault(long[0] if long else "case", "too long", allowed=allowed, mend="shorten it")
        raise TooMuchError("The text is too long to be kept.", [fault])


def touch(db: sa.Connection, client_id: str, at: str) -> None:
    """The list of clients shows the last change of any of their cases."""
    db.execute(client.update().where(client.c.id == client_id).values(changed_at=at))
