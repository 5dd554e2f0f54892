"""Cases of a client: every save is a numbered change that can be undone.

A save names the number of the last change its page has seen. What another window changed
since then in other fields is merged; in the same field it is a conflict, and neither text is
lost: the stored one stays, the typed one goes back to the page.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

import sqlalchemy as sa

from tankful.casefile.typed import Typed, field_at
from tankful.desk.store.clients import clean, get_client
from tankful.desk.store.record import note
from tankful.desk.store.tables import STATES, change, client, new_id, now, work
from tankful.errors import CaseError, Fault, MissingError, TooMuchError

LONGEST_TEXT = 4_000
MOST_TEXT = 400_000
"""Characters in one field, and in a whole case."""
TYPING_S = 10.0
"""Saves of one field that follow each other within this time are one change."""


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


@dataclass(frozen=True)
class Saved:
    """What a save came to: the case as it is now; ``conflicts`` are the paths left as another
    window had saved them, ``elsewhere`` the paths that changed there since the page's number."""

    work: Work
    conflicts: tuple[str, ...]
    elsewhere: tuple[str, ...]


def add_work(db: sa.Connection, client_id: str, title: str, typed: Typed, who: str) -> str:
    """A new case's id."""
    get_client(db, client_id)
    check_size(typed)
    work_id = new_id()
    row = {"id": work_id, "client_id": client_id, "title": clean(title, "title")}
    fresh = {"state": STATES[0], "archived": False, "number": 0, "typed": typed}
    db.execute(work.insert().values(**row, **fresh, changed_at=now()))
    _touch(db, client_id)
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


def set_state(db: sa.Connection, work_id: str, state: str, who: str) -> None:
    """How far the work has come."""
    if state not in STATES:
        allowed = ", ".join(STATES)
        fault = Fault("state", "no such state", state[:40], allowed, "choose one of them")
        raise CaseError("The state was not changed.", [fault])
    _set(db, work_id, who, f"state is now {state}", state=state)


def set_title(db: sa.Connection, work_id: str, title: str, who: str) -> None:
    """Another title."""
    _set(db, work_id, who, "renamed the case", title=clean(title, "title"))


def archive_work(db: sa.Connection, work_id: str, archived: bool, who: str) -> None:
    """Put a case away, or take it out again."""
    what = "archived the case" if archived else "brought back the case"
    _set(db, work_id, who, what, archived=archived)


def _set(db: sa.Connection, work_id: str, who: str, what: str, **values: object) -> None:
    found = get_work(db, work_id, lock=True)
    db.execute(work.update().where(work.c.id == work_id).values(**values, changed_at=now()))
    _touch(db, found.client_id)
    note(db, who, what, work_id)


def save(
    db: sa.Connection, work_id: str, texts: Mapping[str, str], seen: int, who: str, window: str
) -> Saved:
    """Keep typed texts by path; an empty text gives the field back to its default.

    MissingError for a path that no field has, TooMuchError for texts that are too long.
    """
    for path in texts:
        if field_at(path) is None:
            raise MissingError("There is no such field.", [Fault(path[:80], "no such field")])
    found = get_work(db, work_id, lock=True)
    elsewhere = _changed_elsewhere(db, work_id, seen, window)
    conflicts = tuple(
        path
        for path, text in texts.items()
        if path in elsewhere and found.typed.get(path, "") != text
    )
    edits = {
        path: (found.typed.get(path, ""), text)
        for path, text in texts.items()
        if path not in conflicts and found.typed.get(path, "") != text
    }
    if edits:
        found = _apply(db, found, edits, who, window, "edit")
    return Saved(found, conflicts, tuple(sorted(elsewhere)))


def remove_row(
    db: sa.Connection, work_id: str, row: str, seen: int, who: str, window: str
) -> Saved:
    """Take one row out of a list, such as ``quotes[2]``; those behind it move up."""
    name, _, position = row.removesuffix("]").rpartition("[")
    found = get_work(db, work_id, lock=True)
    elsewhere = _changed_elsewhere(db, work_id, seen, window)
    if any(path.startswith(f"{name}[") for path in elsewhere):
        return Saved(found, (row,), tuple(sorted(elsewhere)))
    after: Typed = {}
    before = {path: text for path, text in found.typed.items() if path.startswith(f"{name}[")}
    for path, text in before.items():
        number, _, rest = path[len(name) + 1 :].partition("]")
        if int(number) != int(position):
            moved = int(number) - (int(number) > int(position))
            after[f"{name}[{moved}]{rest}"] = text
    paths = sorted({*before, *after})
    edits = {
        path: (before.get(path, ""), after.get(path, ""))
        for path in paths
        if before.get(path, "") != after.get(path, "")
    }
    if edits:
        found = _apply(db, found, edits, who, window, "edit")
    return Saved(found, (), tuple(sorted(elsewhere)))


