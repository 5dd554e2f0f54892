"""Who may come in: accounts of an office, and the sessions of whoever is in."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from unicodedata import normalize

import sqlalchemy as sa

from tankful.desk.doors.passwords import NOBODY, check_new, hashed, matches
from tankful.desk.store.clients import clean
from tankful.desk.store.engine import alone
from tankful.desk.store.record import note
from tankful.desk.store.tables import ROLES, account, new_id, now, session
from tankful.errors import CaseError, Fault, RefusedError

SESSION_H, ALONE_H = 12.0, 30 * 24.0
"""How long one stays in: with an account, and at a desk without accounts, which serves one
computer alone."""
REMEMBERED_H = 7 * 24.0
"""How long after its end a session's token is still known, for its page to go on."""
ALONE = "adviser"
"""The name of whoever uses a desk without accounts."""


@dataclass(frozen=True)
class Person:
    """Who asks. ``token`` must come with every request that changes something."""

    name: str
    role: str
    token: str

    @property
    def may_change(self) -> bool:
        return self.role == "adviser"


def put_account(db: sa.Connection, name: str, password: str | None, role: str, who: str) -> None:
    """A new account, or a new role for it and a new password, unless that is ``None``; its open
    sessions end. CaseError for an unknown role, an unfit password, or none at all."""
    if role not in ROLES:
        raise CaseError("No such role.", [Fault("role", "unknown", role, ", ".join(ROLES))])
    name = clean(name, "name")[:80]
    alone(db, account)
    before = account_of(db, name)
    if before is not None and before.name != name:
        mend = f"write it {before.name}, or remove that account first"
        fault = Fault("name", f"is that of {before.name} but for capitals", name, mend=mend)
        raise CaseError("There is such an account already.", [fault])
    if password is None:
        if before is None:
            fault = Fault("name", "has no account yet", name, mend="give it a password")
            raise CaseError("There is no such account.", [fault])
        secret = before.secret
    else:
        check_new(password)
        secret = hashed(password)
    db.execute(account.delete().where(account.c.name == name))
    row = {"id": new_id(), "name": name, "secret": secret, "role": role}
    db.execute(account.insert().values(**row))
    note(db, who, f"set the account of role {role}", name)


def remove_account(db: sa.Connection, name: str, who: str) -> bool:
    """Whether there was one; its open sessions end."""
    alone(db, account)
    found = account_of(db, name)
    if found is not None:
        db.execute(account.delete().where(account.c.id == found.id))
        note(db, who, "removed the account", found.name)
    return found is not None


@dataclass(frozen=True)
class Account:
    """What is kept of an account: the hashed password, and the role."""

    id: str
    name: str
    secret: str
    role: str


def account_of(db: sa.Connection, name: str) -> Account | None:
    """The account of a name, in whatever capitals; ``None`` when there is none.

    All are read, so that it takes as long for an unknown name as for a known one.
    """
    wanted, key = _as_kept(name), sign_in_key(name)
    rows = db.execute(sa.select(account).order_by(account.c.name)).all()
    found = [row for row in rows if sign_in_key(row.name) == key]
    found.sort(key=lambda row: row.name != wanted)  # older accounts may differ in capitals alone
    return Account(**found[0]._mapping) if found else None


def list_accounts(db: sa.Connection) -> list[tuple[str, str]]:
    """Name and role of every account."""
    query = sa.select(account.c.name, account.c.role).order_by(account.c.name)
    return [(row.name, row.role) for row in db.execute(query)]


def _as_kept(name: str) -> str:
    """A name as the accounts have it; phones add a blank behind it."""
    return " ".join(name.split())[:80]


def sign_in_key(name: str) -> str:
    """What names are compared by when somebody signs in: capitals make no difference."""
    return normalize("NFKC", _as_kept(name)).casefold()


def fits(found: Account | None, password: str) -> bool:
    """Whether there is an account and the password is its own."""
    right = matches(password, NOBODY if found is None else found.secret)
    return found is not None and right


def open_session(db: sa.Connection, found: Account | None, earlier: str = "") -> str:
    """A new session's secret, for the cookie, of an account, or without one of a desk that has
    none. Only its hash is kept.

    The browser's ``earlier`` session ends; if it was of the same account, its token is taken
    over, so that pages with what was typed into them go on. RefusedError when the account has
    been changed or removed meanwhile.
    """
    if found is not None and account_of(db, found.name) != found:
        fault = Fault("", "the account has just been changed", mend="sign in again")
        raise RefusedError("Nobody was let in.", [fault])
    account_id = found.id if found else None
    secret, name = secrets.token_urlsafe(32), found.name if found else ALONE
    db.execute(session.delete().where(session.c.ends_at < _in_hours(-REMEMBERED_H)))
    before = db.execute(sa.select(session).where(session.c.id == _digest(earlier))).one_or_none()
    close_session(db, earlier)
    same = before is not None and before.account_id == account_id
    row = {"id": _digest(secret), "account_id": account_id, "who": name}
    token = before.token if before is not None and same else secrets.token_urlsafe(32)
    ends_at = _in_hours(SESSION_H if found else ALONE_H)
    db.execute(session.insert().values(**row, token=token, ends_at=ends_at))
    note(db, name, "came in")
    return secret


def person_of(db: sa.Connection, secret: str, *, office: bool) -> Person | None:
    """Who holds a session; ``None`` when it is unknown or over, or of another kind of desk."""
    query = sa.select(session, account.c.role).outerjoin(account)
    found = query.where(session.c.id == _digest(secret), session.c.ends_at >= now())
    row = db.execute(found).one_or_none()
    if row is None or office != (row.account_id is not None):
        return None
    return Person(row.who, row.role if office else ROLES[0], row.token)


def close_session(db: sa.Connection, secret: str) -> None:
    """Leave."""
    db.execute(session.delete().where(session.c.id == _digest(secret)))


def _in_hours(hours: float) -> str:
    at = datetime.now(UTC) + timedelta(hours=hours)
    return at.isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode("utf-8", "replace")).hexdigest()
