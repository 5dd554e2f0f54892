"""Open a shipped table by name and look up where its numbers come from."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources


@dataclass(frozen=True)
class Source:
    """Where a number comes from.

    ``basis`` is one of: published, transcribed (read in a public copy that cites the
    document), common practice, from memory, judgement, derived, invented.
    """

    id: str
    title: str
    body: str
    year: str
    section: str
    basis: str
    licence: str
    note: str

    def cite(self) -> str:
        """One line fit for a report."""
        parts = [self.title, self.body, self.year, self.section]
        line = ", ".join(part for part in parts if part)
        plain = self.basis == "published" or self.basis in self.title.lower()
        return line if plain else f"{line} [{self.basis}]"


@lru_cache(maxsize=64)
def load_table(name: str) -> tuple[dict[str, str], ...]:
    """Rows of ``data/<name>.csv`` as dictionaries of text, in file order."""
    text = resources.files("tankful.data").joinpath(f"{name}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(io.StringIO(text, newline="")))


@lru_cache(maxsize=1)
def sources() -> dict[str, Source]:
    """Every source by id."""
    return {row["id"]: Source(**row) for row in load_table("sources")}


def cite(source_id: str) -> str:
    """The one-line citation of a source id; an unknown id is a bug and raises KeyError."""
    return sources()[source_id].cite()
