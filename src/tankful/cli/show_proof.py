"""The checks on a terminal of 80 columns."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from math import ceil, isfinite, log10

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from tankful.proof.check import BASES, Check

WIDTH = 80


def show_proof(checks: Sequence[tuple[str, Check]], *, console: Console | None = None) -> None:
    """Print every check under its topic, then how many hold.

    The source stands below the check it belongs to, or below several that share it.
    """
    out = console or Console(highlight=False, markup=False)
    if not out.is_terminal or out.width > WIDTH:
        out.width = WIDTH
    for topic, group in groupby(checks, key=lambda pair: pair[0]):
        out.print(_row("", "expected", "got", "within", "", style="dim", title=topic))
        for (source, basis), sharing in groupby(
            (check for _, check in group), key=lambda check: (check.source, check.basis)
        ):
            for check in sharing:
                _show_check(out, check)
            out.print(Padding(Text(f"{source} [{basis}]", style="dim"), (0, 0, 0, 4)))
        out.print()
    out.print(summary([check for _, check in checks]))


def _show_check(out: Console, check: Check) -> None:
    unit = "" if check.unit == "-" else f", {check.unit}"
    out.print(
        _row(
            f"{check.claim}{unit}",
            number(check.expected, check.tolerance),
            number(check.got, check.tolerance),
            number(check.tolerance, check.tolerance) if check.tolerance else "exact",
            "holds" if check.passed else "FAILS",
            style="" if check.passed else "bold red",
        )
    )
    if check.error:
        out.print(Padding(Text(check.error, style="bold red"), (0, 0, 0, 4)))


def _row(
    claim: str, expected: str, got: str, within: str, mark: str, *, style: str, title: str = ""
) -> Table:
    table = Table.grid(padding=(0, 1))
    table.add_column(width=39)
    for width in (10, 10, 9):
        table.add_column(width=width, justify="right")
    table.add_column(width=5)
    head = Text(title, style="bold") if title else Text(claim)
    table.add_row(head, *(Text(words, style=style) for words in (expected, got, within, mark)))
    return table


def number(value: float, tolerance: float) -> str:
    """A value with as many decimals as its tolerance calls for."""
    if not isfinite(value):
        return "none"
    if tolerance <= 0.0:
        return f"{value:,.6g}"
    decimals = max(0, ceil(-log10(tolerance)) + 1)
    return f"{value:,.{decimals}f}" if decimals <= 7 else f"{value:.3g}"


def summary(checks: Sequence[Check]) -> str:
    """How many hold, by what they rest on."""
    holding = sum(check.passed for check in checks)
    counts = [(sum(c.basis == basis for c in checks), basis) for basis in BASES]
    parts = ", ".join(f"{count} {basis}" for count, basis in counts)
    failing = len(checks) - holding
    tail = f" {failing} FAIL." if failing else ""
    return f"{holding} of {len(checks)} checks hold ({parts}).{tail}"
