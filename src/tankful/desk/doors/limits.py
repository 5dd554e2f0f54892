"""How often something may be done."""

from __future__ import annotations

import time
from collections.abc import Callable

MOST_NAMES = 10_000


class Rate:
    """A bucket for each name: it holds ``most`` and refills by ``per_s`` each second."""

    def __init__(
        self, per_s: float, most: float, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self.per_s, self.most, self.clock = per_s, most, clock
        self.left: dict[str, tuple[float, float]] = {}

    def allows(self, name: str) -> bool:
        """Take one; False when the bucket is empty."""
        at = self.clock()
        left, before = self.left.get(name, (self.most, at))
        left = min(self.most, left + (at - before) * self.per_s)
        if len(self.left) >= MOST_NAMES:
            self.left.clear()
        self.left[name] = (left - 1.0 if left >= 1.0 else left, at)
        return left >= 1.0
