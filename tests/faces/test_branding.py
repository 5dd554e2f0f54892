"""The adviser's branding file: every fault at once, and no picture that could do anything."""

from __future__ import annotations

import os
import struct
import zlib
from pathlib import Path

import pytest

from tankful.errors import FileError
from tankful.report.branding import Branding, load_branding
from tankful.report.logo import MAX_BYTES

SVG = b'<svg xmlns="http://www.w3.org/2000/svg" width="80" height="20">%s</svg>'
BOX = b'<rect width="80" height="20" fill="#0f5a63"/>'


def png(width: int = 2, height: int = 2) -> bytes:
    """A grey picture, by the PNG specification (ISO/IEC 15948)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        check = zlib.crc32(kind + data)
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", check)

    rows = b"".join(b"\0" + b"\x80" * width for _ in range(height))
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


def brand(folder: Path, text: str, logo: bytes | None = None, name: str = "logo.png") -> Path:
    if logo is not None:
        (folder / name).write_bytes(logo)
    path = folder / "brand.toml"
    path.write_text(text, encoding="utf-8")
    return path


def faults(path: Path) -> str:
    with pytest.raises(FileError) as caught:
        load_branding(path)
    assert all(fault.file for fault in caught.value.faults)
    return str(caught.value)


def test_a_whole_branding_file_is_read(tmp_path: Path) -> None:
    text = (
        'name = "An adviser"\ncontact = ["1 Example Street", "me@example.org"]\n'
        'logo = "logo.png"\naccent = "#6B2D5C"\nforeword = "Hello."\nclosing = "Bye."\n'
    )
    found = load_branding(brand(tmp_path, text, png()))
    assert found.name == "An adviser"
    assert found.contact == ("1 Example Street", "me@example.org")
    assert found.accent == "#6b2d5c"
    assert found.logo is not None
    assert found.logo.media_type == "image/png"


def test_an_empty_file_changes_nothing(tmp_path: Path) -> None:
    assert load_branding(brand(tmp_path, "")) == Branding()


def test_every_fault_is_told_at_once(tmp_path: Path) -> None:
    text = 'nmae = "x"\naccent = "#ffee00"\nforeword = 3\ncontact = [1]\nlogo = "none.png"\n'
    told = faults(brand(tmp_path, text))
    for words in ("nmae: unknown key", "too light", "foreword: not plain", "contact", "none.png"):
        assert words in told


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("name = ", "write a value"),
        ('name = "a\\u001bb"', "not plain text"),
        (f'name = "{"x" * 81}"', "too long"),
        ('accent = "red"', "not a colour"),
        ('accent = "#12345g"', "not a colour"),
        ('logo = "a\\u0000b"', "not a file name"),
    ],
)
def test_unfit_text_is_refused(text: str, words: str, tmp_path: Path) -> None:
    assert words in faults(brand(tmp_path, text))


@pytest.mark.parametrize("data", [b"\xff\xfe\0", b"x" * 2_000_000], ids=["not text", "too large"])
def test_an_unfit_file_is_refused(data: bytes, tmp_path: Path) -> None:
    path = tmp_path / "brand.toml"
    path.write_bytes(data)
    assert "branding file cannot be read" in faults(path)
    assert "cannot be read" in faults(tmp_path)
    assert "cannot be read" in faults(tmp_path / "none.toml")


@pytest.mark.parametrize(
    ("inside", "words"),
    [
        (b"<script>1</script>", "<script>"),
        (b'<rect onload="x()"/>', "unsafe onload"),
        (b'<image href="http://example.org/a.png"/>', "unsafe href"),
        (b'<image xmlns:x="http://www.w3.org/1999/xlink" x:href="file:///etc/passwd"/>', "href"),
        (b"<foreignObject><p/></foreignObject>", "foreignobject"),
        (b"<style>@import 'http://example.org/a.css';</style>", "style"),
        (b'<rect style="fill:url(http://example.org/a)"/>', "unsafe style"),
        (b"<rect>", "broken"),
        (b'<use href="#a"/>', "<use>"),
        (b'<filter id="f"><feGaussianBlur stdDeviation="5000"/></filter>', "<filter>"),
        (b'<pattern id="p" width="0.001" height="0.001"/>', "<pattern>"),
    ],
)
def test_a_hostile_or_broken_svg_is_refused(inside: bytes, words: str, tmp_path: Path) -> None:
    path = brand(tmp_path, 'logo = "logo.svg"', SVG % inside, "logo.svg")
    assert words in faults(path)


def test_an_svg_with_entities_is_refused(tmp_path: Path) -> None:
    data = b'<!DOCTYPE svg [<!ENTITY a "b">]>' + SVG % b"<text>&a;</text>"
    path = brand(tmp_path, 'logo = "logo.svg"', data, "logo.svg")
    assert "document type" in faults(path)


def test_a_plain_svg_is_taken(tmp_path: Path) -> None:
    path = brand(tmp_path, 'logo = "logo.svg"', SVG % BOX, "logo.svg")
    found = load_branding(path).logo
    assert found is not None
    assert found.kind == "svg"


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (png()[:40], "broken"),
        (png()[:33] + b"x" * 100, "broken"),
        (b"GIF89a" + b"\0" * 40, "not a picture of a known kind"),
        (b"<html></html>", "not a picture of a known kind"),
        (b"", "not a picture of a known kind"),
        (b"\x89PNG\r\n\x1a\n" + b"\0" * (MAX_BYTES + 1), "too large"),
        (png(4_001, 1), "too many pixels"),
        (b"\xff\xd8\xff\xe0" + b"\0" * 50, "broken"),
        (b"\xff\xd8\xff\xe0\0\4ab\xff\xc0\0\x0b\x08\xff\xff\xff\xff", "too many pixels"),
    ],
    ids=["cut", "garbled", "gif", "page", "empty", "large", "wide", "broken jpeg", "wide jpeg"],
)
def test_a_broken_logo_is_refused(data: bytes, words: str, tmp_path: Path) -> None:
    assert words in faults(brand(tmp_path, 'logo = "logo.png"', data))


def test_a_fault_names_its_line(tmp_path: Path) -> None:
    assert "brand.toml:3: accent: not a colour" in faults(
        brand(tmp_path, 'name = "x"\n\naccent = "red"\n')
    )


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("name = " + "[" * 20_000, "nested too deeply"),
        (".".join(["a"] * 20_000) + " = 1", "too many parts"),
        ("name = " + "9" * 9_000, "too many digits"),
    ],
    ids=["deep", "long key", "long number"],
)
def test_what_would_choke_the_parser_is_refused(text: str, words: str, tmp_path: Path) -> None:
    assert words in faults(brand(tmp_path, text))


def test_a_pipe_is_never_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "logo.png")
    assert "not a file" in faults(brand(tmp_path, 'logo = "logo.png"'))
    assert "not a regular file" in faults(tmp_path / "logo.png")
