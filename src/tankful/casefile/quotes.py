"""The quotes of a case, each with its number and name among those of its kind."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from tankful.model.case import Case, Quote

MOST_OF_A_KIND = 4
"""Quotes of one kind that are weighed: each adds its own options (judgement)."""


@dataclass(frozen=True)
class Numbered:
    """A quote, where it stands in the case, and what sets it apart from others of its kind.

    ``name`` is the adviser's; without one "quote 2" by order, or nothing where there is but one.
    """

    path: str
    quote: Quote
    number: int
    name: str


def numbered_quotes(case: Case) -> list[Numbered]:
    """Every quote, in file order; numbers count from 1 within each kind."""
    of_kind = Counter(quote.family for quote in case.quotes)
    so_far: Counter[str] = Counter()
    found = []
    for place, quote in enumerate(case.quotes, start=1):
        so_far[quote.family] += 1
        number = so_far[quote.family]
        usual = f"quote {number}" if of_kind[quote.family] > 1 else ""
        found.append(Numbered(f"quotes[{place}]", quote, number, quote.label or usual))
    return found
