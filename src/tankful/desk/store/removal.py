"""A client deleted for good, with every row that tells of them."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from unicodedata import normalize

import sqlalchemy as sa

from tankful.desk.store.clients import clean, get_client
from tankful.desk.store.jottings import read_jottings
from tankful.desk.store.moved import MovedError
from tankful.desk.store.record import note
from tankful.desk.store.tables import audit, change, client, upload, work
from tankful.errors import CaseError, Fault

DELETED = "clients deleted"
"""What the lines are about that tell of it."""


@dataclass(frozen=True)
class Held:
    """What is kept of a client: titles of the cases by id, how many files, changes and lines of
    the record, and which texts."""

    id: str
    name: str
    archived: bool
    cases: dict[str, str]
    files: int
    changes: int
    lines: int
    texts: tuple[str, ...]
    changed_at: str

    @property
    def digest(self) -> str:
        """Short, for a page to carry what it saw."""
        return hashlib.sha256(repr(self).encode()).hexdigest()[:16]


def held(db: sa.Connection, client_id: str) -> Held:
    """What would be deleted. MissingError for an unknown id."""
    found = get_client(db, client_id)
    query = sa.select(work.c.id, work.c.title).where(work.c.client_id == client_id)
    cases = {row.id: row.title for row in db.execute(query.order_by(work.c.id))}
    texts = [each.kind for each in read_jottings(db, client_id).texts.values() if each.text]
    return Held(
        id=client_id,
        name=found.name,
        archived=found.archived,
        cases=cases,
        files=_count(db, upload, upload.c.work_id.in_(cases)),
        changes=_count(db, change, change.c.work_id.in_(cases)),
        lines=_count(db, audit, audit.c.about.in_((client_id, *cases))),
        texts=tuple(texts),
        changed_at=found.changed_at,
    )


def delete_client(db: sa.Connection, client_id: str, name: str, seen: str, who: str) -> Held:
    """Delete all that is kept of an archived client whose name was typed; what that was.

    A line stays that tells who did so, and when. CaseError when the client is not archived or
    another name was typed, MovedError when something was added or changed since the page was made.
    """
    of_client = sa.select(work.c.id).where(work.c.client_id == client_id).order_by(work.c.id)
    db.execute(of_client.with_for_update())  # cases first, as whoever saves one locks them
    get_client(db, client_id, lock=True)
    found = held(db, client_id)
    _check(found, name)
    if found.digest != seen:
        raise MovedError(found.digest)
    db.execute(audit.delete().where(audit.c.about.in_((client_id, *found.cases))))
    db.execute(client.delete().where(client.c.id == client_id))
    cases = len(found.cases)
    note(db, who, f"deleted a client with {cases} {'case' if cases == 1 else 'cases'}", DELETED)
    return found


def _check(found: Held, name: str) -> None:
    if not found.archived:
        fault = Fault("", "the client is not in the archive", mend="put it there first")
        raise CaseError("The client was not deleted.", [fault])
    if normalize("NFC", clean(name, "name")) != normalize("NFC", found.name):
        fault = Fault("name", "this is not the client's name", mend="type it as it stands above")
        raise CaseError("The client was not deleted.", [fault])


def _count(db: sa.Connection, table: sa.Table, which: sa.ColumnElement[bool]) -> int:
    return db.scalar(sa.select(sa.func.count()).select_from(table).where(which)) or 0
