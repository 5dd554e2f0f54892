"""Words as search compares them: without accents, in any case."""

from __future__ import annotations

import re
from unicodedata import combining, name, normalize

LONGEST_KEY = 360
"""Letters of a name's key that are kept; some letters become many."""
LONGEST_FILE = 80
"""Letters of a file's name."""
STROKE = re.compile(r"LATIN (?:SMALL|CAPITAL) LETTER ([A-Z]) WITH STROKE")
"""Letters that Unicode does not take apart, such as those of Đặng and Łukasz."""


def fold(text: str) -> str:
    """Letters without their marks, so that "nguyen" finds "Nguyễn" and "strasse" "Straße"."""
    apart = normalize("NFKD", text.casefold())
    return "".join(map(_plain, apart)).casefold()


def _plain(letter: str) -> str:
    if letter.isascii():
        return letter
    if combining(letter):
        return ""
    stroke = STROKE.fullmatch(name(letter, ""))
    return stroke[1] if stroke else letter


def file_name(*names: str, otherwise: str) -> str:
    """A file's name without its ending, of client and case as a rule, in plain letters that every
    system takes."""
    words = re.findall(r"[a-z0-9]+", fold(" ".join(names)))
    return "-".join(words)[:LONGEST_FILE].strip("-") or otherwise


def name_key(text: str) -> str:
    """What a client's name is found by."""
    return fold(text)[:LONGEST_KEY]


def contact_key(text: str) -> str:
    """What a contact is found by: its words, and the numbers of each line also without blanks."""
    numbers = ("".join(re.findall(r"[0-9]", line)) for line in text.splitlines())
    return "\n".join((fold(text), *numbers))
