"""A table of homes as CSV and Markdown. User text stays text: never a formula, never markup."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence

from tankful.batch.values import Found, Kind, Reading
from tankful.casefile.read import printable
from tankful.model.currency import money
from tankful.model.table import HomeRow, HomesTable

TIED = "tied with"
"""Head of the column that names the options tied with the best."""

_NUMBER = re.compile(r"[-+]?[0-9]+(\.[0-9]+)?")
_FORMULA = ("=", "+", "-", "@")
_MARKUP = re.compile(r"([\\`*_\[\]<>|~&#@!^$]|:(?=//)|^[-+=]|(?<=^[0-9])[.)]|(?<=[wW])\.)")
"""Punctuation that Markdown may take for markup: anywhere, at a line's start, or in ``www.``."""


def csv_text(table: HomesTable, columns: Sequence[Reading]) -> str:
    """A row a home: how it differs, the columns as plain numbers, and ties.

    Heads carry units. Text that a spreadsheet would take for a formula gets an apostrophe.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    heads = [*table.heads, *(with_unit(column, table) for column in columns), TIED]
    writer.writerow([_unharmful(head) for head in heads])
    for home in table.homes:
        cells = [*home.labels, *(_plain(column.of(home), column.kind) for column in columns)]
        writer.writerow([_unharmful(cell) for cell in (*cells, "; ".join(tied_labels(home)))])
    return out.getvalue()


def _unharmful(text: str) -> str:
    """Text that a spreadsheet shows as it is."""
    clean = printable(text)
    return f"'{clean}" if clean.startswith(_FORMULA) and not _NUMBER.fullmatch(clean) else clean


def _plain(value: Found, kind: Kind) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    places = {"money": 2, "price": 4, "share": 4, "count": 0}.get(kind, 1)
    return f"{round(value, places) + 0.0:.{places}f}"


def with_unit(column: Reading, table: HomesTable) -> str:
    """A column's words with the unit of its numbers."""
    unit = {
        "money": table.currency,
        "price": f"{table.currency}/kWh",
        "kWh": "kWh",
        "kW": "kW",
        "years": "years",
        "degrees": "degrees",
    }.get(column.kind)
    return f"{column.text} ({unit})" if unit else column.text


def tied_labels(home: HomeRow) -> list[str]:
    """The options that cannot be told apart from the best."""
    return [option.label for option in home.options[1:] if option.tied]


def shown(column: Reading, home: HomeRow, currency: str) -> str:
    """One cell as people read it; a star marks a best option that is tied."""
    value = column.of(home)
    if value is None:
        return "-"
    if isinstance(value, str):
        return f"{value} *" if column.names_option and tied_labels(home) else value
    if column.kind == "money":
        return money(value, currency)
    if column.kind == "price":
        return money(value, currency, decimals=3)
    if column.kind == "share":
        return f"{value:.0%}"
    decimals = 1 if column.kind in ("kW", "years", "degrees") else 0
    return f"{round(value, decimals) + 0.0:,.{decimals}f}"


def notes(table: HomesTable, columns: Sequence[Reading]) -> list[str]:
    """What a reader of the table must know, as sentences."""
    span = f"over {table.horizon_years} years" if table.horizon_years else "over each home's years"
    words = {column.text.partition(" of ")[0] for column in columns}
    found = []
    if "cost" in words:
        found.append(f"Cost: everything {span} in today's money, renewals included.")
    if "first year" in words:
        found.append("First year: what hot water adds to the bills.")
    if "saving" in words:
        found.append(
            f"Saving: {span}, against keeping today's heater and replacing it by its like."
        )
    if "margin" in words:
        found.append("Margin: cost of the second best less that of the best.")
    if any(column.names_option for column in columns) and any(map(tied_labels, table.homes)):
        found.append("*: others come so close that they are tied with it.")
    if table.quick:
        found.append("Made quickly, on a longer step with few settings: costs are estimates.")
    return found


def markdown_text(table: HomesTable, columns: Sequence[Reading]) -> str:
    """The table with its title and notes in Markdown."""
    heads = [*table.heads, *(column.text for column in columns)]
    numbers = [*(False for _ in table.heads), *(column.kind != "text" for column in columns)]
    rows = [
        [*home.labels, *(shown(column, home, table.currency) for column in columns)]
        for home in table.homes
    ]
    lines = [
        f"## {escaped(table.name)}",
        "",
        _line([escaped(head[:1].upper() + head[1:]) for head in heads]),
        _line(["---:" if number else "---" for number in numbers]),
        *(_line([escaped(cell) for cell in row]) for row in rows),
        "",
        *(escaped(note) + "  " for note in notes(table, columns)),
    ]
    return "\n".join(lines).rstrip() + "\n"


def _line(cells: Sequence[str]) -> str:
    return f"| {' | '.join(cells)} |"


def escaped(text: str) -> str:
    """Text that Markdown shows as it is (CommonMark: a backslash before ASCII punctuation)."""
    return _MARKUP.sub(r"\\\1", printable(text))
