"""Reports kept on disk with the state of the case that they are of.

They can be made again, so they lie in the cache.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path

from tankful.desk.press import Printed
from tankful.desk.sheets import age, forget
from tankful.paths import write_whole

STATES_KEPT = 3
"""Of one case."""
REPORTS_KEPT = 4
"""Of one state: full and short, under the branding of now and of before."""
MOST_BYTES = 300_000_000
"""Of all cases; a report takes less than a million."""
KINDS = ("pdf", "html")


@dataclass(frozen=True)
class Report:
    """A report that is kept: its state's and its own name, and the number of the case's change
    that it is of."""

    state: str
    name: str
    number: int
    at: str
    folder: Path

    def read(self, kind: str) -> bytes:
        """One of its files. OSError when it was cleared away meanwhile."""
        return (self.folder / f"{self.name}.{kind}").read_bytes()


def name_of(size: str, brand: object) -> str:
    """A name for a report of one size under one branding."""
    return f"{size}-{hashlib.sha256(repr(brand).encode()).hexdigest()[:12]}"


def put_by(root: Path, state: str, name: str, made: Printed, number: int, at: str) -> None:
    """Keep a report of a case whose reports lie under ``root``."""
    folder = root / state
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    record = json.dumps({"number": number, "at": at}).encode()
    files = {"pdf": made.pdf, "html": made.html, "json": record}  # the last says it is whole
    for kind, content in files.items():
        _write(folder / f"{name}.{kind}", content)
    for older in sorted(folder.glob("*.json"), key=age, reverse=True)[REPORTS_KEPT:]:
        for kind in ("json", *KINDS):
            older.with_suffix(f".{kind}").unlink(missing_ok=True)
    forget([path for path in root.iterdir() if path.is_dir()], STATES_KEPT)


def take(root: Path, state: str, name: str) -> Report | None:
    """The report of a state; ``None`` when there is none."""
    return _read(root / state / f"{name}.json")


def take_newest(root: Path, size: str) -> Report | None:
    """The newest report of a size, of whatever state and branding."""
    files = sorted(root.glob(f"*/{size}-*.json"), key=age, reverse=True)
    return next((found for found in map(_read, files) if found is not None), None)


def _read(path: Path) -> Report | None:
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
        number, at = int(record["number"]), str(record["at"])
    except (OSError, ValueError, KeyError, TypeError):
        return None
    return Report(path.parent.name, path.stem, number, at, path.parent)


def _write(path: Path, content: bytes) -> None:
    def put(draft: Path) -> None:
        draft.write_bytes(content)

    write_whole(path, put)
