"""Undo and redo of a case: each person takes back their own changes, never another's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import sqlalchemy as sa

from tankful.desk.store.changes import EDIT, apply
from tankful.desk.store.saves import list_row
from tankful.desk.store.tables import change
from tankful.desk.store.works import Work, get_work

LOOK_BACK = 100
"""Changes of one's own that are tried."""

Edits = Mapping[str, list[str]]


@dataclass(frozen=True)
class Stepped:
    """The case as it is now; the paths that changed; or those left alone because somebody
    else has changed them since, with who that was. ``other`` is then the number of the change
    of one's own that can be taken instead, and ``other_paths`` what it changes."""

    work: Work
    paths: tuple[str, ...] = ()
    held: tuple[tuple[str, str], ...] = ()
    other: int = 0
    other_paths: tuple[str, ...] = ()


def undo(db: sa.Connection, work_id: str, who: str, window: str, instead: int = 0) -> Stepped:
    """Take back one's own newest change, or the one of the number ``instead``; nothing where
    somebody else has changed the same since."""
    return _step(db, work_id, who, window, instead, kind="undo")


def redo(db: sa.Connection, work_id: str, who: str, window: str, instead: int = 0) -> Stepped:
    """Bring back what one undid, the earliest first; a fresh change of one's own ends that."""
    return _step(db, work_id, who, window, instead, kind="redo")


def _step(
    db: sa.Connection, work_id: str, who: str, window: str, instead: int, *, kind: str
) -> Stepped:
    back = kind == "undo"
    found = get_work(db, work_id, lock=True)
    held: list[tuple[str, str]] = []
    for row in _mine(db, work_id, who, instead, undone=not back):
        edits: Edits = row.edits
        blocked = _changed_since(db, found, who, row.number, edits, stands=1 if back else 0)
        if blocked:
            held += [item for item in blocked if item not in held]
        elif held:  # an older one was not meant: it is offered
            return Stepped(found, (), tuple(held), row.number, tuple(edits))
        else:
            db.execute(change.update().where(change.c.id == row.id).values(undone=back))
            turned = {p: (b, a) if back else (a, b) for p, (a, b) in edits.items()}
            return Stepped(apply(db, found, turned, who, window, kind), tuple(turned))
    return Stepped(found, (), tuple(held))


def _mine(
    db: sa.Connection, work_id: str, who: str, instead: int, *, undone: bool
) -> list[sa.Row[tuple[object, ...]]]:
    """One's own changes in the order in which they are to be tried, from ``instead`` on."""
    mine = [change.c.work_id == work_id, change.c.kind == EDIT, change.c.who == who]
    if instead:
        mine.append(change.c.number >= instead if undone else change.c.number <= instead)
    order = change.c.number if undone else change.c.number.desc()
    query = sa.select(change).where(*mine, change.c.undone == undone).order_by(order)
    return list(db.execute(query.limit(LOOK_BACK)))


def _changed_since(
    db: sa.Connection, found: Work, who: str, number: int, edits: Edits, *, stands: int
) -> list[tuple[str, str]]:
    """Paths of a change that somebody else changed after it, and who; ``stands`` tells which
    text of a pair (before, after) must be there now. Rows of a list may have moved, so that a
    change anywhere in the list counts."""
    later = sa.select(change.c.who, change.c.edits).where(
        change.c.work_id == found.id,
        change.c.number > number,
        change.c.kind == EDIT,
        ~change.c.undone,
        change.c.who != who,
    )
    held: dict[str, str] = {}
    for other, theirs in db.execute(later.order_by(change.c.number)):
        lists = {list_row(path)[0] for path in theirs} - {""}
        held |= {p: other for p in edits if p in theirs or list_row(p)[0] in lists}
    differs = [p for p, pair in edits.items() if found.typed.get(p, "") != pair[stands]]
    return list({**dict.fromkeys(differs, who), **held}.items())
