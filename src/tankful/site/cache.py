"""Arrays that are slow to make, kept in the user's cache folder.

A file that cannot be read is made again, a folder that cannot be written is done without,
and writers never disturb each other: each writes its own file and renames it.
"""

from __future__ import annotations

import hashlib
import io
import os
import zipfile
import zlib
from collections.abc import Callable
from contextlib import suppress
from functools import lru_cache
from importlib import metadata, resources
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tankful import __version__
from tankful.paths import cache_root, write_whole

Arrays = dict[str, NDArray[np.generic]]

MAX_CACHE_BYTES = 512 * 2**20
"""About 60 places at 5-minute steps; the oldest files go first."""


def cache_key(*parts: object) -> str:
    """sha256 of ``parts``, of the code and tables that make the arrays and of the versions.

    Parts are told apart by their ``repr``; arrays belong in as a digest.
    """
    text = "\n".join(repr(part) for part in (_made_by(), *parts))
    return hashlib.sha256(text.encode()).hexdigest()


def cached_arrays(key: str, make: Callable[[], Arrays]) -> Arrays:
    """The arrays of ``key`` from the cache, or made and put there."""
    path = cache_root() / "arrays" / f"{key}.npz"
    stored = _read(path)
    if stored is not None:
        return stored
    arrays = make()
    with suppress(OSError):
        write_bytes(path, _npz(arrays))
        _prune(path.parent)
    return arrays


def _read(path: Path) -> Arrays | None:
    try:
        with path.open("rb") as file, np.load(file, allow_pickle=False) as archive:
            arrays = {name: archive[name] for name in archive.files}
        with suppress(OSError):
            os.utime(path)  # lately used: the last to be pruned
        return arrays
    except (OSError, EOFError, ValueError, KeyError, zipfile.BadZipFile, zlib.error):
        return None


def _npz(arrays: Arrays) -> bytes:
    buffer = io.BytesIO()
    np.savez(buffer, **arrays)  # type: ignore[arg-type]
    return buffer.getvalue()


def write_bytes(path: Path, content: bytes) -> None:
    """Write a file whole or not at all, its folder made where missing."""
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, lambda draft: draft.write_bytes(content))


def _prune(folder: Path) -> None:
    """Remove the files used longest ago until the folder is within its size."""
    with os.scandir(folder) as entries:
        files = [(entry.stat(), entry.path) for entry in entries if entry.is_file()]
    excess = sum(stat.st_size for stat, _ in files) - MAX_CACHE_BYTES
    for stat, name in sorted(files, key=lambda item: item[0].st_mtime):
        if excess <= 0:
            return
        with suppress(OSError):
            os.unlink(name)
            excess -= stat.st_size


@lru_cache(maxsize=1)
def _made_by() -> str:
    """Changes with the package, with pvlib, and with what makes weather and sun power."""
    digest = hashlib.sha256(f"{__version__} {metadata.version('pvlib')}".encode())
    for package in ("tankful.site", "tankful.physics"):
        files = [file for file in resources.files(package).iterdir() if file.name.endswith(".py")]
        for file in sorted(files, key=lambda item: item.name):
            digest.update(file.read_bytes())
    for table in ("climate_points.csv", "localities.csv"):
        digest.update(resources.files("tankful.data").joinpath(table).read_bytes())
    return digest.hexdigest()
