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
        if path.is_file() and path.stat().st_size > MAX_BYTES:
            raise _refuse(
                path, "the logo is too large", f"at most {MAX_BYTES:,} bytes", "save it smaller"
            )
        data = path.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _refuse(
            path, f"the logo cannot be read: {reason}", ALLOWED, "check its name"
        ) from None
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
        if len(data) >= 24 and max(struct.unpack(">II", data[16:24])) > MAX_PIXELS:
            raise _refuse(
                path,
                "the logo has too many pixels",
                f"at most {MAX_PIXELS:,} wide and high",
                "save it smaller",
            )
        return "png"
    if data.startswith(b"\xff\xd8\xff"):
        return "jpg"
    if b"<svg" in data[:4_000]:
        return "svg"
    raise _refuse(path, "the logo is not a picture of a known kind", ALLOWED, "save it as PNG")


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
        if tag in _UNSAFE_TAGS:
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
