"""What is written down about a client: saved as typed, never overwritten unseen."""

from __future__ import annotations

import re
from concurrent.futures import ThreadPoolExecutor
from html import unescape
from pathlib import Path

import pytest
import sqlalchemy as sa
from access import faults_of_access
from hands import forgive
from playwright.sync_api import Page, expect
from visitors import Browser, add_client, come_in, desk_on, in_words, sign_in

from tankful.desk.store import clients
from tankful.desk.store.engine import transaction
from tankful.desk.store.jottings import LONGEST, Jotted, news, read_jottings, save_jotting
from tankful.desk.store.record import recent
from tankful.desk.visit import Desk
from tankful.errors import MissingError, TooMuchError

ADA, BEN = "Ada", "Ben"
PART = {"hx-request": "true"}
NOTES = "textarea[name=notes]"
CONTACT = "textarea[name=contact]"


@pytest.fixture
def client_id(engine: sa.Engine) -> str:
    with transaction(engine) as db:
        return clients.add_client(db, "Sun Street", ADA)


@pytest.fixture
def visitor(engine: sa.Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Browser:
    monkeypatch.setenv("TANKFUL_CACHE_DIR", str(tmp_path / "cache"))
    return come_in(desk_on(engine, tmp_path))


@pytest.fixture
def place(visitor: Browser) -> str:
    """The address of a client."""
    return client_of(visitor, add_client(visitor))


def client_of(browser: Browser, case: str) -> str:
    found = re.search(r"/clients/\w+", browser.get(case).text)
    assert found
    return found[0]


def save(engine: sa.Engine, client_id: str, kind: str, text: str, seen: int, who: str) -> Jotted:
    """Each person has one window."""
    with transaction(engine) as db:
        return save_jotting(db, client_id, kind, text, seen, who, f"window of {who}")


def held(page: str, kind: str) -> str:
    """What a page shows in the place of a text."""
    found = re.search(rf'<textarea[^>]*name="{kind}"[^>]*>\n([^<]*)</textarea>', page)
    assert found
    return unescape(found[1])


def test_two_who_write_about_one_client_do_not_overwrite_each_other(
    engine: sa.Engine, client_id: str
) -> None:
    hers = save(engine, client_id, "notes", "Calls back on Monday.", 0, ADA)
    assert (hers.conflict, hers.number, hers.texts["notes"].who) == (False, 1, ADA)
    other = save(engine, client_id, "contact", "02 5550 0000", 0, BEN)
    assert (other.conflict, other.elsewhere) == (False, ("notes",))
    his = save(engine, client_id, "notes", "Wants a quote.", 0, BEN)
    assert his.conflict
    assert his.texts["notes"].text == "Calls back on Monday."
    decided = save(engine, client_id, "notes", "Wants a quote.", his.number, BEN)
    assert (decided.conflict, decided.texts["notes"].text) == (False, "Wants a quote.")
    same = save(engine, client_id, "notes", "Wants a quote.", 1, ADA)
    assert (same.conflict, same.number) == (False, decided.number)
    with transaction(engine) as db:
        assert news(db, client_id, 1, "window of Ada").elsewhere == ("contact", "notes")
        assert news(db, client_id, 1, "window of Ben").elsewhere == ()
        lines = [(who, what) for _, who, what in recent(db, client_id)]
    assert lines[:4] == [
        (BEN, "edit: notes"),
        (BEN, "refused: notes"),
        (BEN, "edit: contact"),
        (ADA, "edit: notes"),
    ]


def test_who_types_on_after_a_lost_answer_does_not_meet_oneself(
    engine: sa.Engine, client_id: str
) -> None:
    for text in ("C", "Ca", "Cal", ""):
        assert not save(engine, client_id, "notes", text, 0, ADA).conflict


def test_many_who_write_at_once_are_all_told(engine: sa.Engine, client_id: str) -> None:
    def write(n: int) -> Jotted:
        return save(engine, client_id, "notes", f"Text {n}", 0, f"Person {n}")

    with ThreadPoolExecutor(5) as pool:
        found = list(pool.map(write, range(5)))
    (kept,) = [each for each in found if not each.conflict]
    with transaction(engine) as db:
        assert read_jottings(db, client_id).texts == kept.texts


def test_what_cannot_be_kept_is_refused_in_words(engine: sa.Engine, client_id: str) -> None:
    for kind, most in LONGEST.items():
        with pytest.raises(TooMuchError):
            save(engine, client_id, kind, "x" * (most + 1), 0, ADA)
    for unknown in ("name", "", "notes; DROP TABLE jotting"):
        with pytest.raises(MissingError):
            save(engine, client_id, unknown, "x", 0, ADA)
    with pytest.raises(MissingError):
        save(engine, "0" * 16, "notes", "x", 0, ADA)
    with transaction(engine) as db:
        assert read_jottings(db, client_id).number == 0


def test_clients_are_found_by_words_and_numbers_of_their_contact(
    engine: sa.Engine, client_id: str
) -> None:
    save(engine, client_id, "contact", "12 Café Street\n(02) 5550 0123\nada@example.org", 0, ADA)
    save(engine, client_id, "notes", "Never finds", 0, ADA)
    with transaction(engine) as db:
        clients.add_client(db, "Moon Street", ADA)
        for words in ("cafe", "0255500123", "5550", "SUN café", "ada@example"):
            assert [found.id for found in clients.find_clients(db, words)] == [client_id], words
        for words in ("never", "moon cafe", "%", "1202"):
            assert clients.find_clients(db, words) == [], words


def test_scripts_and_odd_letters_in_notes_are_words(visitor: Browser, place: str) -> None:
    for text in (
        "</textarea><script>alert(1)</script>",
        "\n\n  two lines above\tand a tab  ",
        "{{ 7 * 7 }} %s \u202e 家 👩",
        "' onfocus=alert(1) x='",
    ):
        saved = visitor.change(f"{place}/jot", {"notes": text, "seen": "99"}, headers=PART)
        assert saved.status_code == 200, saved.text
        page = visitor.get(place).text
        assert held(page, "notes") == text
        assert "<script>alert" not in page
        assert "<script>alert" not in visitor.get(f"{place}/news?seen=0&window=ab").text
    assert visitor.change(f"{place}/jot", {"notes": "a\0b\r\nc", "seen": "99"}).status_code == 200
    assert held(visitor.get(place).text, "notes") == "ab\nc"


def test_a_conflict_shows_both_texts_and_keeps_either_or_both(visitor: Browser, place: str) -> None:
    hers, his = "Roof <b>faces</b> north", "Ring the plumber"
    visitor.change(f"{place}/jot", {"notes": hers, "seen": "0", "window": "aa"}, headers=PART)
    sent = {"notes": his, "seen": "0", "window": "bb"}
    told = visitor.change(f"{place}/jot", sent, headers=PART)
    assert told.status_code == 409
    assert "Another window changed this meanwhile" in in_words(told)
    assert "Roof &lt;b&gt;faces&lt;/b&gt; north" in told.text
    assert "<textarea" not in told.text, "what was typed stays"
    theirs = visitor.get(f"{place}/jotting?kind=notes", headers=PART)
    assert held(theirs.text, "notes") == hers
    both = visitor.change(f"{place}/jot", {**sent, "seen": "1", "both": "1"}, headers=PART)
    assert both.status_code == 200
    assert held(both.text, "notes") == f"{hers}\n\n{his}"
    mine = visitor.change(f"{place}/jot", {**sent, "seen": "2"}, headers=PART)
    assert mine.status_code == 200
    assert held(visitor.get(place).text, "notes") == his


def test_five_megabytes_of_notes_are_refused_and_change_nothing(
    visitor: Browser, place: str
) -> None:
    visitor.change(f"{place}/jot", {"notes": "Kept", "seen": "0"}, headers=PART)
    for length in (5_000_000, 900_000, LONGEST["notes"] + 1):
        answer = visitor.change(f"{place}/jot", {"notes": "x" * length, "seen": "1"}, headers=PART)
        assert answer.status_code == 413
        assert in_words(answer)
    assert held(visitor.get(place).text, "notes") == "Kept"
    assert visitor.change(f"{place}/jot", {"seen": "1"}, headers=PART).status_code == 404
    assert visitor.change("/clients/00/jot", {"notes": "x"}, headers=PART).status_code == 404
    assert visitor.get("/clients/00/news?seen=0").status_code == 404
    assert visitor.get(f"{place}/jotting?kind=name").status_code == 404


def test_a_reader_reads_and_without_the_token_nothing_is_written(office: Desk) -> None:
    ada = sign_in(office, "ada", "correct horse battery")
    ben = sign_in(office, "ben", "staple battery horse")
    place = client_of(ada, add_client(ada))
    ada.change(f"{place}/jot", {"notes": "Hers", "seen": "0"}, headers=PART)
    sent = {"notes": "x", "seen": "9"}
    assert ben.change(f"{place}/jot", sent, headers=PART).status_code == 403
    assert ada.change(f"{place}/jot", {**sent, "token": "guessed"}).status_code == 403
    page = ben.get(place).text
    assert held(page, "notes") == "Hers"
    assert re.search("<textarea[^>]* readonly", page)
    assert f"{place}/jot" not in page.replace(f"{place}/jotting", "")
    assert ben.get(f"{place}/news?seen=0").status_code == 200


def test_a_client_s_page_saves_as_one_types_and_asks_when_two_have_typed(page: Page) -> None:
    page.fill("[name=client]", "Hill Street")
    page.click("text=Start the case")
    page.wait_for_url("**/cases/*")
    page.click("nav >> text=Hill Street")
    other = page.context.new_page()
    other.goto(page.url)
    with page.expect_response("**/jot"):
        page.fill(CONTACT, "02 5550 0000\n12 Hill Street")
    expect(page.locator("#saved")).to_have_text("Saved.")
    expect(other.locator(CONTACT)).to_have_value("02 5550 0000\n12 Hill Street")
    expect(other.locator("#f-contact-by")).to_contain_text("adviser, today")
    with page.expect_response("**/jot"):
        page.fill(NOTES, "Calls back on Monday")
    with other.expect_response("**/jot") as told:
        other.fill(NOTES, "Wants a quote")
    assert told.value.status == 409
    slot = other.locator("#f-notes-fault")
    expect(slot).to_contain_text("Calls back on Monday")
    expect(other.locator(NOTES)).to_have_value("Wants a quote")
    expect(other.locator(NOTES)).to_have_attribute("aria-invalid", "true")
    assert faults_of_access(other) == []
    other.route("**/jot", lambda route: route.abort())
    other.click("#f-notes-fault >> text=Keep mine")
    expect(other.locator("#saved")).to_contain_text("the desk does not answer")
    expect(other.locator(NOTES)).to_have_attribute("data-dirty", "yes")
    with other.expect_response("**/jot") as told:
        other.unroute("**/jot")
    assert told.value.status == 409
    expect(other.locator(NOTES)).to_have_value("Wants a quote")
    other.click("text=Keep both")
    expect(slot).to_be_empty()
    expect(other.locator(NOTES)).to_have_value("Calls back on Monday\n\nWants a quote")
    expect(page.locator(NOTES)).to_have_value("Calls back on Monday\n\nWants a quote")
    with other.expect_response("**/jot"):
        other.locator(NOTES).press_sequentially("!")
    expect(other.locator("#saved")).to_have_text("Saved.")
    other.route("**/jot", lambda route: route.abort())
    other.fill(NOTES, "Typed while the desk was away")
    expect(other.locator("#saved")).to_contain_text("the desk does not answer")
    other.unroute("**/jot")
    expect(other.locator("#saved")).to_have_text("Saved.")
    other.reload()
    expect(other.locator(NOTES)).to_have_value("Typed while the desk was away")
    assert faults_of_access(other) == []
    other.close()
    forgive(page, "409", "htmx:", "ERR_FAILED")
