"""What is typed is kept, beside what others type at the same time.

A save names the number of the last change its page has seen. What another window changed
since then in other fields is merged; in the same field it is a conflict, and neither text is
lost: the stored one stays, the typed one goes back to the page and into the history.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import sqlalchemy as sa

from tankful.casefile.typed import Typed, field_at
from tankful.desk.store.changes import EDIT, REFUSED, apply, refuse
from tankful.desk.store.tables import change
from tankful.desk.store.works import Work, check_size, get_work
from tankful.errors import Fault, MissingError

Others = Sequence[tuple[str, Mapping[str, Sequence[str]]]]
"""Who changed what, in order."""


KINDS = (EDIT, REFUSED, "undo", "redo")
"""Of changes."""


@dataclass(frozen=True)
class Saved:
    """What a save came to: the case as it is now; ``conflicts`` are the paths left as another
    window had saved them, ``moved`` those of them whose row is no longer where the page shows
    it, and by whom, ``elsewhere`` the paths that changed there since the page's number, and by
    whom."""

    work: Work
    conflicts: tuple[str, ...]
    elsewhere: Mapping[str, str]
    moved: Mapping[str, str] = field(default_factory=dict)


def save(
    db: sa.Connection, work_id: str, texts: Mapping[str, str], seen: int, who: str, window: str
) -> Saved:
    """Keep typed texts by path; an empty text gives the field back to its default.

    MissingError for a path that no field has, TooMuchError for texts that are too long.
    """
    for path in texts:
        if field_at(path) is None:
            raise MissingError("There is no such field.", [Fault(path[:80], "no such field")])
    check_size(texts)
    found = get_work(db, work_id, lock=True)
    others = _others(db, work_id, seen, window)
    elsewhere = _paths(others)
    edits = {
        path: (found.typed.get(path, ""), text)
        for path, text in texts.items()
        if found.typed.get(path, "") != text
    }
    moved = {path: by for path in edits if (by := _mover(path, others, found.typed))}
    refused = {path: pair for path, pair in edits.items() if path in elsewhere or path in moved}
    kept = {path: pair for path, pair in edits.items() if path not in refused}
    if kept:
        found = apply(db, found, kept, who, window, EDIT)
    if refused:
        found = refuse(db, found, refused, who, window)
    return Saved(found, tuple(refused), elsewhere, moved)


def news(db: sa.Connection, work_id: str, seen: int, window: str) -> Saved:
    """What other windows changed since a page's number, as a save would tell it."""
    found = get_work(db, work_id)
    return Saved(found, (), _paths(_others(db, work_id, seen, window)))


def remove_row(
    db: sa.Connection, work_id: str, row: str, seen: int, who: str, window: str
) -> Saved:
    """Take one row out of a list, such as ``quotes[2]``; those behind it move up."""
    name, _, position = row.removesuffix("]").rpartition("[")
    found = get_work(db, work_id, lock=True)
    elsewhere = _paths(_others(db, work_id, seen, window))
    if any(path.startswith(f"{name}[") for path in elsewhere):
        return Saved(found, (row,), elsewhere)
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
        found = apply(db, found, edits, who, window, EDIT)
    return Saved(found, (), elsewhere)


def _others(db: sa.Connection, work_id: str, seen: int, window: str) -> Others:
    """Who changed what in other windows after the change numbered ``seen``, in order."""
    query = sa.select(change.c.who, change.c.edits).where(
        change.c.work_id == work_id,
        change.c.number > seen,
        change.c.window != window,
        change.c.kind != REFUSED,
    )
    return [(row.who, row.edits) for row in db.execute(query.order_by(change.c.number))]


def _paths(others: Others) -> dict[str, str]:
    return {path: who for who, edits in others for path in sorted(edits)}


def list_row(path: str) -> tuple[str, str]:
    """The outermost list of a path and the row of it: ``("quotes[", "quotes[2]")``; two empty
    texts when the path is in no list."""
    name, bracket, rest = path.partition("[")
    return (name + bracket, name + bracket + rest.partition("]")[0] + "]") if bracket else ("", "")


def _mover(path: str, others: Others, typed: Typed) -> str:
    """Who moved the row of a list that a path lies in from where a page shows it; empty when
    nobody did. Only taking out a row, and undoing that, changes several rows at once or empties
    one."""
    name, row = list_row(path)
    if not name:
        return ""
    emptied = not any(p.startswith(row) for p in typed)
    for who, edits in reversed(others):
        rows = {list_row(p)[1] for p in edits if p.startswith(name)}
        if len(rows) > 1 or (emptied and row in rows):
            return who
    return ""
