"""Sheets of pictures: what is drawn, the tables behind it, and how it is kept."""

from __future__ import annotations

import json
import os
import re
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from tankful.advice.flips import find_flips
from tankful.advice.futures import find_futures
from tankful.casefile.load import LoadedCase, check_text
from tankful.desk.pictures import days, doubt, land, options
from tankful.desk.pictures.ink import INKS, inked, plane_of
from tankful.desk.pictures.sheet import Picture, Sheet, sheet_as_json
from tankful.desk.sheets import SHEETS_KEPT, STATES_KEPT, Kept, find, find_newest, keep, state_of
from tankful.errors import CaseError
from tankful.model.currency import money
from tankful.report import look
from tankful.service import Study, study_case, what_if
from tankful.service.scene import Scene, day_of, scene_again, scene_of, year_of

SVG = "{http://www.w3.org/2000/svg}"
CASE = """
as_of = 2026-11-25
[simulation]
step_min = 60
[place]
postcode = "5000"
[heater]
kind = "gas_storage"
[people]
pattern = "EU-S"
[[electricity.arrays]]
kw = 5.0
"""


@pytest.fixture(scope="module")
def loaded(tmp_path_factory: pytest.TempPathFactory) -> LoadedCase:
    return check_text(CASE, tmp_path_factory.mktemp("case") / "case.toml")


@pytest.fixture(scope="module")
def study(loaded: LoadedCase) -> Study:
    return study_case(loaded)


@pytest.fixture(scope="module")
def scene(study: Study) -> Scene:
    return scene_of(study)


@pytest.fixture(scope="module")
def sheets(loaded: LoadedCase, scene: Scene) -> dict[str, Sheet]:
    """One of each kind."""
    ground = what_if.ground(loaded)
    names = {option.id: option.label for option in ground.fine.options}
    best, base = scene.answer.best.id, "keep"
    day = f"{scene.home.clock.year}-02-03"
    return {
        "choices": options.answer_sheet(scene),
        "one": options.option_sheet(scene, best),
        "day": days.day_sheet(scene, [best, base], day),
        "flips": doubt.flips_sheet(find_flips(ground)),
        "map": land.map_sheet(what_if.map_on(ground, "feed-in", "usage", cells=12), names),
        "futures": doubt.futures_sheet(find_futures(ground, draws=20, seed=1)),
    }


def pictures(sheets: dict[str, Sheet]) -> list[Picture]:
    return [picture for sheet in sheets.values() for picture in sheet.pictures]


def test_every_kind_has_pictures_and_every_picture_a_table(sheets: dict[str, Sheet]) -> None:
    assert all(sheet.pictures for sheet in sheets.values())
    for picture in pictures(sheets):
        for table in picture.tables:
            assert table.caption
            assert table.rows
            assert all(len(row) == len(table.columns) for row in table.rows)


def test_a_picture_is_one_image_with_a_title_and_a_description(sheets: dict[str, Sheet]) -> None:
    for picture in pictures(sheets):
        root = ET.fromstring(picture.svg)  # noqa: S314 - our own
        ids = [element.get("id") for element in root.iter() if element.get("id")]
        assert root.get("role") == "img"
        assert root.get("aria-labelledby") in ids
        assert root.get("aria-describedby") in ids
        assert root.findtext(f"{SVG}title") == picture.title
        assert len(root.findtext(f"{SVG}desc") or "") > 20
        inside = [key for e in root.iter() if e is not root for key in e.attrib]
        assert not [key for key in inside if key.startswith("aria-") or key in ("role", "style")]


def test_no_two_pictures_of_a_page_share_an_id(sheets: dict[str, Sheet]) -> None:
    ids = [i for picture in pictures(sheets) for i in re.findall(r' id="([^"]+)"', picture.svg)]
    assert len(ids) == len(set(ids))


def test_colours_are_the_page_s_but_for_the_areas_of_the_map(sheets: dict[str, Sheet]) -> None:
    for picture in pictures(sheets):
        fixed = set(re.findall(r'(?:fill|stroke)="(#[^"]*)"', picture.svg))
        assert bool(fixed) == (picture.id == "map")


def test_the_style_sheet_knows_every_colour_in_light_and_in_dark() -> None:
    folder = Path(options.__file__).parents[1] / "static"
    css = (folder / "pictures.css").read_text(encoding="utf-8")
    light, dark = css.split("prefers-color-scheme: dark")
    for name in INKS.values():
        assert f"--p-{name}:" in light
        assert f"--p-{name}:" in dark


def test_words_that_look_like_markup_stay_words() -> None:
    hostile = '<script>alert(1)</script>" onload="x'
    drawn = inked(f'<svg xmlns="{SVG[1:-1]}"/>', name="i", title=hostile, alt=hostile)
    root = ET.fromstring(drawn)  # noqa: S314 - our own
    assert [child.tag for child in root] == [f"{SVG}title", f"{SVG}desc"]
    assert root.findtext(f"{SVG}title") == hostile
    assert root.get("onload") is None


def test_the_plane_of_a_chart_is_read_from_its_drawing() -> None:
    svg = '<svg><g transform="translate(40,5)"><g><path d="M0.5,0.5h370v384h-370Z"/></g></g></svg>'
    assert plane_of(svg) == (40.0, 5.0, 370.0, 384.0)


def test_a_day_has_the_year_s_energy(scene: Scene) -> None:
    """The days of a year add up to its months, and the months to the answer's year."""
    option = scene.answer.best
    year = year_of(scene, option.id)
    first = date(scene.home.clock.year, 7, 1)
    days_of_july = [day_of(scene, option.id, first + timedelta(days=i)) for i in range(31)]
    electric = sum(sum(day.electric_kw) * day.hours for day in days_of_july)
    assert electric == pytest.approx(year.grid_kwh[6] + year.own_sun_kwh[6], rel=1e-9)
    assert sum(year.grid_kwh) + sum(year.own_sun_kwh) == pytest.approx(
        option.sums.electricity_kwh, rel=1e-9
    )


