"""Text of a meter file read defensively, and the list of what is wrong with it."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

from tankful.errors import Fault, FileError

MOST_BYTES = 50_000_000
"""Ten years of five-minute readings of three registers are about 20 MB."""

MOST_FAULTS_SHOWN = 20
MOST_FAULTS = 1000
"""With so many a file is not what it claims to be, and is read no further."""

_MAGIC = (
    (b"PK\x03\x04", "a zip archive or a spreadsheet", "unpack it, or save the sheet as text (CSV)"),
    (b"\x1f\x8b", "a compressed file", "unpack it first"),
    (b"%PDF", "a PDF document", "ask the retailer or distributor for the interval data file"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet", "save the sheet as text (CSV)"),
)


class FaultLog:
    """Collects the faults of one file, so that all of them are told at once."""

    def __init__(self, file: str) -> None:
        self.file = file
        self._faults: list[Fault] = []

    def add(
        self,
        field: str,
        problem: str,
        line: int | None = None,
        *,
        value: str | None = None,
        allowed: str = "",
        mend: str = "",
    ) -> None:
        """Note one fault; ``value`` is shown quoted and shortened. Raises FileError when there
        are a thousand."""
        shown = "" if value is None else shorten(value)
        self._faults.append(Fault(field, problem, shown, allowed, mend, line, self.file))
        if len(self._faults) >= MOST_FAULTS:
            self.raise_if_any(
                f"{self.file} is not a file of meter readings: it has too many faults."
            )

    def raise_if_any(self, message: str) -> None:
        """Raise FileError with the first faults by line and the number of the others."""
        if not self._faults:
            return
        faults = sorted(self._faults, key=lambda fault: fault.line or 0)
        more = len(faults) - MOST_FAULTS_SHOWN
        if more > 0:
            message += f" The first {MOST_FAULTS_SHOWN} faults are listed, {more} more are not."
        raise FileError(message, faults[:MOST_FAULTS_SHOWN])


def shorten(value: str) -> str:
    """The text quoted, without control characters, at most about forty characters."""
    return ascii(value if len(value) <= 40 else value[:37] + "...")


def date_of(text: str) -> date | None:
    """The day written as eight digits, from 1990 to 2100; None for anything else."""
    if not re.fullmatch(r"\d{8}", text, re.ASCII):
        return None
    try:
        day = date(int(text[:4]), int(text[4:6]), int(text[6:]))
    except ValueError:
        return None
    return day if 1990 <= day.year <= 2100 else None


def read_lines(path: Path) -> list[str]:
    """Lines of a text file in UTF-8, UTF-16 or Latin-1, with any line ends.

    Raises FileError for a file that is missing, empty, too large or plainly not text.
    """
    text = _decoded(_bytes(path), path.name)
    if text.lstrip()[:1] == "<":
        raise _refused(
            path.name,
            "the file is a web page or XML, not a table of readings",
            "download the interval data itself (NEM12 or CSV), not the page that shows it",
        )
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def _bytes(path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise _refused(
                path.name,
                f"the file has {size / 1e6:,.0f} MB",
                f"give one home's readings, at most {MOST_BYTES / 1e6:,.0f} MB",
            )
        raw = path.read_bytes()
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise _refused(path.name, f"the file cannot be read: {reason}", "check the path") from error
    if not raw.strip():
        raise _refused(path.name, "the file is empty", "download it again")
    return raw


def _decoded(raw: bytes, name: str) -> str:
    for magic, kind, mend in _MAGIC:
        if raw.startswith(magic):
            raise _refused(name, f"the file is {kind}, not text", mend)
    for encoding in _encodings(raw):
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text and text.strip():
            return text
    raise _refused(name, "the file is not text", "save it as UTF-8 text")


def _encodings(raw: bytes) -> tuple[str, ...]:
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return ("utf-16",)
    if raw.startswith(b"\xef\xbb\xbf"):
        return ("utf-8-sig",)
    if raw[1:2] == b"\0":
        return ("utf-16-le",)
    if raw[:1] == b"\0":
        return ("utf-16-be",)
    return ("utf-8", "latin-1")


def _refused(name: str, problem: str, mend: str) -> FileError:
    fault = Fault("file", problem, mend=mend, file=name)
    return FileError("The meter file cannot be used.", [fault])