def undo(db: sa.Connection, work_id: str, who: str, window: str) -> Work:
    """Take back the last change that still stands; nothing happens when there is none."""
    found = get_work(db, work_id, lock=True)
    mine = (change.c.work_id == work_id, change.c.kind == "edit")
    query = sa.select(change).where(*mine, ~change.c.undone).order_by(change.c.number.desc())
    last = db.execute(query.limit(1)).one_or_none()
    if last is None:
        return found
    db.execute(change.update().where(change.c.id == last.id).values(undone=True))
    edits = {path: (after, before) for path, (before, after) in last.edits.items()}
    return _apply(db, found, edits, who, window, "undo")


def redo(db: sa.Connection, work_id: str, who: str, window: str) -> Work:
    """Bring back what was last undone; nothing happens after a fresh change."""
    found = get_work(db, work_id, lock=True)
    mine = (change.c.work_id == work_id, change.c.kind == "edit")
    newest = db.scalar(sa.select(sa.func.max(change.c.number)).where(*mine, ~change.c.undone))
    query = sa.select(change).where(*mine, change.c.undone, change.c.number > (newest or 0))
    first = db.execute(query.order_by(change.c.number).limit(1)).one_or_none()
    if first is None:
        return found
    db.execute(change.update().where(change.c.id == first.id).values(undone=False))
    edits = {path: (before, after) for path, (before, after) in first.edits.items()}
    return _apply(db, found, edits, who, window, "redo")


def history(db: sa.Connection, work_id: str, at_most: int = 100) -> list[sa.Row[tuple[object]]]:
    """The newest changes first."""
    query = sa.select(change).where(change.c.work_id == work_id)
    return list(db.execute(query.order_by(change.c.number.desc()).limit(at_most)))


def check_size(typed: Mapping[str, str]) -> None:
    """TooMuchError for a text or a case that is too long."""
    long = [path for path, text in typed.items() if len(text) > LONGEST_TEXT]
    if long or sum(map(len, typed.values())) + sum(map(len, typed)) > MOST_TEXT:
        allowed = f"at most {LONGEST_TEXT:,} letters in a field, {MOST_TEXT:,} in a case"
        fault = Fault(long[0] if long else "case", "too long", allowed=allowed, mend="shorten it")
        raise TooMuchError("The text is too long to be kept.", [fault])


def _changed_elsewhere(db: sa.Connection, work_id: str, seen: int, window: str) -> set[str]:
    """Paths that other windows changed after the change numbered ``seen``."""
    query = sa.select(change.c.edits).where(
        change.c.work_id == work_id, change.c.number > seen, change.c.window != window
    )
    return {path for edits in db.scalars(query) for path in edits}


def _apply(
    db: sa.Connection,
    found: Work,
    edits: Mapping[str, tuple[str, str]],
    who: str,
    window: str,
    kind: str,
) -> Work:
    """Write a change and the texts it leaves behind."""
    typed = {path: text for path, text in found.typed.items() if path not in edits}
    typed |= {path: after for path, (_, after) in edits.items() if after}
    check_size(typed)
    at, number = now(), found.number + 1
    if kind == "edit":
        undone = (change.c.work_id == found.id, change.c.kind == "edit", change.c.undone)
        db.execute(change.update().where(*undone).values(kind="gone"))
        edits = _one_with_the_last(db, found, edits, window, at)
    row = {"work_id": found.id, "number": number, "at": at, "who": who, "window": window}
    kept = {path: list(pair) for path, pair in edits.items()}
    values = {"id": new_id(), "kind": kind, "undone": False, "edits": kept}
    db.execute(change.insert().values(**row, **values))
    db.execute(
        work.update().where(work.c.id == found.id).values(typed=typed, number=number, changed_at=at)
    )
    _touch(db, found.client_id)
    note(db, who, f"{kind}: {_named(kept)}", found.id)
    return Work(**{**vars(found), "typed": typed, "number": number, "changed_at": at})


def _one_with_the_last(
    db: sa.Connection,
    found: Work,
    edits: Mapping[str, tuple[str, str]],
    window: str,
    at: str,
) -> Mapping[str, tuple[str, str]]:
    """Typing on in one field is one change: take over what it was before the last save."""
    last = db.execute(
        sa.select(change).where(change.c.work_id == found.id, change.c.number == found.number)
    ).one_or_none()
    if last is None or last.kind != "edit" or last.window != window or last.undone:
        return edits
    if len(edits) != 1 or set(last.edits) != set(edits) or not _soon(last.at, at):
        return edits
    db.execute(change.delete().where(change.c.id == last.id))
    return {path: (last.edits[path][0], after) for path, (_, after) in edits.items()}


def _soon(earlier: str, later: str) -> bool:
    gap = datetime.fromisoformat(later) - datetime.fromisoformat(earlier)
    return gap < timedelta(seconds=TYPING_S)


def _named(paths: Iterable[str]) -> str:
    return ", ".join(sorted(paths))[:150]


def _touch(db: sa.Connection, client_id: str) -> None:
    db.execute(client.update().where(client.c.id == client_id).values(changed_at=now()))
