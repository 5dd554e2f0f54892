"""One check of the program against the outside world.

A ``Claim`` says what should come out and where that is written; running it calls the
program and gives a ``Check``. A claim whose computation raises gives a failed check that
carries the error: nothing is hidden.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import asdict, dataclass
from functools import lru_cache
from importlib import resources
from math import isfinite
from typing import Any, Literal

Basis = Literal["published", "common practice", "from memory"]
BASES: tuple[Basis, ...] = ("published", "common practice", "from memory")

JUDGEMENT_BAND = "the width of the band is the developers' judgement"


@dataclass(frozen=True)
class Check:
    """A claim and what the program gives for it.

    It holds when ``got`` lies within ``tolerance`` of ``expected``, both in ``unit``. A band
    is written as its middle and half its width. ``error`` names what the computation raised;
    ``got`` is then not a number.
    """

    id: str
    claim: str
    source: str
    basis: Basis
    expected: float
    got: float
    tolerance: float
    unit: str
    error: str = ""

    @property
    def passed(self) -> bool:
        # Written so that a value which is not a number fails.
        return not self.error and abs(self.got - self.expected) <= self.tolerance

    def as_json(self) -> dict[str, Any]:
        """The check as plain data; what is not a finite number becomes null."""
        record = {**asdict(self), "passed": self.passed}
        record["got"] = self.got if isfinite(self.got) else None
        return record


@dataclass(frozen=True)
class Claim:
    """A check not yet run. ``compute`` calls the program and returns its value in ``unit``.

    ``None`` is the program's "there is no such value" and fails the check.
    """

    id: str
    claim: str
    source: str
    basis: Basis
    expected: float
    tolerance: float
    unit: str
    compute: Callable[[], float | None]

    def run(self) -> Check:
        """Compute and compare. Any exception is a failed check, not an end of the list."""
        got, error = float("nan"), ""
        try:
            value = self.compute()
            if value is None:
                error = "the program gives no value"
            else:
                got = float(value)
        except Exception as fault:
            error = f"{type(fault).__name__}: {fault}"
        return Check(
            id=self.id,
            claim=self.claim,
            source=self.source,
            basis=self.basis,
            expected=self.expected,
            got=got,
            tolerance=self.tolerance,
            unit=self.unit,
            error=error,
        )


def band(low: float, high: float) -> dict[str, float]:
    """``expected`` and ``tolerance`` of a value that should lie between ``low`` and ``high``."""
    return {"expected": (low + high) / 2, "tolerance": (high - low) / 2}


@lru_cache(maxsize=32)
def published_rows(name: str) -> tuple[dict[str, str], ...]:
    """Rows of ``proof/data/<name>.csv`` as dictionaries of text, in file order."""
    path = resources.files("tankful.proof").joinpath("data", f"{name}.csv")
    return tuple(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))