def test_a_scene_from_a_known_answer_shows_the_same(
    loaded: LoadedCase, study: Study, scene: Scene
) -> None:
    again = scene_again(loaded, study.answer)
    for option in study.answer.options:
        assert year_of(again, option.id) == year_of(scene, option.id)


@pytest.mark.parametrize("words", ["", "2027-13-01", "tomorrow", "1999-01-01", "2028-02-29"])
def test_a_day_outside_of_the_year_is_refused_with_what_is_allowed(
    scene: Scene, words: str
) -> None:
    with pytest.raises(CaseError) as refused:
        days.day_sheet(scene, [scene.answer.best.id], words)
    assert refused.value.faults[0].allowed


def test_an_unknown_option_is_refused(scene: Scene) -> None:
    with pytest.raises(CaseError):
        options.option_sheet(scene, "no-such")


def test_the_tables_hold_the_answer_s_sums(scene: Scene, sheets: dict[str, Sheet]) -> None:
    answer = scene.answer
    (table,) = sheets["choices"].pictures[0].tables
    for option, row in zip(answer.options, table.rows, strict=True):
        assert row[3] == money(option.net_present_cost, answer.currency)
    waterfall = sheets["one"].pictures[0].tables[0]
    assert waterfall.rows[-1][-1] == money(answer.best.net_present_cost, answer.currency)


def test_every_option_can_be_looked_at(scene: Scene) -> None:
    for option in scene.answer.options:
        names = [picture.id for picture in options.option_sheet(scene, option.id).pictures]
        assert names == ["waterfall", "months", "bills"]


def test_the_pointer_has_words_for_every_cell(sheets: dict[str, Sheet]) -> None:
    pointer = sheets["map"].pictures[0].pointer
    assert pointer is not None
    shape = (len(pointer["y"]["values"]), len(pointer["x"]["values"]))
    for name in ("winner", "next", "tie", "margin"):
        assert np.array(pointer[name]).shape == shape
    assert np.array(pointer["next"]).max() < len(pointer["names"])
    assert (np.array(pointer["next"]) != np.array(pointer["winner"])).all()
    letters = {letter for letter, _, _ in sheets["map"].facts["legend"]}
    assert letters == set(pointer["letters"])


def test_a_kept_sheet_comes_back_as_it_was(tmp_path: Path, sheets: dict[str, Sheet]) -> None:
    for kind, sheet in sheets.items():
        kept = Kept(sheet, (("option", "a"),), 3, "2026-11-25T00:00:00Z")
        keep(tmp_path, "now", kind, kept)
        found = find(tmp_path, "now", kind, kept.chosen)
        assert found is not None
        assert json.dumps(sheet_as_json(found.sheet)) == json.dumps(sheet_as_json(sheet))
        assert [p.svg for p in found.sheet.pictures] == [p.svg for p in sheet.pictures]
        assert found.sheet.tables == sheet.tables
        assert (found.number, found.at, found.chosen) == (3, kept.at, kept.chosen)
        assert find(tmp_path, "then", kind, kept.chosen) is None
        assert find(tmp_path, "now", kind, ()) is None


def test_the_newest_sheet_of_another_state_is_found(tmp_path: Path) -> None:
    for number, state in enumerate(("first", "second")):
        keep(tmp_path, state, "flips", Kept(Sheet(), (), number, ""))
        os.utime(next((tmp_path / state).iterdir()), (number, number))
    newest = find_newest(tmp_path, "flips")
    assert newest is not None
    assert newest.number == 1
    assert find_newest(tmp_path, "map") is None


def test_old_states_and_sheets_make_room(tmp_path: Path) -> None:
    for number in range(SHEETS_KEPT + 5):
        keep(tmp_path, "a", "day", Kept(Sheet(), (("date", str(number)),), number, ""))
    assert len(list((tmp_path / "a").iterdir())) == SHEETS_KEPT
    for state in "bcdef":
        keep(tmp_path, state, "flips", Kept(Sheet(), (), 0, ""))
    assert len(list(tmp_path.iterdir())) == STATES_KEPT


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


def test_ties_need_no_flip_to_be_told(loaded: LoadedCase) -> None:
    """A case that nothing turns still gets its sentence and its table."""
    found = find_flips(what_if.ground(loaded))
    steady = tuple(replace(flip, below=None, above=None) for flip in found.flips)
    sheet = doubt.flips_sheet(replace(found, flips=steady))
    assert not sheet.pictures
    assert len(sheet.tables[0].rows) == len(found.flips)


def test_light_ink_on_dark_and_dark_on_light_can_be_read() -> None:
    """WCAG 2.1 asks 4.5 for words and 3 for parts of pictures (read in the standard's copy
    from memory)."""
    folder = Path(options.__file__).parents[1] / "static"
    inks = (folder / "pictures.css").read_text(encoding="utf-8").split("prefers-color-scheme: dark")
    papers = ("#ffffff", "#1c2423")
    for css, paper in zip(inks, papers, strict=True):
        colours = dict(re.findall(r"--p-([a-z-]+): (#[0-9a-f]{6})", css))
        for name, least in (("ink", 4.5), ("soft", 4.5), ("grid", 3), ("accent", 3), ("water", 3)):
            lights = sorted(map(look.luminance, (colours[name], paper)))
            assert (lights[1] + 0.05) / (lights[0] + 0.05) >= least, (name, paper)
