"""Where Tankful keeps what it can recompute."""

from __future__ import annotations

import os
from pathlib import Path


def cache_root() -> Path:
    """The user's cache folder for Tankful; ``TANKFUL_CACHE_DIR`` overrides it."""
    override = os.environ.get("TANKFUL_CACHE_DIR")
    if override:
        return Path(override)
    from platformdirs import user_cache_path

    return user_cache_path("tankful")
