"""The document as PDF: tagged, with title, language and bookmarks."""

from __future__ import annotations

import json
import re
import unicodedata
from importlib import resources
from typing import TYPE_CHECKING, Any, Literal

from tankful.errors import Fault, OutputError
from tankful.report.branding import Branding
from tankful.report.document import Document, plain
from tankful.report.look import FONT, OTHER_FONT, font_ranges, fonts_folder

if TYPE_CHECKING:
    from tankful.report.logo import Logo

STANDARD: Literal["ua-1"] = "ua-1"
"""PDF/UA-1 (ISO 14289-1): readable by machines that read aloud; refuses missing letters."""

LONGEST_WORD = 24
"""A longer word may be broken anywhere, so that nothing runs over the margin."""

SPECS = ("spec", "low_spec")

BREAK_HERE = "\u200b"


def to_pdf(
    document: Document,
    branding: Branding,
    charts: dict[str, str],
    low_charts: dict[str, str],
    look: dict[str, str],
) -> bytes:
    """Render a document. ``charts`` are SVG texts by id, ``look`` the colours by name. The first
    section stays on the first page: where it would not fit, it takes ``low_charts`` and then
    smaller type.

    OutputError when no font at hand has a letter of the text.
    """
    data = {
        **_breakable(_without_specs(plain(document))),
        "charts": charts,
        "low_charts": low_charts,
        "look": {**look, "font": FONT, "other_font": OTHER_FONT, "foreign": _foreign()},
        "adviser": _breakable({"name": branding.name, "contact": list(branding.contact)}),
        "logo": _logo_data(branding.logo),
    }
    source = resources.files("tankful.report").joinpath("templates", "report.typ").read_bytes()
    inputs = {"data": json.dumps(data)}
    try:
        return _compile(source, inputs, own_fonts_only=True)
    except Exception as error:
        if not _missing(error):
            raise
    try:
        return _compile(source, inputs, own_fonts_only=False)
    except Exception as error:
        letter = _missing(error)
        if not letter:
            raise
        raise _no_letter(letter) from None


def _foreign() -> str:
    """The pattern of a word with a letter that the font has not. Shaping would piece some of them
    together from accents, badly, rather than take them from another font."""
    own = "".join(f"\\u{{{low:x}}}-\\u{{{high:x}}}" for low, high in font_ranges())
    return rf"\S*[^{own}\s\u{{200b}}-\u{{200d}}\u{{ad}}]\S*"


def _no_letter(letter: str) -> OutputError:
    fault = Fault(
        field="--pdf",
        problem="no font at hand has a letter of the text",
        value=letter,
        mend="install a font that has it, spell the name otherwise, or write the HTML report",
    )
    return OutputError("The PDF report was not written.", [fault])


def _compile(source: bytes, inputs: dict[str, str], *, own_fonts_only: bool) -> bytes:
    import typst

    fonts = typst.Fonts(include_system_fonts=not own_fonts_only, font_paths=[str(fonts_folder())])
    return typst.compile(
        source, format="pdf", sys_inputs=inputs, font_paths=fonts, pdf_standards=[STANDARD]
    )


def _missing(error: Exception) -> str:
    """The letter that the fonts lack, when that is what the error is about; else empty."""
    found = re.search(r'the text `"(.+?)"` could not be displayed', str(error))
    return found[1] if found else ""


def _logo_data(logo: Logo | None) -> dict[str, Any] | None:
    if logo is None:
        return None
    return {"bytes": list(logo.data), "format": logo.kind}


def draws(logo: Logo) -> str:
    """Draw a logo alone; what is wrong with it, or nothing."""
    import typst

    source = (
        b'#let l = json(bytes(sys.inputs.at("data")))\n'
        b"#image(bytes(l.bytes), format: l.format, height: 1cm)"
    )
    try:
        typst.compile(
            source,
            format="pdf",
            sys_inputs={"data": json.dumps(_logo_data(logo))},
            ignore_system_fonts=True,
        )
    except typst.TypstError as error:
        return str(error).partition("\n")[0]
    return ""


def _without_specs(value: Any) -> Any:
    """Plain data without the charts' definitions, which are drawn already."""
    if isinstance(value, list):
        return [_without_specs(item) for item in value]
    if isinstance(value, dict):
        return {key: _without_specs(item) for key, item in value.items() if key not in SPECS}
    return value


def _breakable(value: Any) -> Any:
    """Text with places to break in overlong words, all through plain data."""
    if isinstance(value, str):
        whole = unicodedata.normalize("NFC", value)  # letters that fonts have, not their parts
        return re.sub(rf"\S{{{LONGEST_WORD + 1},}}", _with_breaks, whole)
    if isinstance(value, list):
        return [_breakable(item) for item in value]
    if isinstance(value, dict):
        return {key: _breakable(item) for key, item in value.items()}
    return value


def _with_breaks(match: re.Match[str]) -> str:
    word = match[0]
    size = LONGEST_WORD // 2
    return BREAK_HERE.join(word[i : i + size] for i in range(0, len(word), size))
