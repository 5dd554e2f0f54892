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
from numba.core.caching import FunctionCache

from tankful.paths import cache_root

Function = TypeVar("Function", bound=Callable[..., Any])


def _compiled_sources() -> list[Path]:
    package = Path(__file__).parent.parent
    simulate = package / "simulate"
    loop = [
        simulate / f"{name}.py" for name in ("params", "heating", "solar_loop", "kernel", "grid")
    ]
    return [*sorted((package / "physics").glob("*.py")), package / "units.py", *loop]


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


class MendingCache(FunctionCache):
    """Kept code that is compiled again when its file is damaged."""

    def load_overload(self, *wanted: Any) -> Any:
        try:
            return super().load_overload(*wanted)  # type: ignore[no-untyped-call]
        except Exception:  # unpickling fails in many ways on bytes that are not what they seem
            self.flush()  # type: ignore[no-untyped-call]
            return None


def compiled(function: Function) -> Function:
    """Compile ``function`` into its callers, with exact floating point (no ``fastmath``).

    It may change arrays but make none: without the compiler's own memory (``_nrt``) no references
    are counted, which costs a third of a year with collectors. One that makes an array does not
    compile.
    """
    options: dict[str, Any] = {"nogil": True, "forceinline": True, "_nrt": False}
    compiler = numba.njit(cache=True, error_model="numpy", **options)
    made: Any = compiler(function)
    if made is not function:  # else the compiler is switched off
        made._cache = MendingCache(function)  # type: ignore[no-untyped-call]
    return cast(Function, made)
