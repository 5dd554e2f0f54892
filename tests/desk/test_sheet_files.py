"""Kept sheets of pictures: which is found, and what makes room. Pieces of drawings: their plane,
colours, boxes and words."""

from __future__ import annotations

import os
import re
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from tankful.desk.pictures import options
from tankful.desk.pictures.ink import INKS, inked, plane_of
from tankful.desk.pictures.sheet import Sheet
from tankful.desk.sheets import (
    SHEETS_KEPT,
    STATES_KEPT,
    Kept,
    find,
    find_newest,
    keep,
    make_room,
    state_of,
)
from tankful.report import look
from tankful.report.charts_flips import Lane, flips_chart
from tankful.report.charts_map import _boxes

SVG = "{http://www.w3.org/2000/svg}"


def test_the_newest_sheet_of_another_state_is_found(tmp_path: Path) -> None:
    for number, state in enumerate(("first", "second")):
        keep(tmp_path, state, "flips", Kept(Sheet(), (), number, ""))
        os.utime(next((tmp_path / state).iterdir()), (number, number))
    newest = find_newest(tmp_path, "flips")
    assert newest is not None
    assert newest.number == 1
    assert find_newest(tmp_path, "map") is None


def test_what_was_looked_at_last_is_shown_again(tmp_path: Path) -> None:
    for number, day in enumerate(("first", "second")):
        keep(tmp_path, "now", "day", Kept(Sheet(), (("date", day),), number, ""))
    for path in (tmp_path / "now").iterdir():
        os.utime(path, (1, 1))
    find(tmp_path, "now", "day", (("date", "first"),))
    newest = find_newest(tmp_path, "day", "now")
    assert newest is not None
    assert newest.number == 0


def test_old_states_and_sheets_make_room(tmp_path: Path) -> None:
    for number in range(SHEETS_KEPT + 5):
        keep(tmp_path, "a", "day", Kept(Sheet(), (("date", str(number)),), number, ""))
    assert len(list((tmp_path / "a").iterdir())) == SHEETS_KEPT
    for state in "bcdef":
        keep(tmp_path, state, "flips", Kept(Sheet(), (), 0, ""))
    assert len(list(tmp_path.iterdir())) == STATES_KEPT


def test_a_state_that_was_looked_at_lately_outlives_one_drawn_after_it(tmp_path: Path) -> None:
    for number, state in enumerate("abc"):
        keep(tmp_path, state, "flips", Kept(Sheet(), (), number, ""))
        for path in (tmp_path / state).iterdir():
            os.utime(path, (number, number))
    find(tmp_path, "a", "flips", ())
    keep(tmp_path, "d", "flips", Kept(Sheet(), (), 3, ""))
    assert {path.name for path in tmp_path.iterdir()} == {"a", "c", "d"}


def test_what_is_kept_of_all_cases_has_a_bound(tmp_path: Path) -> None:
    for number, case in enumerate("abcde"):
        for state in ("first", "second"):
            (tmp_path / case / state).mkdir(parents=True)
            path = tmp_path / case / state / "sheet.json"
            path.write_bytes(bytes(100))
            os.utime(path, (number, number))
    make_room(tmp_path, 450)
    assert len(list(tmp_path.glob("*/*"))) == 4
    assert {path.name for path in tmp_path.iterdir()} == {"d", "e"}
    make_room(tmp_path, 0)
    assert len(list(tmp_path.glob("*/*"))) == 1, "the newest is what somebody waits for"
    make_room(tmp_path / "nothing", 0)


@pytest.mark.parametrize("text", ["", "{", "[]", '{"sheet": {}}', "null"])
def test_a_spoilt_file_counts_as_none(tmp_path: Path, text: str) -> None:
    keep(tmp_path, "now", "flips", Kept(Sheet(), (), 1, ""))
    next((tmp_path / "now").iterdir()).write_text(text)
    assert find(tmp_path, "now", "flips", ()) is None


