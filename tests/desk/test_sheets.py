"""Sheets of pictures: what is drawn, the tables behind it, and how it is kept."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from tankful.advice.flips import find_flips
from tankful.advice.futures import find_futures
from tankful.advice.headline import headline
from tankful.advice.why import waterfall_rows
from tankful.casefile.load import LoadedCase, check_text
from tankful.desk.pictures import days, doubt, land, options
from tankful.desk.pictures.sheet import Picture, Sheet, sheet_as_json
from tankful.desk.sheets import Kept, find, keep
from tankful.errors import CaseError
from tankful.model.currency import money
from tankful.model.result import monthly
from tankful.report.words_of import say
from tankful.service import Study, study_case, what_if
from tankful.service.scene import Scene, day_of, scene_again, scene_of, year_of

SVG = "{http://www.w3.org/2000/svg}"
REST = say("money.rest")
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
        "map": land.map_sheet(
            what_if.map_on(ground, "feed-in", "usage", cells=12), names, land.gap_today(ground)
        ),
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


def drawings(sheets: dict[str, Sheet]) -> list[tuple[Picture, str]]:
    return [(p, svg) for p in pictures(sheets) for svg in (p.wide, p.narrow)]


def test_a_picture_is_one_image_with_a_title_and_a_description(sheets: dict[str, Sheet]) -> None:
    for picture, svg in drawings(sheets):
        root = ET.fromstring(svg)  # noqa: S314 - our own
        ids = [element.get("id") for element in root.iter() if element.get("id")]
        assert root.get("role") == "img"
        assert root.get("aria-labelledby") in ids
        assert root.get("aria-describedby") in ids
        assert root.findtext(f"{SVG}title") == picture.title
        assert len(root.findtext(f"{SVG}desc") or "") > 20
        inside = [key for e in root.iter() if e is not root for key in e.attrib]
        assert not [key for key in inside if key.startswith("aria-") or key in ("role", "style")]


def test_a_narrow_page_gets_a_narrow_drawing_with_letters_as_large(
    sheets: dict[str, Sheet],
) -> None:
    for picture in pictures(sheets):
        roots = [ET.fromstring(svg) for svg in (picture.wide, picture.narrow)]  # noqa: S314 - our own
        wide, narrow = (float(root.get("width", "0")) for root in roots)
        assert narrow < 420 < 560 < wide, picture.id
        wide_px, narrow_px = ({e.get("font-size") for e in root.iter()} for root in roots)
        assert narrow_px <= wide_px, picture.id


def test_no_two_pictures_of_a_page_share_an_id(sheets: dict[str, Sheet]) -> None:
    ids = [i for _, svg in drawings(sheets) for i in re.findall(r' id="([^"]+)"', svg)]
    assert len(ids) == len(set(ids))


def test_colours_are_the_page_s_but_for_the_areas_of_the_map(sheets: dict[str, Sheet]) -> None:
    for picture, svg in drawings(sheets):
        fixed = set(re.findall(r'(?:fill|stroke)="(#[^"]*)"', svg))
        assert bool(fixed) == (picture.id == "map")


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


def test_the_steps_of_the_waterfall_are_those_of_the_answer_and_add_up(scene: Scene) -> None:
    """As the command line tells them."""
    answer = scene.answer
    for option in answer.options:
        if option.id == "keep":
            continue
        rows = options.option_sheet(scene, option.id).pictures[0].tables[0].rows
        start, *steps, end = [dollars(row[1]) for row in rows]
        assert start + sum(steps) == end == round(option.net_present_cost)
        told = [amount for amount, _ in waterfall_rows(option, option.waterfall, answer.currency)]
        named = [step for step, row in zip(steps, rows[1:-1], strict=True) if row[0] != REST]
        assert set(named) <= set(told)


def test_steps_end_where_the_table_of_options_ends_though_cents_round_the_other_way(
    scene: Scene,
) -> None:
    """Half a dollar and a little more is the next dollar; its cents alone are the even one."""
    best = scene.answer.best
    cents = 100 * (round(best.net_present_cost) // 2 * 2) + 50
    edge = replace(
        best,
        net_present_cost=cents / 100 + 0.001,
        waterfall=replace(best.waterfall, end_cents=cents),
    )
    answer = replace(scene.answer, options=(edge, *scene.answer.options[1:]))
    rows = options.option_sheet(replace(scene, answer=answer), edge.id).pictures[0].tables[0].rows
    assert dollars(rows[-1][1]) == dollars(rows[-1][2]) == cents // 100 + 1


def dollars(words: str) -> int:
    return int(re.sub(r"[$,]", "", words))


def test_titles_say_what_is_to_be_seen(scene: Scene, sheets: dict[str, Sheet]) -> None:
    """The same as the headline of the answer: what is best, and by how much."""
    answer = scene.answer
    first, second, *_ = answer.options
    gap = money(round(second.net_present_cost) - round(first.net_present_cost), answer.currency)
    titles = {picture.id: picture.title for picture in pictures(sheets)}
    assert titles["choices"] == headline(answer)[0]
    assert gap in pictures(sheets)[0].caption
    assert titles["map"].startswith(f"Today “{first.label}” wins by {gap}")
    keep = next(option for option in answer.options if option.id == "keep")
    saved = round(keep.net_present_cost) - round(first.net_present_cost)
    assert f"{money(saved, answer.currency)} cheaper" in titles["waterfall"]
    bills = sum(monthly(first.electricity_bill, first.gas_bill))
    assert f"{money(bills, answer.currency)} a year" in titles["bills"]


def test_the_pointer_stands_on_today_s_own_values(scene: Scene, sheets: dict[str, Sheet]) -> None:
    pointer = sheets["map"].pictures[0].pointer
    assert pointer is not None
    column, row = pointer["x"]["today"], pointer["y"]["today"]
    assert pointer["names"][pointer["winner"][row][column]] == scene.answer.best.label
    assert pointer["names"][pointer["next"][row][column]] == scene.answer.options[1].label
    assert pointer["x"]["exact"]
    assert pointer["y"]["exact"]
    inputs = {row[0].lower(): row[1] for row in sheets["flips"].pictures[0].tables[0].rows}
    for axis, at in ((pointer["x"], column), (pointer["y"], row)):
        assert axis["values"][at] == inputs[axis["label"].lower()]
        assert axis["at"][0] == 0.0
        assert axis["at"][-1] == 1.0
        assert axis["at"] == sorted(axis["at"])


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
        assert found.sheet.pictures == tuple(
            replace(p, pointer=json.loads(json.dumps(p.pointer))) for p in sheet.pictures
        )
        assert found.sheet.lead == sheet.lead
        assert found.sheet.tables == sheet.tables
        assert (found.number, found.at, found.chosen) == (3, kept.at, kept.chosen)
        assert find(tmp_path, "then", kind, kept.chosen) is None
        assert find(tmp_path, "now", kind, ()) is None


def test_ties_need_no_flip_to_be_told(loaded: LoadedCase) -> None:
    """A case that nothing turns still gets its sentence and its table."""
    found = find_flips(what_if.ground(loaded))
    steady = tuple(replace(flip, below=None, above=None) for flip in found.flips)
    sheet = doubt.flips_sheet(replace(found, flips=steady))
    assert not sheet.pictures
    assert len(sheet.tables[0].rows) == len(found.flips)


def test_a_home_that_only_one_option_fits_has_its_pictures_too(scene: Scene) -> None:
    only = replace(scene.answer.best, tied_with_best=False)
    alone = replace(scene, answer=replace(scene.answer, options=(only,)))
    assert options.answer_sheet(alone).facts["beside"] == ""
    assert "Nothing else fits the home." in options.answer_sheet(alone).pictures[0].caption
    shown = {picture.id: picture.title for picture in options.option_sheet(alone, only.id).pictures}
    assert list(shown) == ["months", "bills"]
    assert " with “" not in shown["bills"]
