"""Charts dressed for the page: in its colours, light or dark, and with words for those who
cannot see them."""

from __future__ import annotations

import re
from collections.abc import Collection
from xml.etree import ElementTree as ET

from tankful.report import look

SVG = "http://www.w3.org/2000/svg"
UNWANTED = re.compile(r"aria-|role$|class$|pointer-events$|version$")
"""What the drawing says of itself: marks one by one, which nobody wants read out."""

INKS = {
    look.INK: "ink",
    look.SOFT: "soft",
    look.FAINT: "faint",
    look.SUN: "sun",
    look.ROOF: "roof",
    look.GRID: "grid",
    look.GAS: "gas",
    look.HOUSE: "house",
    look.WATER: "water",
    look.TAPS: "taps",
    look.OTHER: "other",
    look.OTHER_DARK: "other-dark",
    look.MORE: "more",
    look.HALO: "halo",
    look.DEFAULT_ACCENT: "accent",
    look.tint(look.DEFAULT_ACCENT, 0.45): "accent-light",
}
"""Colours of charts to the page's names for them; the style sheet says what they are."""

ET.register_namespace("", SVG)


def inked(svg: str, *, name: str, title: str, alt: str, keep: Collection[str] = ()) -> str:
    """A chart as one image for assistive tools, with ``title`` and ``alt``; its colours are the
    page's but for those to ``keep``. ``name`` tells its inner ids from those of other charts."""
    root = ET.fromstring(svg)  # noqa: S314 - drawn by ourselves
    for element in root.iter():
        for key, value in list(element.attrib.items()):
            if UNWANTED.match(key):
                del element.attrib[key]
            elif key in ("fill", "stroke") and value in INKS and value not in keep:
                element.set(key, f"var(--p-{INKS[value]})")
            elif key == "id":
                element.set(key, f"{name}-{value}")
            elif value.startswith("url(#"):
                element.set(key, value.replace("url(#", f"url(#{name}-"))
    root.set("class", "drawn")
    root.set("role", "img")
    root.set("aria-labelledby", f"{name}-title")
    root.set("aria-describedby", f"{name}-desc")
    for place, (tag, words) in enumerate((("title", title), ("desc", alt))):
        element = ET.Element(f"{{{SVG}}}{tag}", {"id": f"{name}-{tag}"})
        element.text = words
        root.insert(place, element)
    return ET.tostring(root, encoding="unicode")


PLANE = re.compile(
    r'transform="translate\(([\d.]+),([\d.]+)\)".*?d="M[\d.]+,[\d.]+h([\d.]+)v([\d.]+)', re.DOTALL
)


def plane_of(svg: str) -> tuple[float, ...]:
    """Left, top, width and height of a chart's plane in the drawing's own units."""
    found = PLANE.search(svg)
    assert found is not None
    return tuple(map(float, found.groups()))
