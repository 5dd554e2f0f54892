"""A case file's bytes to text: every way a file can be unfit ends in a fault with its mend."""

from __future__ import annotations

import codecs
import stat
from pathlib import Path

from tankful.errors import CaseError, Fault

MAX_BYTES = 1_000_000
"""A case of one home takes a few kilobytes; more is a mistake or an attack."""

_UTF16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)


def read_text(path: Path) -> str:
    """The text of a case file, line ends as ``\\n``, without a byte order mark.

    CaseError when it is missing, unreadable, not a regular file, larger than a megabyte,
    or not UTF-8 text.
    """
    return decoded(_read_bytes(path), path)


def decoded(raw: bytes, path: Path) -> str:
    """The text of a case file's bytes, as ``read_text`` gives it; ``path`` is for its faults.

    CaseError when they are more than a megabyte, or not UTF-8 text.
    """
    if len(raw) > MAX_BYTES:
        raise _too_large(path, len(raw))
    if raw.startswith(_UTF16):
        raise _refuse(path, "the file is encoded as UTF-16", 'save it again as "UTF-8"')
    raw = raw.removeprefix(codecs.BOM_UTF8)
    if b"\0" in raw:
        raise _refuse(path, "the file is not text", "give the case file, not a program or document")
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        raise _refuse(
            path,
            "the file is not UTF-8 text",
            'save it again as "UTF-8"',
            line=raw.count(b"\n", 0, error.start) + 1,
            value=f"byte 0x{raw[error.start]:02x}",
        ) from None
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _read_bytes(path: Path) -> bytes:
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise _refuse(path, "this is a folder", "give the case file inside it")
        if not stat.S_ISREG(status.st_mode):
            raise _refuse(path, "this is not a regular file", "save the case as a file first")
        if status.st_size <= MAX_BYTES:
            with path.open("rb") as handle:
                raw = handle.read(MAX_BYTES + 1)
            if len(raw) <= MAX_BYTES:
                return raw
    except FileNotFoundError:
        raise _refuse(
            path, "there is no such file", "check the name, or write one with tankful new"
        ) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _refuse(
            path, f"the file cannot be read: {reason}", "check its name and permissions"
        ) from None
    raise _too_large(path, status.st_size)


def _too_large(path: Path, size: int) -> CaseError:
    return _refuse(
        path,
        "the file is too large to be a case",
        "keep meter readings in a file of their own and name it in meter_file",
        value=f"{size:,} bytes",
        allowed=f"at most {MAX_BYTES:,} bytes",
    )


def _refuse(
    path: Path,
    problem: str,
    mend: str,
    *,
    line: int | None = None,
    value: str = "",
    allowed: str = "",
) -> CaseError:
    fault = Fault(
        field="",
        problem=problem,
        value=value,
        allowed=allowed,
        mend=mend,
        line=line,
        file=printable(str(path)),
    )
    return CaseError("The case file cannot be read.", [fault])


def printable(text: str) -> str:
    """Text safe to show: what is not printable appears as an escape."""
    return "".join(c if c.isprintable() else ascii(c)[1:-1] for c in text)
