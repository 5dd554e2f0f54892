"""Files that come with a case: taken with care, looked into, and told in words."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
import sqlalchemy as sa
from hypothesis import given
from hypothesis import strategies as st
from playwright.sync_api import Page, expect

from tankful.casefile.preview import preview
from tankful.desk.store import clients, uploads, works
from tankful.desk.store.engine import transaction
from tankful.errors import CaseError, FileError, MissingError, PlaceError, TooMuchError

EXAMPLES = Path(__file__).parents[2] / "examples"
METER, WEATHER = EXAMPLES / "sample-home-meter.csv", EXAMPLES / "abroad-weather.csv"
HOME = {"postcode": "2480", "time_zone": ""}


def test_meter_readings_and_weather_are_told_apart(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    meter = preview(METER, **HOME)
    assert meter.field == "electricity.meter_file"
    assert "365 whole days" in meter.lines[0]
    weather = preview(WEATHER, postcode="", time_zone="Europe/Lisbon")
    assert weather.field == "place.weather_file"
    assert any("kWh/m2" in line for line in weather.lines)


def test_a_file_that_is_neither_says_what_is_wrong_with_it(tmp_path: Path) -> None:
    for name, content in (("a.csv", b"100,NEM12\n200,x\n"), ("b.epw", b"\0\1\2"), ("c.csv", b"")):
        file = tmp_path / name
        file.write_bytes(content)
        with pytest.raises(FileError) as caught:
            preview(file, **HOME)
        assert caught.value.faults


def test_without_a_place_times_cannot_be_understood(tmp_path: Path) -> None:
    with pytest.raises(PlaceError):
        preview(METER, postcode="0000", time_zone="")


@given(st.text(max_size=150))
def test_a_name_never_leads_out_of_the_case_s_folder(name: str) -> None:
    try:
        plain = uploads.plain_name(name)
    except CaseError:
        return
    assert Path(plain).name == plain
    assert plain.isascii()
    assert not plain.startswith(".")
    assert len(plain) <= 100


@pytest.mark.parametrize(
    ("given_name", "kept"),
    [
        ("../../etc/passwd", "passwd"),
        ("C:\\Users\\x\\meter.csv", "meter.csv"),
        ("my meter (2).csv", "my-meter-2-.csv"),
        (".hidden", "hidden"),
    ],
)
def test_a_name_is_cut_to_its_last_part(given_name: str, kept: str) -> None:
    assert uploads.plain_name(given_name) == kept


def test_files_are_kept_replaced_limited_and_laid_out(engine: sa.Engine, tmp_path: Path) -> None:
    with transaction(engine) as db:
        work_id = works.add_work(db, clients.add_client(db, "Ada", "x"), "Hot water", {}, "x")
        uploads.put_upload(db, work_id, "a.csv", b"one", "x")
        first, names = uploads.lay_out(db, work_id, tmp_path)
        assert ((first / "a.csv").read_bytes(), names) == (b"one", {"a.csv"})
        uploads.put_upload(db, work_id, "a.csv", b"two", "x")
        second, _ = uploads.lay_out(db, work_id, tmp_path)
        assert second != first
        assert (second / "a.csv").read_bytes() == b"two"
        assert first.exists(), "something may still be computed from it"
        os.utime(first, (0, 0))
        uploads.put_upload(db, work_id, "a.csv", b"three", "x")
        uploads.lay_out(db, work_id, tmp_path)
        assert second.exists()
        assert not first.exists()
        for n in range(uploads.MOST_FILES - 1):
            uploads.put_upload(db, work_id, f"{n}.csv", b"", "x")
        with pytest.raises(TooMuchError):
            uploads.put_upload(db, work_id, "more.csv", b"", "x")
        with pytest.raises(TooMuchError):
            uploads.put_upload(db, work_id, "a.csv", b"x" * (uploads.MOST_BYTES + 1), "x")
        with pytest.raises(MissingError):
            uploads.get_upload(db, work_id, "../a.csv")


@pytest.mark.parametrize("name", ["m" * 96 + ".csv", "m." + "c" * 98, "m" * 100])
def test_a_longest_name_beside_another_s_file_is_the_name_it_is_kept_under(
    engine: sa.Engine, name: str
) -> None:
    with transaction(engine) as db:
        work_id = works.add_work(db, clients.add_client(db, "Ada", "x"), "Hot water", {}, "x")
        for content in (b"one", b"two", b"three"):
            beside = uploads.name_beside(db, work_id, name, content, {})
            assert len(beside) <= uploads.MOST_LETTERS
            assert uploads.put_upload(db, work_id, beside, content, "x") == beside
            assert uploads.get_upload(db, work_id, beside) == content
        assert len(uploads.list_uploads(db, work_id)) == 3


def test_an_uploaded_meter_file_is_understood_and_used(page: Page, tmp_path: Path) -> None:
    page.fill("[name=client]", "Meter Person")
    page.fill("[name='place.postcode']", "2480")
    page.fill("[name='electricity.arrays[1].kw']", "6.6")
    page.click("text=Start the case")
    page.wait_for_url("**/cases/*")
    page.set_input_files("[name=file]", METER)
    page.click("text=Upload")
    held = page.locator(".held")
    expect(held).to_contain_text("Understood as meter readings; the case uses it", timeout=30_000)
    expect(held).to_contain_text("365 whole days")
    field = page.locator("[name='electricity.meter_file']")
    expect(field).to_have_value(METER.name)
    expect(page.locator("#answer-body .best")).to_be_visible(timeout=60_000)
    broken = tmp_path / "<b>broken.csv"
    broken.write_text("100,NEM12\n")
    page.set_input_files("[name=file]", broken)
    page.click("text=Upload")
    expect(page.locator("#files .trouble")).to_be_visible(timeout=30_000)
    page.click("#files >> text=Remove " + METER.name)
    expect(page.locator("#f-electricity-meter-file-fault")).to_contain_text("No such file")
    expect(page.locator("#answer-body .step")).to_contain_text("Waits until", timeout=30_000)


def test_a_copied_case_has_the_files_too_and_they_can_be_fetched(page: Page) -> None:
    page.fill("[name=client]", "Two Cases")
    page.fill("[name='place.postcode']", "2480")
    page.fill("[name='electricity.arrays[1].kw']", "6.6")
    page.click("text=Start the case")
    page.wait_for_url("**/cases/*")
    first = page.url
    page.set_input_files("[name=file]", METER)
    page.click("text=Upload")
    expect(page.locator(".held")).to_be_visible(timeout=30_000)
    page.get_by_role("link", name="Two Cases").click()
    page.fill("[name=title]", "After the quote")
    page.locator("[name=like]").select_option(label="what “Hot water” says")
    page.click("text=Add the case")
    page.wait_for_url("**/cases/*")
    assert page.url != first
    expect(page.locator("[name='electricity.meter_file']")).to_have_value(METER.name)
    expect(page.locator(".sound")).to_have_text("Nothing to mend.")
    with page.expect_download() as fetched:
        page.get_by_role("link", name=METER.name).click()
    assert fetched.value.path().read_bytes() == METER.read_bytes()
    gone = page.request.get(f"{page.url}/files/other.csv")
    assert gone.status == 404
