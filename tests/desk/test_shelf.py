"""Reports that are kept on disk."""

from __future__ import annotations

from visitors import Browser, add_client

from tankful.desk.press import Printed
from tankful.desk.shelf import put_by
from tankful.paths import cache_root


def test_a_report_that_was_cleared_away_leads_back_to_its_page(browser: Browser) -> None:
    case = add_client(browser)
    root = cache_root() / "desk-reports" / case.rpartition("/")[2]
    put_by(root, "now", "full-1", Printed(b"%PDF", b"<p>"), 1, "2026-11-25T01:00:00.000Z")
    address = f"{case}/report/pdf?state=now&name=full-1"
    assert browser.get(address).content == b"%PDF"
    (root / "now" / "full-1.pdf").unlink()
    gone = browser.get(address)
    assert (gone.status_code, gone.headers["location"]) == (303, f"{case}/report")
