"""Text to plain data, with faults of grammar told in words a person can act on."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from tankful.casefile.commented import with_forgotten_mark
from tankful.casefile.lines import scan_keys
from tankful.casefile.read import printable
from tankful.errors import CaseError, Fault

MESSAGE = "The case file is not sound TOML, so nothing else in it was looked at."

_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")

_ENDLESS_KEY = re.compile(r"(?<![\w\"'-])[\w\"'-]++(?:[ \t]*+\.[ \t]*+[\w\"'-]++){63}")
"""A key of so many parts: the parser's memory grows with the square of their number."""

SLIPS: tuple[tuple[str, str], ...] = (
    (r"[“”„‘’]", 'use straight quotes "..."'),
    (r"^\s*[\w.-]+\s*:", "write KEY = VALUE, with an equals sign in place of the colon"),
    (r"=\s*(?i:true|false|yes|no|on|off)\b", "write true or false, in small letters"),
    (r"=\s*\d{1,2}:\d\d", 'write times in quotes, such as "07:00"'),
    (r"=\s*\d{1,2}/\d{1,2}/\d{2,4}", "write dates as year-month-day, such as 2026-11-25"),
    (r"=\s*\d{1,2}[-.]\d{1,2}[-.]\d{4}", "write dates as year-month-day, such as 2026-11-25"),
    (r"=\s*\d{4}-\d{1,2}-\d{1,2}\b", "write an existing date as 2026-03-09"),
    (r"=\s*\$", "write prices as plain numbers, without a currency sign"),
    (r"=\s*[\d.]+\s*%", "write a percentage as a fraction: 4 % is 0.04"),
    (r"=\s*[\d.]+\s*c\b", "write prices in whole money: 33 cents is 0.33"),
    (r"=\s*[1-9]\d{0,2},\d{3}\b", "write large numbers without commas: 4200"),
    (r"=\s*\d+,\d", "write decimals with a point: 0.33"),
    (r"=\s*0\d+\s*(#|$)", 'write a postcode in quotes, such as "0800"'),
    (r"=\s*-?\.\d", "write a nought before the point: 0.33"),
    (r"=\s*-?\d+\.\s*(#|$)", "write a digit after the point, or no point"),
    (r"=\s*-?[\d.]+\s*[A-Za-z]", "write the number alone, in the unit that the field is in"),
    (r'=\s*"[^"]*\\', "write file names with / or in single quotes"),
    (r'=\s*"[^"]*$', "close the quotes at the end of the text"),
    (r"=\s*'[^']*$", "close the quotes at the end of the text"),
    (r"=\s*(#|$)", "write a value after the equals sign, or remove the line"),
    (r"=\s*[A-Za-z]", 'write text in quotes "..."'),
    (r"^\s*\[\[[^\]]*(\]?\s*(#|$))", "close a list section with ]], such as [[quotes]]"),
    (r"^\s*\[[^\]]*(#|$)", "close the section name with ]"),
    (r"=\s*\[[^\]]*$", "close the list with ], and put commas between its entries"),
    (r"=\s*\{", "write an inline table { ... } on one line, with commas between its keys"),
)
"""Slips that people make, as the line shows them, and what to do instead."""


def parse_text(text: str, file: str) -> dict[str, Any]:
    """The plain data of a TOML text; CaseError with the line, column and mend."""
    endless = _ENDLESS_KEY.search(text)
    if endless:
        line = text.count("\n", 0, endless.start()) + 1
        fault = Fault("", "a key has too many parts", mend="remove the line", line=line, file=file)
        raise CaseError(MESSAGE, [fault])
    try:
        return tomllib.loads(text)
    except RecursionError:
        fault = Fault("", "lists or tables are nested too deeply", mend="flatten them", file=file)
    except tomllib.TOMLDecodeError as error:
        fault = _grammar_fault(str(error), text, file)
    except ValueError:  # Python refuses to read a whole number of so many digits
        line = text.count("\n", 0, _endless_number(text)) + 1
        fault = Fault("", "a number has too many digits", mend="shorten it", line=line, file=file)
    raise CaseError(MESSAGE, [fault]) from None


def _endless_number(text: str) -> int:
    match = re.search(r"[0-9_]{4300}", text)
    return match.start() if match else 0


def _grammar_fault(message: str, text: str, file: str) -> Fault:
    match = _PLACE.search(message)
    words = message[: match.start()] if match else message
    line = int(match[1]) if match and match[1] else None
    column = match[2] if match and match[2] else ""
    if words.startswith(("Cannot", "Duplicate")):
        doubled = _doubled(text, file)
        if doubled:
            return doubled
    if line is None:  # the text ended too early: the last key is where it began
        line = max(scan_keys(text).given.values(), default=1)
    return _slip(words, text, file, line=line, column=column)


def _doubled(text: str, file: str) -> Fault | None:
    """A key or section given twice, if that is what the parser stumbled over."""
    doubles = scan_keys(text).doubles
    if not doubles:
        return None
    path, first, second = doubles[0]
    fault = Fault(
        field=path,
        problem="given twice",
        value=f"also on line {first}" if first != second else "twice on this line",
        mend="keep one of the two",
        line=second,
        file=file,
    )
    return with_forgotten_mark(fault, text)


def _slip(words: str, text: str, file: str, *, line: int, column: str) -> Fault:
    """The parser's words with the line, and a mend guessed from what the line shows."""
    lines = text.split("\n")
    shown = lines[line - 1] if line <= len(lines) else ""
    if "'\\n'" in words:
        words = "A text is not closed"
    where = f", column {column}" if column else ""
    mend = next((advice for slip, advice in SLIPS if re.search(slip, shown)), "")
    return Fault(
        field="",
        problem=printable(words[:1].lower() + words[1:]) + where,
        value=printable(shown.strip())[:60],
        mend=mend or "write each line as KEY = VALUE, text in quotes, sections as [name]",
        line=line,
        file=file,
    )
