"""The tables of the desk's records.

Times are UTC texts of ISO 8601, so that both databases sort and show them alike. Ids are
random, so that they can be neither guessed nor counted.
"""

from __future__ import annotations

import secrets
from datetime import UTC, datetime
from typing import Any

import sqlalchemy as sa

meta = sa.MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "ix": "ix_%(table_name)s_%(column_0_name)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
    }
)

ID = sa.String(16)
TIME = sa.String(32)
STATES = ("draft", "advised", "report_sent", "installed")
ROLES = ("adviser", "reader")


def _key() -> sa.Column[Any]:
    return sa.Column("id", ID, primary_key=True)


def _of(table: str) -> sa.Column[Any]:
    link = sa.ForeignKey(f"{table}.id", ondelete="CASCADE")
    return sa.Column(f"{table}_id", ID, link, nullable=False, index=True)


client = sa.Table(
    "client",
    meta,
    _key(),
    sa.Column("name", sa.String(120), nullable=False),
    sa.Column("name_key", sa.String(360), nullable=False, index=True),  # folded, for search
    sa.Column("archived", sa.Boolean, nullable=False),
    sa.Column("changed_at", TIME, nullable=False, index=True),
)

jotting = sa.Table(
    "jotting",
    meta,
    sa.Column("client_id", ID, sa.ForeignKey("client.id", ondelete="CASCADE"), primary_key=True),
    sa.Column("kind", sa.String(8), primary_key=True),  # contact or notes
    sa.Column("text", sa.Text, nullable=False),
    sa.Column("text_key", sa.Text, nullable=False),  # folded, for search; empty for notes
    sa.Column("number", sa.Integer, nullable=False),  # of the change, counted for each client
    sa.Column("at", TIME, nullable=False),
    sa.Column("who", sa.String(80), nullable=False),
    sa.Column("window", sa.String(32), nullable=False),  # of the browser that typed it
)
"""What is written down about a client, and who wrote it last."""

work = sa.Table(
    "work",
    meta,
    _key(),
    _of("client"),
    sa.Column("title", sa.String(120), nullable=False),
    sa.Column("state", sa.String(16), nullable=False),
    sa.Column("archived", sa.Boolean, nullable=False),
    sa.Column("number", sa.Integer, nullable=False),  # of the last change
    sa.Column("typed", sa.JSON, nullable=False),  # text by path, as typed
    sa.Column("changed_at", TIME, nullable=False),
)
"""One case of a client: what was typed, and how far the work has come."""

change = sa.Table(
    "change",
    meta,
    _key(),
    _of("work"),
    sa.Column("number", sa.Integer, nullable=False),
    sa.Column("at", TIME, nullable=False),
    sa.Column("who", sa.String(80), nullable=False),
    sa.Column("window", sa.String(32), nullable=False),  # of the browser that typed it
    sa.Column("kind", sa.String(8), nullable=False),  # edit, undo, redo, or gone: undone for good
    sa.Column("undone", sa.Boolean, nullable=False),
    sa.Column("edits", sa.JSON, nullable=False),  # path: [before, after]
    sa.UniqueConstraint("work_id", "number"),
)

upload = sa.Table(
    "upload",
    meta,
    _key(),
    _of("work"),
    sa.Column("name", sa.String(120), nullable=False),
    sa.Column("at", TIME, nullable=False),
    sa.Column("sha256", sa.String(64), nullable=False),
    sa.Column("content", sa.LargeBinary, nullable=False),
    sa.UniqueConstraint("work_id", "name"),
)
"""Meter and weather files that a case names."""

setting = sa.Table(
    "setting",
    meta,
    sa.Column("name", sa.String(40), primary_key=True),
    sa.Column("value", sa.JSON, nullable=False),
)

account = sa.Table(
    "account",
    meta,
    _key(),
    sa.Column("name", sa.String(80), nullable=False, unique=True),
    sa.Column("secret", sa.String(200), nullable=False),  # salted scrypt, never the password
    sa.Column("role", sa.String(16), nullable=False),
)

session = sa.Table(
    "session",
    meta,
    sa.Column("id", sa.String(64), primary_key=True),  # sha256 of the cookie
    sa.Column("account_id", ID, sa.ForeignKey("account.id", ondelete="CASCADE"), nullable=True),
    sa.Column("who", sa.String(80), nullable=False),
    sa.Column("token", sa.String(64), nullable=False),  # against forged requests
    sa.Column("ends_at", TIME, nullable=False),
)
"""Of an account, with which it ends, or of whoever uses a desk without accounts."""

audit = sa.Table(
    "audit",
    meta,
    sa.Column("id", sa.Integer, primary_key=True, autoincrement=True),
    sa.Column("at", TIME, nullable=False),
    sa.Column("who", sa.String(80), nullable=False),
    sa.Column("what", sa.String(200), nullable=False),
    sa.Column("about", sa.String(200), nullable=False),
)


def new_id() -> str:
    """A random id."""
    return secrets.token_hex(8)


def now() -> str:
    """The time as the tables keep it."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
