"""The changes of a case: each has a number, who made it, and the texts before and after."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta

import sqlalchemy as sa

from tankful.desk.store.record import note
from tankful.desk.store.tables import change, new_id, now, work
from tankful.desk.store.works import Work, check_size, touch

TYPING_S = 10.0
"""Saves of one field that follow each other within this time are one change."""
EDIT, REFUSED = "edit", "refused"
"""Kinds of change: what was typed, and what was typed against another window's change."""


def apply(
    db: sa.Connection,
    found: Work,
    edits: Mapping[str, tuple[str, str]],
    who: str,
    window: str,
    kind: str,
) -> Work:
    """Write a change and the texts it leaves behind. What its writer had undone is gone then."""
    typed = {path: text for path, text in found.typed.items() if path not in edits}
    typed |= {path: after for path, (_, after) in edits.items() if after}
    check_size(typed)
    at = now()
    if kind == EDIT:
        mine = (change.c.work_id == found.id, change.c.who == who)
        undone = (change.c.kind == EDIT, change.c.undone)
        db.execute(change.update().where(*mine, *undone).values(kind="gone"))
        last = _typed_on(db, found, edits, window, EDIT, at)
        if last:
            edits = {path: (last[path][0], after) for path, (_, after) in edits.items()}
    number = _write(db, found, edits, who, window, kind, at)
    db.execute(work.update().where(work.c.id == found.id).values(typed=typed, changed_at=at))
    touch(db, found.client_id, at)
    return Work(**{**vars(found), "typed": typed, "number": number, "changed_at": at})


def refuse(
    db: sa.Connection,
    found: Work,
    edits: Mapping[str, tuple[str, str]],
    who: str,
    window: str,
) -> Work:
    """Keep in the history what was typed against another window's change: the case stays."""
    at = now()
    _typed_on(db, found, edits, window, REFUSED, at)
    number = _write(db, found, edits, who, window, REFUSED, at)
    return Work(**{**vars(found), "number": number})


def _write(
    db: sa.Connection,
    found: Work,
    edits: Mapping[str, tuple[str, str]],
    who: str,
    window: str,
    kind: str,
    at: str,
) -> int:
    """A change under the next number, and its line in the record."""
    number = found.number + 1
    kept = {path: list(pair) for path, pair in edits.items()}
    row = {"work_id": found.id, "number": number, "at": at, "who": who, "window": window}
    values = {"id": new_id(), "kind": kind, "undone": False, "edits": kept}
    db.execute(change.insert().values(**row, **values))
    db.execute(work.update().where(work.c.id == found.id).values(number=number))
    note(db, who, f"{kind}: {', '.join(sorted(kept))[:150]}", found.id)
    return number


def _typed_on(
    db: sa.Connection,
    found: Work,
    edits: Mapping[str, tuple[str, str]],
    window: str,
    kind: str,
    at: str,
) -> dict[str, list[str]]:
    """Typing on in one field is one change: what the last save changed, taken out to be written
    with this one; empty when this is not the same typing."""
    last = db.execute(
        sa.select(change).where(change.c.work_id == found.id, change.c.number == found.number)
    ).one_or_none()
    if last is None or last.kind != kind or last.window != window or last.undone:
        return {}
    if len(edits) != 1 or set(last.edits) != set(edits) or not _soon(last.at, at):
        return {}
    db.execute(change.delete().where(change.c.id == last.id))
    return dict(last.edits)


def _soon(earlier: str, later: str) -> bool:
    gap = datetime.fromisoformat(later) - datetime.fromisoformat(earlier)
    return gap < timedelta(seconds=TYPING_S)