def test_a_state_hangs_on_the_case_its_files_and_the_day() -> None:
    first = state_of("a", "b", "2026-11-25")
    assert first == state_of("a", "b", "2026-11-25")
    others = {state_of("x", "b", "2026-11-25"), state_of("a", "x", "2026-11-25")}
    assert first not in others | {state_of("a", "b", "2026-11-26")}


def test_the_plane_of_a_chart_is_read_from_its_drawing() -> None:
    svg = '<svg><g transform="translate(40,5)"><g><path d="M0.5,0.5h370v384h-370Z"/></g></g></svg>'
    assert plane_of(svg) == (40.0, 5.0, 370.0, 384.0)


def test_the_style_sheet_knows_every_colour_in_light_and_in_dark() -> None:
    folder = Path(options.__file__).parents[1] / "static"
    css = (folder / "pictures.css").read_text(encoding="utf-8")
    light, dark = css.split("prefers-color-scheme: dark")
    for name in INKS.values():
        assert f"--p-{name}:" in light
        assert f"--p-{name}:" in dark


def test_light_ink_on_dark_and_dark_on_light_can_be_read() -> None:
    """WCAG 2.1 asks 4.5 for words and 3 for parts of pictures (read in the standard's copy
    from memory)."""
    folder = Path(options.__file__).parents[1] / "static"
    inks = (folder / "pictures.css").read_text(encoding="utf-8").split("prefers-color-scheme: dark")
    papers = ("#ffffff", "#1c2423")
    for css, paper in zip(inks, papers, strict=True):
        colours = dict(re.findall(r"--p-([a-z-]+): (#[0-9a-f]{6})", css))
        least = {"ink": 4.5, "soft": 4.5, "grid": 3, "accent": 3, "water": 3, "house": 3}
        for name, ratio in least.items():
            lights = sorted(map(look.luminance, (colours[name], paper)))
            assert (lights[1] + 0.05) / (lights[0] + 0.05) >= ratio, (name, paper)


def test_the_boxes_of_a_map_cover_every_cell_once() -> None:
    values = np.random.default_rng(1).integers(0, 3, (9, 7))
    covered = np.full(values.shape, -1)
    for box, value in _boxes(values, np.arange(8.0), np.arange(10.0)):
        place = np.s_[int(box["y"]) : int(box["y2"]), int(box["x"]) : int(box["x2"])]
        assert (covered[place] == -1).all()
        covered[place] = value
    assert (covered == values).all()


@pytest.mark.parametrize("room", [look.WIDE, look.NARROW])
@pytest.mark.parametrize(("below", "above"), [(1.0, 5.0), (0.2, 9.8), (7.0, 7.4), (0.1, 1.2)])
def test_values_at_a_line_of_flips_do_not_run_into_each_other(
    room: look.Room, below: float, above: float
) -> None:
    lane = Lane("Price", 0.0, 3.0, 10.0, below, above, "3.0 c/kWh", "12.6 c/kWh", "23.8 c/kWh")
    chart = flips_chart([lane], room)
    size = len("12.6 c/kWh") * 7.5 / chart["width"]
    spans = []
    for layer in chart["layer"]:
        if layer["mark"].get("type") == "text" and layer["mark"]["dy"] > 0:
            for row in layer["data"]["values"]:
                start = row["at"] - (size if layer["mark"]["align"] == "right" else 0.0)
                spans.append((start, start + size))
    assert len(spans) == 2
    for (_, end), (start, _) in pairwise(sorted(spans)):
        assert end <= start


def test_words_that_look_like_markup_stay_words() -> None:
    hostile = '<script>alert(1)</script>" onload="x'
    drawn = inked(f'<svg xmlns="{SVG[1:-1]}"/>', name="i", title=hostile, alt=hostile)
    root = ET.fromstring(drawn)  # noqa: S314 - our own
    assert [child.tag for child in root] == [f"{SVG}title", f"{SVG}desc"]
    assert root.findtext(f"{SVG}title") == hostile
    assert root.get("onload") is None
