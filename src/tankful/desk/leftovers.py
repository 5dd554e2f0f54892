"""What the cache folder keeps of cases: files laid out, pictures, reports."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

import sqlalchemy as sa

from tankful.desk.store.engine import reading
from tankful.desk.store.works import get_work
from tankful.errors import MissingError, StoreError
from tankful.paths import cache_root


def files_root() -> Path:
    """Where the files of all cases are laid out, each case's in a folder of its id."""
    return cache_root() / "desk"


def pictures_root(work_id: str) -> Path:
    """Where the pictures of a case are kept."""
    return _of(cache_root() / "desk-pictures", work_id)


def reports_root(work_id: str) -> Path:
    """Where the reports of a case are kept."""
    return _of(cache_root() / "desk-reports", work_id)


def clear(work_ids: Iterable[str]) -> None:
    """Remove all that is kept of cases."""
    for work_id in work_ids:
        for folder in (_of(files_root(), work_id), pictures_root(work_id), reports_root(work_id)):
            shutil.rmtree(folder, ignore_errors=True)


def clear_if_gone(engine: sa.Engine, work_id: str) -> None:
    """Remove what was made of a case that has been deleted meanwhile."""
    with suppress(StoreError), reading(engine) as db:
        try:
            get_work(db, work_id)
        except MissingError:
            clear([work_id])


def _of(root: Path, work_id: str) -> Path:
    """A case's folder; ids that lead elsewhere lose what leads there."""
    return root / (re.sub(r"[^A-Za-z0-9-]", "", work_id) or "none")
