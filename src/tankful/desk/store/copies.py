"""Copies of the records: one a night, the newest kept, and the way back from one."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing, suppress
from datetime import date, datetime
from pathlib import Path

from tankful.errors import Fault, StoreError
from tankful.paths import write_whole

COPIES_KEPT = 14


def copies_folder(data: Path) -> Path:
    """Where the nightly copies lie."""
    return data / "copies"


def copy_sqlite(file: Path, target: Path) -> None:
    """A whole copy of a database that may be in use. StoreError when it cannot be written."""
    try:
        target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        write_whole(target, lambda draft: _copy(file, draft))
    except (OSError, sqlite3.Error) as error:
        fault = Fault("store", str(error), mend="check the disk's space", file=str(target))
        raise StoreError("The records could not be copied.", [fault]) from None


def _copy(file: Path, draft: Path) -> None:
    draft.touch(mode=0o600)
    with (
        closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as source,
        closing(sqlite3.connect(draft)) as copy,
    ):
        source.backup(copy)
        copy.execute("PRAGMA journal_mode = DELETE")


def nightly_copy(file: Path, folder: Path, today: date) -> Path | None:
    """Today's copy if there is none yet; the oldest beyond those kept go."""
    target = folder / f"desk-{today.isoformat()}.sqlite"
    if target.exists():
        return None
    copy_sqlite(file, target)
    for old in sorted(folder.glob("desk-????-??-??.sqlite"))[:-COPIES_KEPT]:
        with suppress(OSError):
            old.unlink()
    return target


def restore(copy: Path, file: Path) -> Path | None:
    """Put a copy in the place of the records; where the replaced ones now lie.

    StoreError when the copy is damaged or none of the desk's, or while a desk is running.
    """
    _examine(copy)
    aside = None
    with records_lock(file):
        if file.exists():
            aside = file.with_name(f"desk-replaced-{datetime.now():%Y%m%d-%H%M%S}.sqlite")
            copy_sqlite(file, aside)
            for part in (file, Path(f"{file}-wal"), Path(f"{file}-shm")):
                part.unlink(missing_ok=True)
        copy_sqlite(copy, file)
    return aside


def _examine(copy: Path) -> None:
    problem = "there is no such file"
    if copy.is_file():
        try:
            with closing(sqlite3.connect(f"file:{copy}?mode=ro", uri=True)) as connection:
                problem = str(connection.execute("PRAGMA integrity_check").fetchone()[0])
                connection.execute("SELECT count(*) FROM work, alembic_version").fetchone()
        except sqlite3.Error as error:
            problem = str(error)
    if problem != "ok":
        fault = Fault("", problem, mend="choose another copy", file=str(copy))
        raise StoreError("This is no sound copy of the desk's records.", [fault])


class records_lock:  # noqa: N801
    """Held while a desk uses the records of a folder, so that two never do.

    The system drops it with the process, however that ends.
    """

    def __init__(self, file: Path) -> None:
        self.path = file.with_name(f".{file.name}.lock")
        self.handle: int | None = None

    def __enter__(self) -> records_lock:
        self.path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        self.handle = os.open(self.path, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            _lock(self.handle)
        except OSError:
            os.close(self.handle)
            fault = Fault("store", "another desk is using these records", mend="stop it first")
            raise StoreError("The desk's records are in use.", [fault]) from None
        return self

    def __exit__(self, *_: object) -> None:
        assert self.handle is not None
        os.close(self.handle)


def _lock(handle: int) -> None:
    if os.name == "nt":
        import msvcrt

        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
