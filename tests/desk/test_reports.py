"""The report from the desk, with the adviser's name on it."""

from __future__ import annotations

import os
import re
from dataclasses import replace
from pathlib import Path
from typing import Any
from urllib.parse import urljoin

import pytest
import sqlalchemy as sa
from access import faults_of_access
from playwright.sync_api import Page, expect

from tankful.casefile.load import check_text
from tankful.desk import easel, shelf
from tankful.desk.press import Printed, printed
from tankful.desk.store.engine import transaction
from tankful.desk.store.settings import Brand, brand_file, get_brand, put_brand
from tankful.errors import FileError
from tankful.reporting import read_branding

SVG = b'<svg xmlns="http://www.w3.org/2000/svg" width="80" height="20"><rect width="80" height="20"/></svg>'  # fmt: skip # noqa: E501
HOSTILE = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'


def test_the_branding_is_kept_and_read_as_the_report_reads_it(
    engine: sa.Engine, tmp_path: Path
) -> None:
    typed = Brand('Ada "Sun" Example', "1 Street\n\n02 5550 0000\n", "#1c5a52", "Hello\nthere", "")
    with transaction(engine) as db:
        assert get_brand(db) == Brand()
        put_brand(db, typed, "x")
        put_brand(db, typed, "x")
        kept = get_brand(db)
    assert kept == typed
    read = read_branding(brand_file(kept, tmp_path))
    assert read.name == 'Ada "Sun" Example'
    assert read.contact == ("1 Street", "02 5550 0000")
    assert (read.accent, read.foreword, read.logo) == ("#1c5a52", "Hello\nthere", None)


@pytest.mark.parametrize("name", ["../../evil.svg", "/etc/passwd", "..\\logo.svg"])
def test_a_logo_s_name_leads_nowhere(name: str, tmp_path: Path) -> None:
    import base64

    folder = tmp_path / "inside"
    folder.mkdir()
    brand_file(Brand(logo_name=name, logo=base64.b64encode(SVG).decode()), folder)
    assert [item.name for item in tmp_path.iterdir()] == ["inside"]


def test_a_colour_too_light_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="too light"):
        read_branding(brand_file(Brand(accent="#ffff00"), tmp_path))


def test_a_report_carries_the_adviser_s_name_and_can_run_nothing(
    page: Page, tmp_path: Path
) -> None:
    page.click("text=Your name on reports")
    page.fill("textarea[name=foreword]", "<b>Kind regards</b>")
    page.fill("[name=name]", "Example Advice")
    logo = tmp_path / "logo.svg"
    logo.write_bytes(HOSTILE)
    page.set_input_files("[name=logo]", logo)
    with page.expect_response("**/settings") as refused:
        page.click("text=Save")
    assert refused.value.status == 422
    expect(page.locator("#b-logo-fault p")).to_be_visible()
    expect(page.locator("[name=name]")).to_have_value("Example Advice")
    expect(page.locator("textarea[name=foreword]")).to_have_value("<b>Kind regards</b>")
    page.fill("[name=accent]", "green")
    page.get_by_role("button", name="Save").click()
    expect(page.locator("#b-accent-fault")).to_contain_text("Not a colour")
    page.fill("[name=accent]", "#1c5a52")
    logo.write_bytes(SVG)
    page.set_input_files("[name=logo]", logo)
    page.get_by_role("button", name="Save").click()
    expect(page.locator(".step")).to_have_text("Saved.")
    page.click("text=Clients")
    new_case(page, "Report <i>Person</i>")
    url = page.url
    page.goto(f"{url}/report?size=short")
    page.click("text=Make the short report")
    expect(page.get_by_text("Download PDF")).to_be_visible(timeout=120_000)
    with page.expect_download() as download:
        page.click("text=Download PDF")
    assert download.value.suggested_filename == "report-i-person-i-hot-water-report.pdf"
    assert Path(download.value.path()).read_bytes().startswith(b"%PDF-")
    preview = page.locator("iframe.preview").get_attribute("src") or ""
    answer = page.request.get(urljoin(url, preview))
    assert answer.status == 200
    assert answer.headers["content-disposition"].startswith("inline")
    assert answer.headers["content-security-policy"].startswith("sandbox; default-src 'none'")
    html = answer.text()
    assert "Example Advice" in html
    assert "&lt;b&gt;Kind regards" in html
    assert "<i>Person" not in html
    assert page.request.get(f"{url}/report/exe").status == 404
    assert page.request.get(f"{url}/report?size=huge").status == 404
    strange = page.request.get(f"{url}/report/pdf?state=../..&name=../../etc/passwd")
    assert strange.url == f"{url}/report"
    complaints = page.complaints  # type: ignore[attr-defined]
    complaints[:] = [text for text in complaints if "422" not in text]


