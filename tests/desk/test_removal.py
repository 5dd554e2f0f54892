"""A client deleted for good leaves nothing but a line that it was done."""

from __future__ import annotations

import re
import sqlite3
from concurrent.futures import ThreadPoolExecutor
from html import unescape
from pathlib import Path
from threading import Barrier
from typing import Any

import pytest
import sqlalchemy as sa
from access import faults_of_access
from playwright.sync_api import Page, expect
from visitors import Browser, add_client, come_in, desk_on, in_words, sign_in

from tankful.desk import leftovers
from tankful.desk.press import Printed
from tankful.desk.shelf import put_by
from tankful.desk.store import clients, saves, works
from tankful.desk.store.engine import BUSY_MS, reading, settle, sqlite_file, transaction
from tankful.desk.store.jottings import save_jotting
from tankful.desk.store.removal import DELETED, delete_client, held
from tankful.desk.store.tables import meta
from tankful.desk.visit import Desk
from tankful.errors import MissingError

NAME = "Zoë Gum-Sterling"
WORDS = (NAME, "Gum-Sterling", "0255500123", "gum-sterling.csv", "Kurrajong")
"""Of the client that goes: names before and after, contact, a file, notes."""


@pytest.fixture
def visitor(engine: sa.Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Browser:
    monkeypatch.setenv("TANKFUL_CACHE_DIR", str(tmp_path / "cache"))
    return come_in(desk_on(engine, tmp_path))


def full_client(browser: Browser) -> tuple[str, str]:
    """The addresses of a client with all that one may have, and of the case."""
    case = add_client(browser, "Kurrajong Street")
    place = place_of(browser, case)
    browser.change(f"{place}/rename", {"client": NAME, "was": "Kurrajong Street"})
    for kind, text in (("contact", "0255500123"), ("notes", "Kurrajong")):
        part = {"hx-request": "true"}
        assert browser.change(f"{place}/jot", {kind: text}, headers=part).status_code == 200
    browser.change(f"{case}/save", {"people.count": "4", "seen": "0", "window": "aa"})
    browser.change(f"{case}/save", {"people.count": "5", "seen": "0", "window": "bb"})
    browser.change(f"{case}/upload", files={"file": ("gum-sterling.csv", b"when,kWh\n")})
    return place, case


def place_of(browser: Browser, case: str) -> str:
    found = re.search(r"/clients/\w+", browser.get(case).text)
    assert found
    return found[0]


def asked(browser: Browser, place: str) -> dict[str, str]:
    """What the page that asks for the name sends beside it."""
    found = re.search('name="seen" value="([^"]+)"', browser.get(f"{place}/delete").text)
    assert found
    return {"seen": found[1]}


def rows(engine: sa.Engine) -> str:
    with engine.connect() as db:
        return str([db.execute(sa.select(table)).all() for table in meta.sorted_tables])


def test_a_deleted_client_is_nowhere_and_a_line_says_so(
    visitor: Browser, engine: sa.Engine, tmp_path: Path
) -> None:
    other = add_client(visitor, "Moon Street")
    place, case = full_client(visitor)
    ids = [each.rpartition("/")[2] for each in (place, case)]
    made = Printed(b"%PDF", b"<p>Zo</p>")
    put_by(leftovers.reports_root(ids[1]), "now", "full-1", made, 1, "2026-11-25T01:00:00.000Z")
    leftovers.pictures_root(ids[1]).mkdir(parents=True)
    laid_out = leftovers.files_root() / ids[1]
    assert laid_out.is_dir()
    assert visitor.change(f"{place}/archive", {"archived": "1"}).status_code == 303
    page = in_words(visitor.get(f"{place}/delete"))
    for words in (
        "with contact and notes",
        "1 case: “Hot water”",
        "1 file that",
        "without the name",
    ):
        assert words in page
    before = rows(engine)
    assert all(word in before for word in (*WORDS, *ids))
    done = visitor.change(f"{place}/delete", {"name": f" {NAME} ", **asked(visitor, place)})
    assert (done.status_code, done.headers["location"]) == (303, "/?archived=1")
    after = rows(engine)
    assert not [word for word in (*WORDS, *ids) if word in after]
    assert not [name for name in (laid_out, *map(leftovers.reports_root, ids)) if name.exists()]
    assert not leftovers.pictures_root(ids[1]).exists()
    assert "adviser: deleted a client with 1 case" in in_words(visitor.get("/?archived=1"))
    for address in (place, case, f"{place}/delete", f"{case}/report", f"{case}/history"):
        assert visitor.get(address).status_code == 404
    assert "There is no such" in in_words(visitor.change(f"{case}/save", {"people.count": "6"}))
    assert visitor.get(other).status_code == 200
    file = sqlite_file(engine)
    if file is not None:
        kept = b"".join(path.read_bytes() for path in file.parent.glob(f"{file.name}*"))
        assert b"SQLite" in kept
        assert not [word for word in (*WORDS, *ids) if word.encode() in kept]


def test_a_report_that_is_ready_only_after_the_deletion_is_not_kept(
    engine: sa.Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TANKFUL_CACHE_DIR", str(tmp_path / "cache"))
    with transaction(engine) as db:
        client_id = clients.add_client(db, NAME, "x")
        stays = works.add_work(db, client_id, "Hot water", {}, "x")
    for work_id in (stays, "0" * 16):
        leftovers.reports_root(work_id).mkdir(parents=True)
        leftovers.clear_if_gone(engine, work_id)
    assert leftovers.reports_root(stays).exists()
    assert not leftovers.reports_root("0" * 16).exists()
    outside = tmp_path / "outside"
    outside.mkdir()
    leftovers.clear(["../../outside", "..", "", "/"])
    assert outside.exists()
    assert leftovers.reports_root(stays).exists()


def test_emptying_what_lies_beside_waits_for_no_reader_and_its_fault_is_only_logged(
    engine: sa.Engine, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    if sqlite_file(engine) is None:
        pytest.skip("a database server has no such file")
    said: list[str] = []

    def note_down(connection: Any, *_: Any) -> None:
        connection.set_trace_callback(said.append)

    sa.event.listen(engine, "checkout", note_down)
    with transaction(engine) as db:
        clients.add_client(db, NAME, "x")
    with reading(engine) as db:
        clients.find_clients(db, archived=False)
        said.clear()
        settle(engine)
    waits = [each for each in said if "busy_timeout" in each or "checkpoint" in each]
    assert waits == [
        "PRAGMA busy_timeout = 0",
        "PRAGMA wal_checkpoint(TRUNCATE)",
        f"PRAGMA busy_timeout = {BUSY_MS}",
    ]

    def broken() -> None:
        raise sqlite3.OperationalError("disk I/O error")

    monkeypatch.setattr(engine, "raw_connection", broken)
    settle(engine)
    assert "disk I/O error" in caplog.text


def test_only_an_archived_client_whose_name_is_typed_is_deleted(visitor: Browser) -> None:
    place, _ = full_client(visitor)
    other = place_of(visitor, add_client(visitor, "Moon Street"))
    early = visitor.change(f"{place}/delete", {"name": NAME, "seen": "x"})
    assert early.status_code == 422
    assert "Put it there first" in in_words(early)
    for each in (place, other):
        visitor.change(f"{each}/archive", {"archived": "1"})
    seen = asked(visitor, place)
    for name in ("", "Moon Street", NAME.lower(), "<script>alert(1)</script>", "%", "x" * 500):
        refused = visitor.change(f"{place}/delete", {"name": name, **seen})
        assert (name, refused.status_code) == (name, 422)
        assert "<script>alert" not in refused.text
    crossed = visitor.change(f"{other}/delete", {"name": "Moon Street", **seen})
    assert crossed.status_code == 409, "what another client's page saw"
    assert visitor.change("/clients/00/delete", {"name": NAME, **seen}).status_code == 404
    assert visitor.get(place).status_code == visitor.get(other).status_code == 200
    visitor.change(f"{place}/jot", {"notes": "One more call"}, headers={"hx-request": "true"})
    moved = visitor.change(f"{place}/delete", {"name": NAME, **seen})
    assert moved.status_code == 409
    assert "has been added or changed since your page was made" in in_words(moved)
    assert f'value="{NAME}"' in unescape(moved.text)
    assert visitor.get(place).status_code == 200
    assert visitor.change(f"{place}/delete", {"name": NAME, **asked(visitor, place)}).is_redirect


def test_a_reader_or_a_forged_request_deletes_nothing(office: Desk) -> None:
    ada = sign_in(office, "ada", "correct horse battery")
    ben = sign_in(office, "ben", "staple battery horse")
    place, _ = full_client(ada)
    ada.change(f"{place}/archive", {"archived": "1"})
    sent = {"name": NAME, **asked(ada, place)}
    assert ben.get(f"{place}/delete").status_code == 403
    assert f"{place}/delete" not in ben.get(place).text
    assert ben.change(f"{place}/delete", sent).status_code == 403
    assert ada.change(f"{place}/delete", {**sent, "token": "guessed"}).status_code == 403
    elsewhere = {"origin": "http://elsewhere.example"}
    assert ada.change(f"{place}/delete", sent, headers=elsewhere).status_code == 403
    assert ada.get(place).status_code == 200


def test_a_reader_s_page_learns_of_a_new_state(office: Desk) -> None:
    """Their choice is disabled, and what is disabled is not sent: a hidden one is beside it."""
    ada = sign_in(office, "ada", "correct horse battery")
    ben = sign_in(office, "ben", "staple battery horse")
    case = add_client(ada, "Moon Street")
    shown = r'<input type="hidden" id="state-shown" name="state" value="(\w+)"'
    page = ben.get(case).text
    was = re.search(shown, page)
    assert was
    assert re.search('hx-include="[^"]*#state-shown', page)
    assert not re.search(shown, ada.get(case).text)
    sent = {"state": "installed", "was": was[1]}
    ada.change(f"{case}/state", sent, headers={"hx-request": "true"})
    told = ben.get(f"{case}/news?seen=0&window=bb&state={was[1]}", headers={"hx-request": "true"})
    now = re.search(shown + ' hx-swap-oob="true"', told.text)
    assert now
    assert now[1] == "installed"


def test_who_types_while_another_deletes_is_told(engine: sa.Engine) -> None:
    for _ in range(5):
        with transaction(engine) as db:
            client_id = clients.add_client(db, NAME, "Ada")
            work_id = works.add_work(db, client_id, "Hot water", {}, "Ada")
            clients.archive_client(db, client_id, True, "Ada")
            seen = held(db, client_id).digest
        told = at_once(engine, client_id, work_id, seen)
        with transaction(engine) as db:
            for each in told:
                assert each in ("done", "no such", "moved"), each
            gone = told[0] == "done"
            assert gone == (not clients.find_clients(db, archived=True)), told
            if not gone:
                delete_client(db, client_id, NAME, held(db, client_id).digest, "Ada")
    with transaction(engine) as db:
        lines = sa.text("SELECT count(*) FROM audit WHERE about = :about")
        assert db.scalar(lines, {"about": DELETED}) == 5


def at_once(engine: sa.Engine, client_id: str, work_id: str, seen: str) -> list[str]:
    """Delete, type into the case, write a note and add a case, all at the same moment."""
    together = Barrier(4)

    def run(n: int) -> str:
        together.wait()
        try:
            with transaction(engine) as db:
                if n == 0:
                    delete_client(db, client_id, NAME, seen, "Ada")
                elif n == 1:
                    saves.save(db, work_id, {"people.count": "4"}, 0, "Ben", "b")
                elif n == 2:
                    save_jotting(db, client_id, "notes", "x", 0, "Ben", "b")
                else:
                    works.add_work(db, client_id, "The flat", {}, "Ben")
        except MissingError:
            return "no such"
        except Exception as error:
            return "moved" if type(error).__name__ == "MovedError" else repr(error)
        return "done"

    with ThreadPoolExecutor(4) as pool:
        return list(pool.map(run, range(4)))


def test_the_page_asks_for_the_name_and_says_what_goes(page: Page) -> None:
    page.fill("[name=client]", "Lake Street")
    page.click("text=Start the case")
    page.wait_for_url("**/cases/*")
    page.click("nav >> text=Lake Street")
    page.click("text=Put into the archive")
    page.click("text=Delete for good…")
    expect(page.locator("h1")).to_contain_text("Delete “Lake Street” for good")
    assert faults_of_access(page) == []
    page.fill("#typed", "Lake Street")
    page.click("button:text-is('Delete for good')")
    page.click("summary:text('Deleted for good')")
    expect(page.locator(".gone")).to_contain_text("deleted a client with 1 case")
    assert faults_of_access(page) == []
