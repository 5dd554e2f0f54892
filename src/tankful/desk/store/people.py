"""Who may come in: accounts of an office, and the sessions of whoever is in."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import sqlalchemy as sa

from tankful.desk.doors.passwords import NOBODY, check_new, hashed, matches
from tankful.desk.store.clients import clean
from tankful.desk.store.record import note
from tankful.desk.store.tables import ROLES, account, new_id, now, session
from tankful.errors import CaseError, Fault

SESSION_H = 12.0


@dataclass(frozen=True)
class Person:
    """Who asks. ``token`` must come with every request that changes something."""

    name: str
    role: str
    token: str

    @property
    def may_change(self) -> bool:
        return self.role == "adviser"


def put_account(db: sa.Connection, name: str, password: str, role: str, who: str) -> None:
    """A new account, or a new password and role for it; its open sessions end."""
    if role not in ROLES:
        raise CaseError("No such role.", [Fault("role", "unknown", role, ", ".join(ROLES))])
    check_new(password)
    name = clean(name, "name")[:80]
    db.execute(account.delete().where(account.c.name == name))
    row = {"id": new_id(), "name": name, "secret": hashed(password), "role": role}
    db.execute(account.insert().values(**row))
    db.execute(session.delete().where(session.c.who == name))
    note(db, who, f"set the account of role {role}", name)


def remove_account(db: sa.Connection, name: str, who: str) -> bool:
    """Whether there was one; its open sessions end."""
    gone = db.execute(account.delete().where(account.c.name == name)).rowcount
    db.execute(session.delete().where(session.c.who == name))
    note(db, who, "removed the account", name)
    return bool(gone)


@dataclass(frozen=True)
class Account:
    """What is kept of an account: the hashed password, and the role."""

    secret: str
    role: str


def account_of(db: sa.Connection, name: str) -> Account | None:
    """The account of a name; ``None`` when there is none."""
    query = sa.select(account.c.secret, account.c.role).where(account.c.name == name[:80])
    row = db.execute(query).one_or_none()
    return None if row is None else Account(row.secret, row.role)


def role_of(found: Account | None, password: str) -> str | None:
    """The role of an account; ``None`` when there is none or the password is another."""
    fits = matches(password, NOBODY if found is None else found.secret)
    return found.role if found is not None and fits else None


def open_session(db: sa.Connection, who: str, role: str) -> str:
    """A new session's secret, for the cookie. Only its hash is kept."""
    secret = secrets.token_urlsafe(32)
    ends = datetime.now(UTC) + timedelta(hours=SESSION_H)
    db.execute(session.delete().where(session.c.ends_at < now()))
    db.execute(
        session.insert().values(
            id=_digest(secret),
            who=who,
            role=role,
            token=secrets.token_urlsafe(32),
            ends_at=ends.isoformat(timespec="milliseconds").replace("+00:00", "Z"),
        )
    )
    note(db, who, "came in")
    return secret


def person_of(db: sa.Connection, secret: str) -> Person | None:
    """Who holds a session; ``None`` when it is unknown or over."""
    query = sa.select(session).where(session.c.id == _digest(secret), session.c.ends_at >= now())
    row = db.execute(query).one_or_none()
    return None if row is None else Person(row.who, row.role, row.token)


def close_session(db: sa.Connection, secret: str) -> None:
    """Leave."""
    db.execute(session.delete().where(session.c.id == _digest(secret)))


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode("utf-8", "replace")).hexdigest()