def new_case(page: Page, name: str) -> None:
    page.fill("[name=client]", name)
    page.fill("[name='place.postcode']", "2480")
    page.click("text=Start the case")
    page.wait_for_url("**/cases/*")


def change(page: Page, url: str, field: str, text: str) -> None:
    page.goto(url)
    with page.expect_response("**/save"):
        page.fill(f"[name='{field}']", text)
    expect(page.locator("#saved")).to_contain_text("Saved")


def test_a_report_shows_its_making_and_is_kept_with_the_state_of_the_case(page: Page) -> None:
    new_case(page, "Keeps Reports")
    url = page.url
    change(page, url, "place.postcode", "2600")
    page.goto(f"{url}/report?size=short")
    page.click("text=Make the short report")
    expect(page.locator("#report-said")).to_have_text("The report is ready.", timeout=120_000)
    assert faults_of_access(page) == []
    first = page.locator("iframe.preview").get_attribute("src")
    page.goto(f"{url}/report?size=short")
    assert page.locator("iframe.preview").get_attribute("src") == first
    expect(page.locator(".taken")).to_contain_text("the case has not changed since")
    page.click("text=Mark the work as")
    page.wait_for_url("**/report*")
    page.goto(f"{url}/report?size=short")
    expect(page.locator(".taken .state")).to_have_text("Report sent")
    other = page.context.new_page()
    change(other, url, "people.count", "4")
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(page.locator(".step.stopped")).to_contain_text("made at change 1, now it is 2")
    page.click("text=Make it anew")
    expect(page.locator("#report-said")).to_have_text("The report is ready.", timeout=120_000)
    assert page.locator("iframe.preview").get_attribute("src") != first
    change(other, url, "people.count", "many")
    other.goto(f"{url}/report?size=short")
    expect(other.locator(".notice")).to_contain_text("1 thing has to be mended")
    other.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_report_on_its_way_is_called_off_by_keyboard(page: Page, scheme: Any) -> None:
    page.emulate_media(color_scheme=scheme)
    new_case(page, "Calls Off")
    page.click("a:text-is('Report')")
    assert faults_of_access(page) == []
    page.click("text=Make the full report")
    page.wait_for_url("**/report?size=full")
    said = page.locator("#report-said")
    expect(said).to_contain_text(re.compile("Step [2-4] of 5, "), timeout=120_000)
    expect(page.locator("[data-far]")).to_contain_text("Step ")
    assert faults_of_access(page) == []
    page.locator("#act-report").focus()
    expect(page.locator("[data-far]")).to_contain_text(re.compile(r"\d of 200"), timeout=60_000)
    expect(page.locator("#act-report")).to_be_focused()
    page.keyboard.press("Enter")
    expect(said).to_have_text("The report was called off.")
    make = page.locator("#act-report")
    expect(make).to_have_text("Make the full report")
    expect(make).to_be_focused()
    assert page.locator("iframe").count() == 0


