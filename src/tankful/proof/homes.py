"""Homes of a family of four as the program fills them in, at steps of a quarter hour."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from tankful.advice.compare import Comparison
from tankful.casefile.load import check_text
from tankful.casefile.resolve import resolve
from tankful.proof.capitals import POSTCODES

AS_OF = "2026-11-01"
"""Day of the shipped prices: the checks do not drift with the calendar."""


@lru_cache(maxsize=32)
def family_home(
    city: str, *, panels_kw: float = 0.0, today: str = "electric_storage"
) -> Comparison:
    """The home, its year and its money; default plans of its state."""
    lines = [
        f"as_of = {AS_OF}",
        f'[place]\npostcode = "{POSTCODES[city]}"',
        "[people]\ncount = 4",
        f'[heater]\nkind = "{today}"',
        "[simulation]\nstep_min = 15",
    ]
    if panels_kw:
        lines.append(f"[[electricity.arrays]]\nkw = {panels_kw}")
    return Comparison(resolve(check_text("\n".join(lines) + "\n", Path("example.toml"))))
