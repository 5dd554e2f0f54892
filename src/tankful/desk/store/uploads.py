"""Meter and weather files that lie with a case."""

from __future__ import annotations

import hashlib
import re
import shutil
import time
from collections.abc import Mapping
from contextlib import suppress
from functools import partial
from itertools import chain, count
from pathlib import Path

import sqlalchemy as sa

from tankful.desk.store.record import note
from tankful.desk.store.tables import new_id, now, upload
from tankful.errors import CaseError, Fault, MissingError, TooMuchError
from tankful.paths import write_whole

MOST_FILES = 12
MOST_BYTES = 25_000_000
"""In one file."""
MOST_LETTERS = 100
"""In a file's name."""
MOST_OF_ENDING = 20
"""Letters of a name's ending that are kept where a number is put before it."""
IN_USE_S = 3600.0
"""Longest that something is computed from a case's files."""


def plain_name(name: str) -> str:
    """The last part of a file's name, letters that every system takes. CaseError when nothing
    is left."""
    last = re.split(r"[/\\\\]", name)[-1]
    plain = re.sub(r"[^A-Za-z0-9._-]+", "-", last).strip(".-")[-MOST_LETTERS:].lstrip(".-")
    if not plain:
        fault = Fault("file", "has no name", mend="give it a name of letters and digits")
        raise CaseError("The file was not taken.", [fault])
    return plain


def put_upload(db: sa.Connection, work_id: str, name: str, content: bytes, who: str) -> str:
    """Keep a file, in the place of one of the same name; the name it is kept under."""
    name = plain_name(name)
    if len(content) > MOST_BYTES:
        allowed = f"at most {MOST_BYTES:,} bytes"
        fault = Fault("file", "too large", f"{len(content):,} bytes", allowed, "shorten it")
        raise TooMuchError("The file was not taken.", [fault])
    drop_upload(db, work_id, name)
    if len(list_uploads(db, work_id)) >= MOST_FILES:
        fault = Fault("file", "too many", allowed=f"{MOST_FILES} a case", mend="remove one")
        raise TooMuchError("The file was not taken.", [fault])
    sha256 = hashlib.sha256(content).hexdigest()
    row = {"id": new_id(), "work_id": work_id, "name": name, "at": now(), "sha256": sha256}
    db.execute(upload.insert().values(**row, content=content))
    note(db, who, f"uploaded {name}", work_id)
    return name


def name_beside(
    db: sa.Connection, work_id: str, name: str, content: bytes, saw: Mapping[str, str]
) -> str:
    """The name to keep a file under that a page brings which ``saw`` files of those digests by
    name: its own, in the place of one that the page saw, or one with a number beside a file that
    it did not see. CaseError for a name of nothing."""
    kept, mine = list_uploads(db, work_id), hashlib.sha256(content).hexdigest()
    plain = Path(plain_name(name))
    names = chain([plain.name], (_numbered(plain, n) for n in count(2)))
    may = {each for each, sha256 in kept.items() if sha256 in (mine, saw.get(each))}
    return next(each for each in names if each not in kept or each in may)


def _numbered(plain: Path, n: int) -> str:
    """A name with a number before its ending, as long as a name may be."""
    tail = f"-{n}{plain.suffix[:MOST_OF_ENDING]}"
    return plain_name(plain.stem[: MOST_LETTERS - len(tail)] + tail)


def drop_upload(db: sa.Connection, work_id: str, name: str) -> None:
    """Remove a file, if it is there."""
    db.execute(upload.delete().where(upload.c.work_id == work_id, upload.c.name == name))


def list_uploads(db: sa.Connection, work_id: str) -> dict[str, str]:
    """Name to sha256 of a case's files."""
    query = sa.select(upload.c.name, upload.c.sha256).where(upload.c.work_id == work_id)
    return {row.name: row.sha256 for row in db.execute(query.order_by(upload.c.name))}


def get_upload(db: sa.Connection, work_id: str, name: str) -> bytes:
    """A file's content. MissingError when there is none of that name."""
    query = sa.select(upload.c.content).where(upload.c.work_id == work_id, upload.c.name == name)
    content = db.scalar(query)
    if content is None:
        raise MissingError("There is no such file.", [Fault("file", "unknown", name[:60])])
    return bytes(content)


def copy_uploads(db: sa.Connection, work_id: str, into: str, who: str) -> None:
    """Give a case the files of another."""
    for name in list_uploads(db, work_id):
        put_upload(db, into, name, get_upload(db, work_id, name), who)


def lay_out(db: sa.Connection, work_id: str, root: Path) -> tuple[Path, frozenset[str]]:
    """A folder that holds a case's files as they are now, and their names.

    Its name hangs on their content, so that what was read from it can be kept.
    """
    files = list_uploads(db, work_id)
    digest = hashlib.sha256(repr(sorted(files.items())).encode()).hexdigest()[:16]
    folder = root / work_id / digest
    if not folder.is_dir():
        folder.mkdir(parents=True, mode=0o700, exist_ok=True)
        _drop_earlier(folder)
    for name in files:
        if not (folder / name).exists():
            content = get_upload(db, work_id, name)
            write_whole(folder / name, partial(_write, content))
    return folder, frozenset(files)


def _drop_earlier(folder: Path) -> None:
    """Remove what lay there before, once nobody reads it any more."""
    for other in folder.parent.iterdir():
        with suppress(OSError):
            if other != folder and time.time() - other.stat().st_mtime > IN_USE_S:
                shutil.rmtree(other)


def _write(content: bytes, draft: Path) -> None:
    draft.write_bytes(content)
