"""Drawn sheets kept on disk with the state of the case that they are of.

They can be drawn again, so they lie in the cache.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path

from tankful import __version__
from tankful.desk.check import Checked
from tankful.desk.pictures.sheet import Sheet, sheet_as_json, sheet_from_json
from tankful.paths import write_whole

FORM = 2
"""Of the files; sheets of another are drawn anew."""
STATES_KEPT = 3
"""Of one case."""
SHEETS_KEPT = 80
"""Of one state."""
MOST_BYTES = 300_000_000
"""Of all cases; a sheet takes 160 thousand at most, as a rule less than 70."""

Chosen = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Kept:
    """A sheet, what was chosen for it, and the number of the case's change that it is of."""

    sheet: Sheet
    chosen: Chosen
    number: int
    at: str


def state_now(seen: Checked) -> str:
    """The name of a case's state today; empty while it has faults."""
    if seen.loaded is None:
        return ""
    day = seen.loaded.case.as_of or date.today()
    return state_of(seen.toml, seen.loaded.path.parent.name, day.isoformat())


def state_of(toml: str, files: str, day: str) -> str:
    """A name for all that an answer hangs on: the case, its files, the day, the program."""
    parts = (str(FORM), __version__, toml, files, day)
    return hashlib.sha256("\0".join(parts).encode()).hexdigest()[:20]


def keep(root: Path, state: str, kind: str, kept: Kept) -> None:
    """Keep a sheet of a case whose sheets lie under ``root``."""
    folder = root / state
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    record = {**vars(kept), "sheet": sheet_as_json(kept.sheet)}
    text = json.dumps(record, separators=(",", ":"))
    write_whole(_file(folder, kind, kept.chosen), partial(_write, text))
    forget([path for path in folder.iterdir() if path.suffix == ".json"], SHEETS_KEPT)
    forget([path for path in root.iterdir() if path.is_dir()], STATES_KEPT)


def find(root: Path, state: str, kind: str, chosen: Chosen) -> Kept | None:
    """The sheet of a state; ``None`` when there is none. What is looked at counts as the newest."""
    path = _file(root / state, kind, chosen)
    kept = _read(path)
    if kept is not None:
        with suppress(OSError):  # kept by another desk, or gone since
            os.utime(path)
    return kept


def find_newest(root: Path, kind: str, state: str = "*") -> Kept | None:
    """The newest sheet of a kind, of whatever state unless one is named."""
    files = sorted(root.glob(f"{state}/{kind}-*.json"), key=age, reverse=True)
    return next((kept for kept in map(_read, files) if kept is not None), None)


def _file(folder: Path, kind: str, chosen: Chosen) -> Path:
    name = hashlib.sha256(repr(chosen).encode()).hexdigest()[:16]
    return folder / f"{kind}-{name}.json"


def _read(path: Path) -> Kept | None:
    """A kept sheet; ``None`` when it is not there or of an older program."""
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
        chosen = tuple((str(name), str(value)) for name, value in record["chosen"])
        sheet = sheet_from_json(record["sheet"])
        return Kept(sheet, chosen, int(record["number"]), str(record["at"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _write(text: str, draft: Path) -> None:
    draft.write_text(text, encoding="utf-8")


def age(path: Path) -> float:
    """When a file was last written or looked at; of a folder the newest of its files."""
    try:
        inside = [item.stat().st_mtime for item in path.iterdir()] if path.is_dir() else []
        return max(inside, default=path.stat().st_mtime)
    except OSError:  # it is gone
        return 0.0


def make_room(root: Path, most_bytes: int) -> None:
    """Of what is kept of all cases under ``root``, each with folders of its states, keep the
    newest states alone, as far as they take no more than so much together; one in any case."""
    states = sorted((path for path in root.glob("*/*") if path.is_dir()), key=age, reverse=True)
    taken = 0
    for state in states:
        with suppress(OSError):  # removed meanwhile
            taken += sum(item.stat().st_size for item in state.iterdir())
        if taken > most_bytes and state != states[0]:
            shutil.rmtree(state, ignore_errors=True)
            with suppress(OSError):  # the case has others
                state.parent.rmdir()


def forget(paths: list[Path], most: int) -> None:
    """Remove all but the newest."""
    for path in sorted(paths, key=age, reverse=True)[most:]:
        if path.is_dir():
            shutil.rmtree(path, ignore_errors=True)
        else:
            path.unlink(missing_ok=True)
