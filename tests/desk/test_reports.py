"""The report from the desk, with the adviser's name on it."""

from __future__ import annotations

from pathlib import Path

import pytest
import sqlalchemy as sa
from playwright.sync_api import Page, expect

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
    expect(page.locator(".trouble")).to_contain_text("logo")
    page.go_back()
    page.fill("[name=name]", "Example Advice")
    page.fill("textarea[name=foreword]", "<b>Kind regards</b>")
    logo.write_bytes(SVG)
    page.set_input_files("[name=logo]", logo)
    page.click("text=Save")
    expect(page.locator(".step")).to_have_text("Saved.")
    page.click("text=Clients")
    page.fill("[name=client]", "Report <i>Person</i>")
    page.fill("[name='place.postcode']", "2480")
    page.click("text=Start the case")
    page.wait_for_url("**/cases/*")
    with page.expect_download(timeout=120_000) as download:
        page.click("text=Report as PDF")
    assert download.value.suggested_filename == "report-i-person-i.pdf"
    assert Path(download.value.path()).read_bytes().startswith(b"%PDF-")
    answer = page.request.get(f"{page.url}/report/html", timeout=120_000)
    assert answer.status == 200
    assert answer.headers["content-security-policy"].startswith("sandbox; default-src 'none'")
    html = answer.text()
    assert "Example Advice" in html
    assert "&lt;b&gt;Kind regards" in html
    assert "<i>Person" not in html
    assert page.request.get(f"{page.url}/report/exe").status == 404
    complaints = page.complaints  # type: ignore[attr-defined]
    complaints[:] = [text for text in complaints if "422" not in text]
