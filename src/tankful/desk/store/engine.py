"""The database: SQLite in the user's data folder, or PostgreSQL by its address."""

from __future__ import annotations

import logging
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy import event
from sqlalchemy.exc import ArgumentError, DBAPIError, SQLAlchemyError

from tankful.errors import Fault, StoreError

log = logging.getLogger("tankful.desk")

READS = "only_reads"
RECORDS = "desk.sqlite"
"""File of the records in a data folder."""
BUSY_MS = 10_000
"""How long a writer waits for another."""
CONNECTIONS = {"pool_size": 10, "max_overflow": 30, "pool_timeout": 10}
"""As many as there are threads that answer pages."""


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
            _make_private(Path(url.database or ""))
            engine = sa.create_engine(url, **CONNECTIONS)
            _tune_sqlite(engine)
        else:
            limits = f"-c lock_timeout={BUSY_MS} -c statement_timeout={3 * BUSY_MS}"
            waits = {"connect_timeout": 10, "tcp_user_timeout": 3 * BUSY_MS, "options": limits}
            engine = sa.create_engine(url, pool_pre_ping=True, connect_args=waits, **CONNECTIONS)
        with engine.connect():
            pass
    except (SQLAlchemyError, OSError, ImportError, ValueError) as error:
        raise _unopened(address, error) from None
    return engine


def _make_private(file: Path) -> None:
    """A new file of records is for its owner's eyes alone; so are those that SQLite puts beside."""
    file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    if file.name and not file.exists():
        file.touch(mode=0o600)


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
    that what a transaction read is still so when it writes. Who only reads waits for nobody."""

    @event.listens_for(engine, "connect")
    def _connected(connection: Any, _record: Any) -> None:
        connection.isolation_level = None
        for pragma in (
            f"busy_timeout = {BUSY_MS}",
            "journal_mode = WAL",
            "synchronous = FULL",
            "foreign_keys = ON",
            "secure_delete = ON",  # what is deleted is overwritten
        ):
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def _begun(connection: sa.Connection) -> None:
        only_reads = bool(connection.get_execution_options().get(READS))
        connection.exec_driver_sql(f"PRAGMA query_only = {only_reads:d}")
        connection.exec_driver_sql("BEGIN" if only_reads else "BEGIN IMMEDIATE")


@contextmanager
def transaction(engine: sa.Engine) -> Iterator[sa.Connection]:
    """All of it is kept, or none. StoreError when the database refuses."""
    try:
        with engine.begin() as connection:
            yield connection
    except (DBAPIError, sa.exc.TimeoutError) as error:
        raise _refused("The desk's records could not be kept.", error) from error


@contextmanager
def reading(engine: sa.Engine) -> Iterator[sa.Connection]:
    """The records as they are at one moment; they cannot be changed. StoreError when the database
    does not answer."""
    try:
        with engine.connect() as connection:
            options: dict[str, Any] = {READS: True}
            if engine.dialect.name == "postgresql":
                options |= {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
            connection.execution_options(**options)
            with connection.begin():
                yield connection
    except (DBAPIError, sa.exc.TimeoutError) as error:
        raise _refused("The desk's records could not be read.", error) from error


def settle(engine: sa.Engine) -> None:
    """Write what waits beside a SQLite file into it and empty what lies beside, which else holds
    what was deleted for a while. It waits for nobody, as others wait to write
    meanwhile: where somebody is reading just now it is done later. What the database objects is
    logged."""
    if engine.dialect.name != "sqlite":
        return
    try:
        with closing(engine.raw_connection()) as connection:
            cursor = connection.cursor()
            cursor.execute("PRAGMA busy_timeout = 0")
            try:
                cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
            finally:
                cursor.execute(f"PRAGMA busy_timeout = {BUSY_MS}").fetchall()
    except (sqlite3.Error, SQLAlchemyError) as error:
        log.error("what was deleted is not yet overwritten beside the records: %s", error)


def alone(db: sa.Connection, table: sa.Table) -> None:
    """Nobody else writes to a table until the transaction ends: two who write at the same moment
    take turns. On SQLite they do so anyway."""
    if db.dialect.name == "postgresql":
        db.execute(sa.text(f'LOCK TABLE "{table.name}" IN SHARE ROW EXCLUSIVE MODE'))


def _refused(what: str, error: SQLAlchemyError) -> StoreError:
    """Says why in the database's words, and whom to ask."""
    cause = str(getattr(error, "orig", None) or error).strip().split("\n")[0]
    mend = "wait a moment and try again; should it stay so, have the disk's space checked, "
    fault = Fault("store", cause, mend=f"{mend}or the database server")
    return StoreError(what, [fault])
