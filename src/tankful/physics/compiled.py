"""The one door to the compiler, so that every relation is compiled alike.

Compiled code is kept between runs in a folder named after the text of every compiled
source: an edit to any relation, also one reached through another file, starts afresh.
"""

from __future__ import annotations

import hashlib
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

import numba

from tankful.paths import cache_root

Function = TypeVar("Function", bound=Callable[..., Any])


def _compiled_sources() -> list[Path]:
    package = Path(__file__).parent.parent
    simulate = package / "simulate"
    own = [package / "units.py", simulate / "params.py", simulate / "kernel.py"]
    return [*sorted((package / "physics").glob("*.py")), *own]


def _keep_machine_code() -> None:
    text = b"".join(path.read_bytes() for path in _compiled_sources())
    folder = cache_root() / f"machine-code-{hashlib.sha256(text).hexdigest()[:16]}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            pass
    except OSError:
        folder = Path(tempfile.mkdtemp(prefix="tankful-"))
    numba.config.CACHE_DIR = str(folder)  # type: ignore[attr-defined]


_keep_machine_code()


def compiled(function: Function) -> Function:
    """Compile ``function`` with exact floating point (no ``fastmath``)."""
    return cast(Function, numba.njit(cache=True, error_model="numpy", nogil=True)(function))