def test_a_desk_that_is_started_anew_says_that_the_report_broke_off(
    mortal_page: Page, mortal: Any
) -> None:
    page = mortal_page
    new_case(page, "Breaks Off")
    page.click("a:text-is('Report')")
    page.click("text=Make the full report")
    expect(page.locator("[data-far]")).to_contain_text("Step ", timeout=60_000)
    mortal.kill()
    expect(page.locator("[data-far]")).to_contain_text("does not answer", timeout=10_000)
    mortal.start()
    expect(page.locator(".step.stopped")).to_contain_text("broke off", timeout=30_000)
    expect(page.locator("#act-report")).to_have_text("Make the full report")
    complaints = page.complaints  # type: ignore[attr-defined]
    complaints[:] = [text for text in complaints if "ERR_" not in text and "htmx:" not in text]


HOURLY = '[place]\npostcode = "2600"\n[simulation]\nstep_min = 60\n'


def test_a_report_uses_the_answer_and_the_pictures_at_hand(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    from tankful import service
    from tankful.advice import flips
    from tankful.service import what_if

    loaded = check_text(HOURLY, tmp_path / "case.toml")
    answer = service.study_case(loaded).answer
    monkeypatch.setattr(easel, "DRAWS", 20)
    monkeypatch.setattr(service, "study_case", None)
    monkeypatch.setattr(what_if, "ground", None)
    told: list[str] = []

    def progress(done: int, total: int, what: str) -> None:
        told.append(what)

    order = easel.Order(HOURLY, tmp_path, "report", answer=answer, brand=Brand("Ada Example"))
    made = printed(order, progress)
    stages = list(dict.fromkeys(what.partition(",")[0] for what in told))
    assert stages == [f"Step {n} of 5" for n in range(1, 6)]
    assert made.pdf.startswith(b"%PDF-")
    for words in (answer.best.label, "What would change the answer", "If the future is different"):
        assert words in made.html.decode()
    monkeypatch.setattr(flips, "find_flips", None)
    assert printed(order, progress).html == made.html
    brief = printed(replace(order, kind="brief"), progress)
    for words in ("If the future is different", "The year by month", 'id="details'):
        assert words not in brief.html.decode()
    assert "stand in the full report" in brief.html.decode()


def test_ground_without_another_search_is_the_same(tmp_path: Path) -> None:
    from tankful.advice.flips import find_flips
    from tankful.service import study_case
    from tankful.service.what_if import ground, ground_again

    loaded = check_text(HOURLY, tmp_path / "case.toml")
    answer = study_case(loaded).answer
    assert find_flips(ground_again(loaded, answer)) == find_flips(ground(loaded))


def test_reports_of_so_many_states_are_kept(tmp_path: Path) -> None:
    made = Printed(b"%PDF-", b"<html>")
    for n in range(shelf.STATES_KEPT + 2):
        shelf.put_by(tmp_path, f"state{n}", "full-1", made, n, f"2026-11-2{n}")
        for path in (tmp_path / f"state{n}").iterdir():
            os.utime(path, (n, n))
    assert len(list(tmp_path.iterdir())) == shelf.STATES_KEPT
    newest = shelf.take_newest(tmp_path, "full")
    assert newest is not None
    assert (newest.number, newest.read("html")) == (n, b"<html>")
    assert shelf.take_newest(tmp_path, "short") is None
    (newest.folder / "full-1.json").write_text("{")
    assert shelf.take(tmp_path, newest.state, "full-1") is None


def test_reports_of_a_state_under_so_many_brandings_are_kept(tmp_path: Path) -> None:
    made = Printed(b"%PDF-", b"<html>")
    for n in range(shelf.REPORTS_KEPT + 3):
        shelf.put_by(tmp_path, "now", f"full-{n}", made, n, "")
        for path in (tmp_path / "now").glob(f"full-{n}.*"):
            os.utime(path, (n, n))
    assert len(list((tmp_path / "now").iterdir())) == 3 * shelf.REPORTS_KEPT
    assert shelf.take(tmp_path, "now", "full-2") is None
    assert shelf.take(tmp_path, "now", "full-3") is not None


def test_another_branding_is_another_report() -> None:
    assert shelf.name_of("full", Brand("Ada")) != shelf.name_of("full", Brand("Bob"))
