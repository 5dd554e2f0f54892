"""Make the report's fonts from the web fonts of a package registry.

    npm pack @fontsource/figtree@5.3.0 and @fontsource/noto-sans@5.3.0, unpack them, then
    python builders/build_report_fonts.py FIGTREE/package NOTO/package

joins the parts of each weight into one TrueType file (print and charts) and, of Figtree, the same
as WOFF2 (web). Noto Sans sets in print the words with letters that Figtree has not: Vietnamese,
Greek, Cyrillic, rarer Latin. What Figtree has stands in ``figtree.ranges``. Needs fonttools and
brotli. Both are under the SIL Open Font License 1.1, which allows this, without reserved names.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from fontTools.merge import Merger
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

WEIGHTS = (400, 600)
OUT = Path(__file__).parents[1] / "src/tankful/report/fonts"

FIGTREE = ("latin", "latin-ext")
NOTO = (*FIGTREE, "vietnamese", "greek", "greek-ext", "cyrillic", "cyrillic-ext")
NOTO_BLOCKS = (
    (0x0020, 0x024F),  # Latin and its extensions A and B
    (0x02B0, 0x036F),  # modifier letters, combining marks
    (0x0370, 0x052F),  # Greek, Cyrillic
    (0x1E00, 0x1FFF),  # Latin extended additional (Vietnamese), Greek extended
    (0x2000, 0x206F),  # punctuation
    (0x20A0, 0x20CF),  # signs of currencies
)


def joined(source: Path, name: str, parts: tuple[str, ...], weight: int, folder: Path) -> TTFont:
    """The parts of one weight as one plain TrueType font."""
    paths = []
    for part in parts:
        font = TTFont(source / "files" / f"{name}-{part}-{weight}-normal.woff2")
        font.flavor = None
        paths.append(str(folder / f"{name}-{part}-{weight}.ttf"))
        font.save(paths[-1])
    return Merger().merge(paths)


def named(font: TTFont, family: str, weight: int) -> TTFont:
    """The font as one weight of a family."""
    for name_id, text in ((1, family), (2, "Regular")):
        font["name"].setName(text, name_id, 3, 1, 0x409)
    for name_id in (16, 17):
        font["name"].removeNames(nameID=name_id)
    font["OS/2"].usWeightClass = weight
    return font


def narrowed(font: TTFont, blocks: tuple[tuple[int, int], ...]) -> TTFont:
    """The font with nothing but some blocks of Unicode."""
    options = Options(notdef_outline=True, hinting=False, layout_features=["*"])
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=[code for low, high in blocks for code in range(low, high + 1)])
    subsetter.subset(font)
    return font


def ranges(font: TTFont) -> str:
    """The characters of a font as CSS writes them, a range a line."""
    runs: list[list[int]] = []
    for code in sorted(font.getBestCmap()):
        if runs and runs[-1][1] == code - 1:
            runs[-1][1] = code
        else:
            runs.append([code, code])
    return "".join(f"U+{low:04X}-{high:04X}\n" for low, high in runs)


def main() -> None:
    figtree, noto = map(Path, sys.argv[1:3])
    with tempfile.TemporaryDirectory() as folder:
        for weight in WEIGHTS:
            font = named(
                joined(figtree, "figtree", FIGTREE, weight, Path(folder)), "Figtree", weight
            )
            font.save(OUT / f"figtree-{weight}.ttf")
            (OUT / "figtree.ranges").write_text(ranges(font), encoding="ascii")
            font.flavor = "woff2"
            font.save(OUT / f"figtree-{weight}.woff2")
            font = joined(noto, "noto-sans", NOTO, weight, Path(folder))
            font = named(narrowed(font, NOTO_BLOCKS), "Noto Sans", weight)
            font.save(OUT / f"noto-sans-{weight}.ttf")
    shutil.copy(figtree / "LICENSE", OUT / "LICENSE.txt")
    shutil.copy(noto / "LICENSE", OUT / "LICENSE-noto-sans.txt")


if __name__ == "__main__":
    main()
