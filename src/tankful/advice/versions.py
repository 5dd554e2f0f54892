"""What an answer was made with."""

from __future__ import annotations

import platform

import numpy as np

from tankful import __version__


def versions() -> dict[str, str]:
    """Program and main library versions, for the record."""
    import numba

    return {
        "tankful": __version__,
        "python": platform.python_version(),
        "numpy": np.__version__,
        "numba": numba.__version__,
    }
