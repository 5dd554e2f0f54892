"""What a face calls off ends soon."""

from __future__ import annotations

from time import sleep
from types import SimpleNamespace

import pytest

from tankful.advice.compare import evaluate_all


class OffError(Exception):
    """The face has called the work off."""


def test_what_is_called_off_is_left_undone() -> None:
    begun = []

    class Slow:
        def evaluate(self, option: int) -> int:
            begun.append(option)
            sleep(0.01)
            return option

    def stop(done: int, total: int, what: str) -> None:
        raise OffError

    with pytest.raises(OffError):
        evaluate_all(Slow(), [SimpleNamespace(label=str(i)) for i in range(50)], stop)
    assert len(begun) < 10
