"""A logo file, taken only when it is a sound picture that can do nothing but be seen."""

from __future__ import annotations

import re
import struct
from dataclasses import dataclass
from pathlib import Path
from typing import Literal
from xml.etree import ElementTree

from tankful.errors import Fault, FileError

MAX_BYTES = 500_000
MAX_PIXELS = 4_000
ALLOWED = "a PNG, JPEG or SVG picture"
Kind = Literal["png", "jpg", "svg"]

_UNSAFE_TAGS = {"script", "foreignobject", "iframe", "audio", "video", "embed", "object", "use"}
_ENDLESS_TAGS = {"filter", "pattern", "mask"}
"""A few letters of these can ask for hours of drawing."""
_UNSAFE_STYLE = re.compile(r"@import|url\(\s*['\"]?(?!#)|expression\(|javascript:", re.IGNORECASE)


@dataclass(frozen=True)
class Logo:
    """A picture's bytes and kind."""

    data: bytes
    kind: Kind

    @property
    def media_type(self) -> str:
        """The type by its IANA name."""
        return {"png": "image/png", "jpg": "image/jpeg", "svg": "image/svg+xml"}[self.kind]


def read_logo(path: Path) -> Logo:
    """Read and check a logo. FileError when it is missing, too large, of another kind, cut
    off, or an SVG that could run or load something."""
    try:
        if path.exists() and not path.is_file():  # a pipe or device may never end
            raise _refuse(path, "the logo is not a file", ALLOWED, "check its name")
        with path.open("rb") as handle:
            data = handle.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _refuse(
            path, f"the logo cannot be read: {reason}", ALLOWED, "check its name"
        ) from None
    if len(data) > MAX_BYTES:
        raise _refuse(
            path, "the logo is too large", f"at most {MAX_BYTES:,} bytes", "save it smaller"
        )
    logo = Logo(data, _kind(path, data))
    if logo.kind == "svg":
        _check_svg(path, data)
    _check_draws(path, logo)
    return logo


def _refuse(path: Path, problem: str, allowed: str, mend: str) -> FileError:
    fault = Fault(field="logo", problem=problem, allowed=allowed, mend=mend, file=str(path))
    return FileError("The logo cannot be used.", [fault])


def _kind(path: Path, data: bytes) -> Kind:
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        if len(data) >= 24:
            _check_pixels(path, *struct.unpack(">II", data[16:24]))
        return "png"
    if data.startswith(b"\xff\xd8\xff"):
        _check_pixels(path, *_jpeg_size(data))
        return "jpg"
    if b"<svg" in data[:4_000]:
        return "svg"
    raise _refuse(path, "the logo is not a picture of a known kind", ALLOWED, "save it as PNG")


def _check_pixels(path: Path, width: int, height: int) -> None:
    if max(width, height) > MAX_PIXELS:
        allowed = f"at most {MAX_PIXELS:,} wide and high"
        raise _refuse(path, "the logo has too many pixels", allowed, "save it smaller")


def _jpeg_size(data: bytes) -> tuple[int, int]:
    """Width and height that a JPEG's frame header tells (ITU-T T.81, B.2.2, from memory);
    noughts when it has none."""
    at = 2
    while at + 9 <= len(data) and data[at] == 0xFF:
        marker = data[at + 1]
        if 0xC0 <= marker <= 0xCF and marker not in (0xC4, 0xC8, 0xCC):
            height, width = struct.unpack(">HH", data[at + 5 : at + 9])
            return width, height
        at += 1 if marker == 0xFF else 2 + int.from_bytes(data[at + 2 : at + 4])
    return 0, 0


def _check_svg(path: Path, data: bytes) -> None:
    """Refuse declarations, scripts, handlers, and anything from outside the file."""
    mend = "save it as plain SVG or as PNG"
    allowed = "an SVG of shapes and text alone"
    if b"<!" in data.replace(b"<!--", b"").replace(b"<![CDATA[", b""):
        raise _refuse(path, "the SVG declares a document type or entities", allowed, mend)
    try:
        root = ElementTree.fromstring(data)  # noqa: S314  declarations were refused above
    except (ElementTree.ParseError, ValueError) as error:
        raise _refuse(path, f"the SVG is broken: {error}", allowed, mend) from None
    for node in root.iter():
        tag = str(node.tag).rpartition("}")[2].lower()
        if tag in _UNSAFE_TAGS | _ENDLESS_TAGS:
            raise _refuse(path, f"the SVG holds <{tag}>", allowed, mend)
        if tag == "style" and _UNSAFE_STYLE.search(node.text or ""):
            raise _refuse(path, "the SVG's style loads something", allowed, mend)
        for name, value in node.attrib.items():
            plain = name.rpartition("}")[2].lower()
            outside = plain in ("href", "src") and not value.strip().startswith("#")
            if plain.startswith("on") or outside or _UNSAFE_STYLE.search(value):
                raise _refuse(path, f"the SVG has an unsafe {plain}", allowed, mend)


def _check_draws(path: Path, logo: Logo) -> None:
    """Draw it once alone, so that a broken picture is named here and not in the report."""
    from tankful.report.pdf import draws

    problem = draws(logo)
    if problem:
        raise _refuse(path, f"the logo is broken: {problem}", ALLOWED, "save it again")
