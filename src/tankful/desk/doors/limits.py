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
        left = self._left(name, at)
        if len(self.left) >= MOST_NAMES:
            self._forget(at)
        self.left[name] = (left - 1.0 if left >= 1.0 else left, at)
        return left >= 1.0

    def give_back(self, name: str) -> None:
        """Put back what was taken for something that is not to be limited after all."""
        at = self.clock()
        self.left[name] = (min(self.most, self._left(name, at) + 1.0), at)

    def _left(self, name: str, at: float) -> float:
        left, before = self.left.get(name, (self.most, at))
        return min(self.most, left + (at - before) * self.per_s)

    def _forget(self, at: float) -> None:
        """Drop the fuller half of the buckets: whoever invents names must not empty the memory
        of who has tried too often."""
        held = sorted(self.left, key=lambda name: self._left(name, at))
        self.left = {name: self.left[name] for name in held[: MOST_NAMES // 2]}
