"""From the facts to the finished files."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tankful.errors import Fault, OutputError
from tankful.model.report_facts import ReportFacts
from tankful.paths import write_whole
from tankful.report.branding import Branding
from tankful.report.build import build_document
from tankful.report.draw import PICTURES, to_picture, to_svg
from tankful.report.html import to_html
from tankful.report.look import DEFAULT_ACCENT, FAINT, INK, SOFT, tint
from tankful.report.pdf import to_pdf

PLAIN = Branding()


@dataclass(frozen=True)
class Rendered:
    """The finished report; ``None`` for what was not asked for."""

    pdf: bytes | None
    html: str | None


def render_report(
    facts: ReportFacts,
    branding: Branding = PLAIN,
    *,
    pdf: bool = True,
    html: bool = True,
    short: bool = False,
) -> Rendered:
    """Both renderings of one document, the whole or the ``short`` one. OutputError when no font
    has a letter of the text."""
    document = build_document(facts, branding, short=short)
    charts = {chart.id: to_svg(chart.spec) for chart in document.charts}
    low = {c.id: to_svg(c.low_spec) for c in document.charts if pdf and c.low_spec}
    accent = branding.accent or DEFAULT_ACCENT
    look = {
        "accent": accent,
        "pale": tint(accent, 0.08),
        "ink": INK,
        "soft": SOFT,
        "faint": FAINT,
    }
    return Rendered(
        pdf=to_pdf(document, branding, charts, low, look) if pdf else None,
        html=to_html(document, branding, charts, look) if html else None,
    )


def write_report(
    facts: ReportFacts,
    branding: Branding = PLAIN,
    *,
    pdf: Path | None = None,
    html: Path | None = None,
    short: bool = False,
) -> None:
    """Write the report to files, each whole or not at all.

    OutputError when a file cannot be written or a letter cannot be shown.
    """
    made = render_report(facts, branding, pdf=pdf is not None, html=html is not None, short=short)
    if pdf is not None and made.pdf is not None:
        _write(pdf, made.pdf)
    if html is not None and made.html is not None:
        _write(html, made.html.encode("utf-8"))


def picture_kind(path: Path) -> str:
    """What a picture file is to be, by its suffix. OutputError when that is none we draw."""
    kind = path.suffix.lower().removeprefix(".")
    if kind in PICTURES:
        return kind
    fault = Fault(
        field="",
        problem="is no kind of picture that can be drawn",
        value=path.suffix,
        allowed=", ".join(f".{name}" for name in PICTURES),
        mend="end the name in one of them",
        file=str(path),
    )
    raise OutputError("The picture was not drawn.", [fault])


def write_picture(path: Path, spec: dict[str, Any]) -> None:
    """Write one chart to a file, whole or not at all. OutputError when that fails."""
    _write(path, to_picture(spec, picture_kind(path)))


def _write(path: Path, data: bytes) -> None:
    try:
        write_whole(path, lambda draft: draft.write_bytes(data))
    except OSError as error:
        fault = Fault(
            field="",
            problem=error.strerror or str(error),
            mend="check that the folder exists and may be written, and that the disk is not full",
            file=str(path),
        )
        raise OutputError("The result could not be written.", [fault]) from None
