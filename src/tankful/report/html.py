"""The document as one HTML file that needs nothing else and runs nothing."""

from __future__ import annotations

import base64
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from tankful.report.branding import Branding
from tankful.report.document import Document, plain
from tankful.report.look import FONT, font_ranges, fonts_folder

if TYPE_CHECKING:
    from jinja2 import Template
    from markupsafe import Markup

WEIGHTS = (400, 600)


def to_html(
    document: Document, branding: Branding, charts: dict[str, str], look: dict[str, str]
) -> str:
    """Render a document. ``charts`` are SVG texts by id, ``look`` the colours by name."""
    logo = branding.logo
    return _template().render(
        doc=plain(document),
        charts=charts,
        look={**look, "font": FONT, "ranges": _unicode_range()},
        fonts=[
            {"family": FONT, "weight": weight, "data": _font_data(weight)} for weight in WEIGHTS
        ],
        adviser={"name": branding.name, "contact": branding.contact},
        logo=f"data:{logo.media_type};base64,{base64.b64encode(logo.data).decode()}"
        if logo
        else "",
    )


@lru_cache(maxsize=1)
def _template() -> Template:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("tankful.report", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
    )
    environment.filters["svg"] = _drawn
    return environment.get_template("report.html.j2")


def _drawn(svg: Any) -> Markup:
    """A chart that we drew ourselves; its words were escaped when it was drawn."""
    from markupsafe import Markup

    return Markup(svg)  # noqa: S704


def _unicode_range() -> str:
    """What of a text the font sets: without it, letters that it has not would be pieced together
    from accents rather than taken from another font."""
    return ", ".join(f"U+{low:X}-{high:X}" for low, high in font_ranges())


@lru_cache(maxsize=4)
def _font_data(weight: int) -> str:
    return base64.b64encode((fonts_folder() / f"figtree-{weight}.woff2").read_bytes()).decode()
