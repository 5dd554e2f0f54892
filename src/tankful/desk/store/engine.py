"""The database: SQLite in the user's data folder, or PostgreSQL by its address."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy import event
from sqlalchemy.exc import ArgumentError, DBAPIError, SQLAlchemyError

from tankful.errors import Fault, StoreError

RECORDS = "desk.sqlite"
"""File of the records in a data folder."""
BUSY_MS = 10_000
"""How long a writer of SQLite waits for another."""


def sqlite_address(folder: Path) -> str:
    """The address of the records in a data folder."""
    return f"sqlite:///{folder / RECORDS}"


def sqlite_file(engine: sa.Engine) -> Path | None:
    """The file of a SQLite database; ``None`` for another."""
    if engine.dialect.name != "sqlite" or not engine.url.database:
        return None
    return Path(engine.url.database)


def open_engine(address: str) -> sa.Engine:
    """Connect. StoreError when the address is none or the database does not answer."""
    try:
        url = sa.make_url(address)
        if url.drivername in ("postgres", "postgresql"):
            url = url.set(drivername="postgresql+psycopg")
        if url.drivername not in ("sqlite", "postgresql+psycopg"):
            raise ArgumentError("neither sqlite nor postgresql")
        if url.drivername == "sqlite":
            Path(url.database or "").parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            engine = sa.create_engine(url)
            _tune_sqlite(engine)
        else:
            engine = sa.create_engine(url, pool_pre_ping=True, connect_args={"connect_timeout": 10})
        with engine.connect():
            pass
    except (SQLAlchemyError, OSError, ImportError, ValueError) as error:
        raise _unopened(address, error) from None
    return engine


def _unopened(address: str, error: Exception) -> StoreError:
    """Says which database and why, never its password."""
    try:
        shown = sa.make_url(address).render_as_string(hide_password=True)
    except SQLAlchemyError:
        shown = "an address that cannot be read"
    cause = getattr(error, "orig", None) or error
    first = str(cause).strip().split("\n")[0]
    secret = _password(address)
    fault = Fault(
        field="store",
        problem=first.replace(secret, "***") if secret else first,
        value=shown,
        mend="check that the folder may be written, or that the database server answers",
    )
    return StoreError("The desk's records cannot be opened.", [fault])


def _password(address: str) -> str:
    try:
        return str(sa.make_url(address).password or "")
    except SQLAlchemyError:
        return ""


def _tune_sqlite(engine: sa.Engine) -> None:
    """Write ahead, so that a killed program leaves whole records; lock at the beginning, so
    that what a transaction read is still so when it writes."""

    @event.listens_for(engine, "connect")
    def _connected(connection: Any, _record: Any) -> None:
        connection.isolation_level = None
        for pragma in (
            f"busy_timeout = {BUSY_MS}",
            "journal_mode = WAL",
            "synchronous = FULL",
            "foreign_keys = ON",
        ):
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def _begun(connection: sa.Connection) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE")


@contextmanager
def transaction(engine: sa.Engine) -> Iterator[sa.Connection]:
    """All of it is kept, or none. StoreError when the database refuses."""
    try:
        with engine.begin() as connection:
            yield connection
    except DBAPIError as error:
        cause = str(error.orig).strip().split("\n")[0]
        fault = Fault("store", cause, mend="check the disk's space, or the database server")
        raise StoreError("The desk's records could not be kept.", [fault]) from error
