"""Charts to SVG. The same call gives the same bytes."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any

from tankful.report.look import chart_config, fonts_folder

VEGA_LITE = "6.4"
PNG_SCALE = 2.0
"""Pixels of a PNG for each of the chart's own."""

PICTURES = ("svg", "png", "pdf")
"""Kinds of picture, by the suffix of a file."""


@lru_cache(maxsize=1)
def _renderer() -> Any:
    import vl_convert

    vl_convert.register_font_directory(str(fonts_folder()))
    return vl_convert


def to_svg(spec: dict[str, Any]) -> str:
    """One chart as SVG text with its words as text."""
    whole = {"config": chart_config(), **spec}
    svg: str = _renderer().vegalite_to_svg(whole, vl_version=VEGA_LITE)
    return _steady_ids(svg)


def to_picture(spec: dict[str, Any], kind: str) -> bytes:
    """One chart on white as the content of a file: ``svg``, ``png`` or ``pdf``."""
    if kind == "svg":
        return to_svg({**spec, "background": "white"}).encode("utf-8")
    whole = {"config": chart_config(), **spec, "background": "white"}
    vl = _renderer()
    if kind == "png":
        return bytes(vl.vegalite_to_png(whole, vl_version=VEGA_LITE, scale=PNG_SCALE))
    return bytes(vl.vegalite_to_pdf(whole, vl_version=VEGA_LITE))


def _steady_ids(svg: str) -> str:
    """Numbered names (gradients, clips) count from 1 in each chart, not through the process."""
    names = list(dict.fromkeys(re.findall(r'id="([a-z]+[_-]?)(\d+)"', svg)))
    for i, (stem, number) in enumerate(names, start=1):
        svg = re.sub(rf"(?<=[\"#]){re.escape(stem)}{number}(?=[\")])", f"{stem}n{i}", svg)
    return svg
