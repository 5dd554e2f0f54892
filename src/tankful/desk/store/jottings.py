"""What is written down about a client: the contact and notes, saved as typed.

A save names the number of the last change its page has seen. Where another window has changed
the same text since, nothing is written and the page shows both.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import sqlalchemy as sa

from tankful.desk.store.changes import EDIT, REFUSED
from tankful.desk.store.clients import get_client
from tankful.desk.store.fold import contact_key
from tankful.desk.store.record import note
from tankful.desk.store.tables import jotting, now
from tankful.desk.store.works import touch
from tankful.errors import Fault, MissingError, TooMuchError

LONGEST = {"contact": 2_000, "notes": 40_000}
"""Letters of each kind."""


@dataclass(frozen=True)
class Jotting:
    """One text, and who wrote it last; number 0 until somebody writes one."""

    kind: str
    text: str = ""
    number: int = 0
    at: str = ""
    who: str = ""
    window: str = ""


@dataclass(frozen=True)
class Jotted:
    """What a save came to: a client's texts as they are kept now; ``conflict`` tells that the
    typed one was not written, ``elsewhere`` which others another window has changed."""

    texts: Mapping[str, Jotting]
    conflict: bool = False
    elsewhere: tuple[str, ...] = ()

    @property
    def number(self) -> int:
        """Of the last change."""
        return max(each.number for each in self.texts.values())


def read_jottings(db: sa.Connection, client_id: str) -> Jotted:
    """What is written down about a client, by kind."""
    query = sa.select(jotting).where(jotting.c.client_id == client_id)
    found = {
        row.kind: Jotting(row.kind, row.text, row.number, row.at, row.who, row.window)
        for row in db.execute(query)
    }
    return Jotted({kind: found.get(kind, Jotting(kind)) for kind in LONGEST})


def save_jotting(
    db: sa.Connection, client_id: str, kind: str, text: str, seen: int, who: str, window: str
) -> Jotted:
    """Keep a text as typed. MissingError for no such kind, TooMuchError when it is too long."""
    check_kind(kind)
    if len(text) > LONGEST[kind]:
        allowed = f"at most {LONGEST[kind]:,} letters"
        fault = Fault(kind, "too long", f"{len(text):,} letters", allowed, "shorten it")
        raise TooMuchError("The text is too long to be kept.", [fault])
    get_client(db, client_id, lock=True)
    found = read_jottings(db, client_id)
    held, elsewhere = found.texts[kind], _elsewhere(found, seen, window)
    others = tuple(each for each in elsewhere if each != kind)
    if held.text == text:
        return Jotted(found.texts, elsewhere=others)
    if kind in elsewhere:
        note(db, who, f"{REFUSED}: {kind}", client_id)
        return Jotted(found.texts, conflict=True, elsewhere=others)
    written = Jotting(kind, text, found.number + 1, now(), who, window)
    _write(db, client_id, written, anew=not held.number)
    return Jotted({**found.texts, kind: written}, elsewhere=others)


def news(db: sa.Connection, client_id: str, seen: int, window: str) -> Jotted:
    """What other windows have changed since a page's number."""
    get_client(db, client_id)
    found = read_jottings(db, client_id)
    return Jotted(found.texts, elsewhere=_elsewhere(found, seen, window))


def check_kind(kind: str) -> None:
    """MissingError for no such kind."""
    if kind not in LONGEST:
        raise MissingError("There is no such field.", [Fault(kind[:40], "no such field")])


def _elsewhere(found: Jotted, seen: int, window: str) -> tuple[str, ...]:
    """Kinds that another window wrote last, unseen by a page."""
    unseen = [each for each in found.texts.values() if each.number > seen]
    return tuple(each.kind for each in unseen if not window or each.window != window)


def _write(db: sa.Connection, client_id: str, written: Jotting, *, anew: bool) -> None:
    """Keep a text, with its line in the record."""
    key = contact_key(written.text) if written.kind == "contact" else ""
    row = {**vars(written), "client_id": client_id, "text_key": key}
    mine = (jotting.c.client_id == client_id, jotting.c.kind == written.kind)
    db.execute((jotting.insert() if anew else jotting.update().where(*mine)).values(**row))
    touch(db, client_id, written.at)
    note(db, written.who, f"{EDIT}: {written.kind}", client_id)
