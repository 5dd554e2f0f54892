"""Words that a case file and a form say each in their own way.

Who writes them puts between backquotes what belongs to the case file: the name of a field
(`` `tank_l` ``, `` `gas.tariff` ``), a choice (`` `"off_peak"` ``), what to write
(`` `write connected = true` ``) or take out (`` `remove tank_l` ``). A form says these by its
labels. Where nothing of the kind fits, both ways stand there, a bar between: `` `in quotes|` ``,
`` `write true|choose yes` ``; a field is named ``<tank_l>`` on the form's side of the bar.
"""

from __future__ import annotations

import re
from typing import Self

MARK = re.compile(r"`([^`|]*)(?:\|([^`]*))?`")
"""What a case file says, and what a form says instead."""


class Marked(str):
    """Words as a case file needs them, without their marks; ``marks`` are the same with them,
    and ``near`` is the dotted path of the field at which names are looked up first."""

    marks: str
    near: str

    def __new__(cls, marks: str, near: str = "") -> Self:
        if isinstance(marks, cls):
            return marks
        words = super().__new__(cls, MARK.sub(r"\1", marks))
        words.marks, words.near = marks, near
        return words


def marks_of(words: str) -> str:
    """Words with their marks, to build other words from."""
    return words.marks if isinstance(words, Marked) else words
