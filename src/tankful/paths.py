"""Where Tankful keeps its files, and how it writes them whole or not at all."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from threading import get_ident


def cache_root() -> Path:
    """The user's cache folder for Tankful; ``TANKFUL_CACHE_DIR`` overrides it."""
    override = os.environ.get("TANKFUL_CACHE_DIR")
    if override:
        return Path(override)
    from platformdirs import user_cache_path

    return user_cache_path("tankful")


def data_root() -> Path:
    """The user's folder for records that cannot be made again; ``TANKFUL_DATA_DIR`` overrides."""
    override = os.environ.get("TANKFUL_DATA_DIR")
    if override:
        return Path(override)
    from platformdirs import user_data_path

    return user_data_path("tankful")


def write_whole(path: Path, write: Callable[[Path], object], *, replace: bool = True) -> None:
    """Let ``write`` fill a file beside ``path``, then give it that name.

    Readers see the old file or the whole new one. Without ``replace`` an existing file
    raises FileExistsError. A pipe or device is written to, never replaced. OSError when the
    folder cannot be written.
    """
    if replace and _is_special(path):
        write(path)
        return
    if not path.name:
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
    target = path.resolve() if path.is_symlink() else path
    draft = target.with_name(f".{target.name}.{os.getpid()}.{get_ident()}.draft")
    try:
        write(draft)
        if replace:
            os.replace(draft, target)
        else:
            os.link(draft, target)  # fails when the name is taken, even since the last look
    finally:
        with suppress(FileNotFoundError):
            draft.unlink()


def _is_special(path: Path) -> bool:
    """An existing pipe or device."""
    try:
        mode = path.stat().st_mode
    except OSError:
        return False
    return not stat.S_ISREG(mode) and not stat.S_ISDIR(mode)
