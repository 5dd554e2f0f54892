"""Who did what, and when: one line for each change."""

from __future__ import annotations

from collections.abc import Collection

import sqlalchemy as sa

from tankful.desk.store.tables import audit, now


def note(db: sa.Connection, who: str, what: str, about: str = "") -> None:
    """Add a line, in the transaction of what it tells."""
    db.execute(audit.insert().values(at=now(), who=who[:80], what=what[:200], about=about[:200]))


def recent(
    db: sa.Connection, about: str, at_most: int = 100, but: Collection[str] = ()
) -> list[tuple[str, str, str]]:
    """The newest lines about one client or case: (at, who, what); without those of the kinds of
    ``but``, such as "edit: people.count"."""
    query = sa.select(audit.c.at, audit.c.who, audit.c.what).where(audit.c.about == about)
    for kind in but:
        query = query.where(~audit.c.what.startswith(f"{kind}: "))
    rows = db.execute(query.order_by(audit.c.id.desc()).limit(at_most))
    return [(row.at, row.who, row.what) for row in rows]


def last(db: sa.Connection, about: str, begins: str) -> tuple[str, str]:
    """Who wrote the newest line about something that begins so, and when; two empty texts when
    there is none."""
    mine = (audit.c.about == about, audit.c.what.startswith(begins, autoescape=True))
    query = sa.select(audit.c.who, audit.c.at).where(*mine).order_by(audit.c.id.desc()).limit(1)
    row = db.execute(query).one_or_none()
    return (row.who, row.at) if row else ("", "")
