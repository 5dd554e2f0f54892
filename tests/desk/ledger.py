"""What advisers were told, held against what the records say."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import sqlalchemy as sa
from traffic import Adviser, Reply, both_shown

from tankful.desk.store.tables import audit, change, work


def nothing_is_lost(engine: sa.Engine, advisers: Sequence[Adviser]) -> None:
    """What was acknowledged is in the record, and each change has its line."""
    replies = [(a.name, reply) for a in advisers for reply in a.replies]
    assert {reply.status for _, reply in replies} == {200, 409}
    with engine.connect() as db:
        rows = list(db.execute(sa.select(change).order_by(change.c.work_id, change.c.number)))
        stored = {row.id: row.typed for row in db.execute(sa.select(work))}
        lines = list(db.execute(sa.select(audit).order_by(audit.c.id)))
    for work_id, typed in stored.items():
        the_changes_lead_to(typed, [row for row in rows if row.work_id == work_id])
    for who, reply in replies:
        kind = "edit" if reply.kept else "refused"
        mine = [row for row in rows if row.work_id == reply.work and row.number >= reply.number]
        first = mine[0]
        assert (first.who, first.kind.replace("gone", "edit"), set(first.edits)) == (
            *(who, kind, {reply.path}),
        ), reply
        assert first.number > reply.number or first.edits[reply.path][1] == reply.text
        assert reply.kept or both_shown(reply), reply.body
    each_has_its_line(replies, lines)


def the_changes_lead_to(typed: dict[str, str], rows: list[sa.Row[tuple[object, ...]]]) -> None:
    """Each change begins with what was there, the last leaves what is stored, and nobody undoes
    what another has typed."""
    held = {"place.postcode": "2480", "name": typed["name"]}
    names = [row.edits["name"][0] for row in rows if "name" in row.edits and row.kind != "refused"]
    held["name"] = names[0] if names else held["name"]
    typist: dict[str, str] = {}  # no text is typed twice
    for row in rows:
        for path, (before, after) in row.edits.items():
            assert before == held.get(path, ""), row
            if row.kind in ("undo", "redo"):
                assert typist[before if row.kind == "undo" else after] == row.who, row
            elif row.kind != "refused":
                typist[after] = row.who
            if row.kind != "refused":
                held[path] = after
    assert {path: text for path, text in held.items() if text} == typed


def each_has_its_line(
    replies: list[tuple[str, Reply]], lines: list[sa.Row[tuple[object, ...]]]
) -> None:
    """One line in the record for each change that was acknowledged; one more only for what was
    kept while its answer was lost."""
    works = {reply.work for _, reply in replies}
    told = Counter((line.who, line.about, line.what) for line in lines if line.about in works)
    for kind in ("edit", "refused"):
        said = Counter(
            (who, reply.work, f"{kind}: {reply.path}")
            for who, reply in replies
            if reply.kept == (kind == "edit")
        )
        written = Counter({key: n for key, n in told.items() if key[2].startswith(f"{kind}: ")})
        assert not said - written, "acknowledged, and not in the record"
        unsure = sum(reply.tries for _, reply in replies)
        assert sum((written - said).values()) <= unsure
