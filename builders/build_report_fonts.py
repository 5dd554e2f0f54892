"""Make the report's fonts from the web fonts of a package registry.

    npm pack @fontsource/figtree@5.3.0 and unpack it, then
    python builders/build_report_fonts.py FOLDER/package

joins the Latin and extended Latin parts of each weight into one TrueType file (print and
charts) and the same as WOFF2 (web). Needs fonttools and brotli. The fonts are under the SIL
Open Font License 1.1, which allows this and has no reserved font name here.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from fontTools.merge import Merger
from fontTools.ttLib import TTFont

NAME = "figtree"
WEIGHTS = (400, 600)
PARTS = ("latin", "latin-ext")
OUT = Path(__file__).parents[1] / "src/tankful/report/fonts"


def part(source: Path, subset: str, weight: int, folder: Path) -> Path:
    """One subset of one weight as plain TrueType."""
    font = TTFont(source / "files" / f"{NAME}-{subset}-{weight}-normal.woff2")
    font.flavor = None
    path = folder / f"{subset}-{weight}.ttf"
    font.save(path)
    return path


def build(source: Path, weight: int, folder: Path) -> None:
    """Join the subsets of one weight and write it for print and web."""
    font = Merger().merge([str(part(source, subset, weight, folder)) for subset in PARTS])
    for name_id, text in ((1, "Figtree"), (2, "Regular"), (16, None)):
        if text is None:
            font["name"].removeNames(nameID=name_id)
        else:
            font["name"].setName(text, name_id, 3, 1, 0x409)
    font["name"].removeNames(nameID=17)
    font["OS/2"].usWeightClass = weight
    stem = OUT / f"{NAME}-{weight}"
    font.save(stem.with_suffix(".ttf"))
    font.flavor = "woff2"
    font.save(stem.with_suffix(".woff2"))


def main() -> None:
    source = Path(sys.argv[1])
    with tempfile.TemporaryDirectory() as folder:
        for weight in WEIGHTS:
            build(source, weight, Path(folder))
    shutil.copy(source / "LICENSE", OUT / "LICENSE.txt")


if __name__ == "__main__":
    main()
