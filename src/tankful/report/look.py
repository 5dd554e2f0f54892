"""Colours, type and the common settings of charts.

The colours of energy differ in lightness as well as in hue, so that they part company in
grey print and for colour-blind readers: sun light, gas middle, grid dark.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from pathlib import Path
from typing import Any

FONT = "Figtree"
OTHER_FONT = "Noto Sans"
"""Sets in print the words with letters that ``FONT`` has not."""
INK = "#1f2933"
SOFT = "#5b6770"
FAINT = "#d5dbe0"
SUN = "#f2b134"
ROOF = "#d9731a"
GRID = "#23406e"
GAS = "#8d8d8d"
HOUSE = "#8a3f6b"
WATER = "#0f7c86"
TAPS = "#6aa9b0"
OTHER = "#c3ccd3"
OTHER_DARK = "#8a98a3"
DEFAULT_ACCENT = "#0f5a63"
MORE = "#d08a4e"
"""A step of a waterfall that costs."""
HALO = "#fefefe"
"""Around a line that crosses areas."""
WIDTH = 640
"""Charts are drawn this wide, in pixels; both renderings scale them to the page."""


@dataclass(frozen=True)
class Room:
    """What a chart has room for: its width in pixels, characters in a line of a name, ticks
    along, words at the ends of bars as a share of the longest, and one letter of them."""

    width: int
    characters: int
    ticks: int
    ends: float
    letter: float

    @property
    def is_narrow(self) -> bool:
        return self.width < WIDTH


WIDE = Room(WIDTH, characters=46, ticks=5, ends=0.15, letter=0.019)
NARROW = Room(340, characters=19, ticks=3, ends=0.42, letter=0.034)
"""For a narrow page, on which a wide chart would shrink beyond reading."""


def fonts_folder() -> Path:
    """Where the shipped fonts lie."""
    return Path(str(resources.files("tankful.report").joinpath("fonts")))


@lru_cache(maxsize=1)
def font_ranges() -> tuple[tuple[int, int], ...]:
    """First and last characters of the stretches of Unicode that ``FONT`` has."""
    lines = (fonts_folder() / "figtree.ranges").read_text(encoding="ascii").split()
    spans = (line.removeprefix("U+").split("-") for line in lines)
    return tuple((int(low, 16), int(high, 16)) for low, high in spans)


def tint(colour: str, share: float) -> str:
    """A colour mixed with white: ``share`` 1 is the colour itself."""
    parts = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return "#" + "".join(f"{round(255 - (255 - part) * share):02x}" for part in parts)


def luminance(colour: str) -> float:
    """Relative luminance 0..1 of an sRGB colour (WCAG 2.1, definition of it, from memory)."""
    channels = []
    for i in (1, 3, 5):
        c = int(colour[i : i + 2], 16) / 255.0
        channels.append(c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4)
    return 0.2126 * channels[0] + 0.7152 * channels[1] + 0.0722 * channels[2]


def contrast_on_white(colour: str) -> float:
    """Contrast ratio 1..21 of a colour on white (WCAG 2.1, from memory)."""
    return 1.05 / (luminance(colour) + 0.05)


def chart_config() -> dict[str, Any]:
    """Type and lines that every chart shares."""
    return {
        "font": FONT,
        "background": None,
        "view": {"stroke": None},
        "axis": {
            "labelColor": SOFT,
            "labelFontSize": 12,
            "titleColor": SOFT,
            "titleFontSize": 12,
            "titleFontWeight": "normal",
            "domainColor": FAINT,
            "tickColor": FAINT,
            "gridColor": FAINT,
            "gridOpacity": 0.7,
            "labelPadding": 6,
        },
        "text": {"color": INK, "fontSize": 12},
        "legend": {
            "orient": "top",
            "title": None,
            "labelColor": INK,
            "labelFontSize": 12,
            "symbolType": "square",
            "symbolSize": 110,
            "columnPadding": 18,
            "offset": 12,
        },
        "title": {"color": INK, "fontSize": 13, "fontWeight": 600, "anchor": "start"},
    }
