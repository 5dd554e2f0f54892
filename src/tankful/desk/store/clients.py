"""Clients: found by name, opened, renamed, put away."""

from __future__ import annotations

from dataclasses import dataclass
from unicodedata import category

import sqlalchemy as sa

from tankful.desk.store.fold import fold, name_key
from tankful.desk.store.moved import differs
from tankful.desk.store.record import note
from tankful.desk.store.tables import STATES, client, jotting, new_id, now, work
from tankful.errors import CaseError, Fault, MissingError

LONGEST_NAME = 120
LIST_AT_MOST = 500
NAME_LINE = "renamed the client, who was "
"""How the lines of the record begin that tell who changed the name."""


@dataclass(frozen=True)
class Client:
    """A client as the list shows one; ``works`` are (id, title, state) by last change."""

    id: str
    name: str
    archived: bool
    changed_at: str
    works: tuple[tuple[str, str, str], ...] = ()


def clean(text: str, what: str) -> str:
    """A name as typed, on one line, without what cannot be seen. CaseError when nothing is left
    or it is too long."""
    plain = " ".join("".join(map(_shown, text)).split())
    if not plain or len(plain) > LONGEST_NAME:
        problem = "is empty" if not plain else "is too long"
        fault = Fault("", f"give 1 to {LONGEST_NAME} letters")
        raise CaseError(f"The {what} {problem}.", [fault])
    return plain


def _shown(letter: str) -> str:
    """A letter as a name holds it. Marks that cannot be seen, such as those that turn the
    direction of writing, come along unnoticed when one pastes; they would hide what a name is."""
    if letter.isprintable():
        return letter
    return "" if category(letter) == "Cf" else " "


def add_client(db: sa.Connection, name: str, who: str) -> str:
    """A new client's id."""
    name = clean(name, "name")
    row = {"id": new_id(), "name": name, "name_key": name_key(name), "archived": False}
    db.execute(client.insert().values(**row, changed_at=now()))
    note(db, who, "added the client", str(row["id"]))
    return str(row["id"])


def rename_client(db: sa.Connection, client_id: str, name: str, was: str, who: str) -> None:
    """Another name, where it was as the page saw it. MovedError else."""
    name, before = clean(name, "name"), get_client(db, client_id, lock=True).name
    if differs(db, before, was, name, about=client_id, line=NAME_LINE):
        _update(db, client_id, name=name, name_key=name_key(name))
        note(db, who, f"{NAME_LINE}“{before}”", client_id)


def archive_client(db: sa.Connection, client_id: str, archived: bool, who: str) -> None:
    """Put a client away, or take one out again; nothing where somebody has already done so."""
    if archived != get_client(db, client_id, lock=True).archived:
        _update(db, client_id, archived=archived)
        what = "archived the client" if archived else "brought back the client"
        note(db, who, what, client_id)


def _update(db: sa.Connection, client_id: str, **values: object) -> None:
    db.execute(client.update().where(client.c.id == client_id).values(**values, changed_at=now()))


def get_client(db: sa.Connection, client_id: str, *, lock: bool = False) -> Client:
    """One client; ``lock`` keeps others from changing it until the transaction ends.
    MissingError for an unknown id."""
    query = sa.select(client).where(client.c.id == client_id)
    row = db.execute(query.with_for_update() if lock else query).one_or_none()
    if row is None:
        fault = Fault("client", "is not among the records", client_id[:40], mend="go to the list")
        raise MissingError("There is no such client.", [fault])
    return _with_works(db, [row])[0]


def find_clients(
    db: sa.Connection, words: str = "", state: str = "", *, archived: bool = False
) -> list[Client]:
    """Clients whose name or contact holds every word, whatever its accents, those changed last
    first; one more than the list shows tells that there are more."""
    query = sa.select(client).where(client.c.archived == archived)
    for word in fold(words).split():
        reached = jotting.c.text_key.contains(word, autoescape=True)
        by_contact = client.c.id.in_(sa.select(jotting.c.client_id).where(reached))
        query = query.where(client.c.name_key.contains(word, autoescape=True) | by_contact)
    if state in STATES:
        inside = sa.select(work.c.client_id).where(work.c.state == state, ~work.c.archived)
        query = query.where(client.c.id.in_(inside))
    query = query.order_by(client.c.changed_at.desc(), client.c.id).limit(LIST_AT_MOST + 1)
    return _with_works(db, list(db.execute(query)))


def _with_works(db: sa.Connection, rows: list[sa.Row[tuple[object, ...]]]) -> list[Client]:
    ids = [row.id for row in rows]
    columns = (work.c.client_id, work.c.id, work.c.title, work.c.state)
    query = sa.select(*columns).where(work.c.client_id.in_(ids), ~work.c.archived)
    works: dict[str, list[tuple[str, str, str]]] = {}
    for owner, work_id, title, state in db.execute(query.order_by(work.c.changed_at.desc())):
        works.setdefault(owner, []).append((work_id, title, state))
    return [
        Client(row.id, row.name, row.archived, row.changed_at, tuple(works.get(row.id, ())))
        for row in rows
    ]
