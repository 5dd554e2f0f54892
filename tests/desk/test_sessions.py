"""Sessions: when they end, what a page may do after, and who is asked to wait."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
import sqlalchemy as sa
from starlette.responses import Response
from visitors import Browser, add_client, browser_of, come_in, in_words, sign_in

from tankful.desk.doors.limits import Rate
from tankful.desk.pages import entry
from tankful.desk.store import people
from tankful.desk.store.engine import transaction
from tankful.desk.store.record import recent
from tankful.desk.store.tables import audit, session
from tankful.desk.visit import CHANGES_AT_ONCE, Desk

ADA, BEN = ("ada", "correct horse battery"), ("ben", "staple battery horse")
PART = {"hx-request": "true"}


def run_out(desk: Desk) -> None:
    """Let every session be over."""
    with transaction(desk.engine) as db:
        db.execute(session.update().values(ends_at=people._in_hours(-1)))


def save(browser: Browser, place: str, people_count: str) -> Response:
    answer: Response = browser.change(
        f"{place}/save", {"people.count": people_count, "seen": "9"}, headers=PART
    )
    return answer


def test_a_page_goes_on_once_its_reader_has_come_in_again(office: Desk) -> None:
    ada = sign_in(office, *ADA)
    place = add_client(ada)
    run_out(office)
    assert ada.get("/").headers["location"] == "/login"
    over = save(ada, place, "4")
    assert over.status_code == 401
    assert "Come in again in another tab" in in_words(over)
    ada.change("/login", dict(zip(("name", "password"), ADA, strict=True)))
    assert save(ada, place, "4").status_code == 200, "with the token of the page from before"


def test_a_page_does_not_go_on_as_somebody_else(office: Desk) -> None:
    ada = sign_in(office, *ADA)
    place = add_client(ada)
    with transaction(office.engine) as db:
        people.put_account(db, "cleo", BEN[1], "adviser", "test")
    run_out(office)
    ada.change("/login", {"name": "cleo", "password": BEN[1]})
    assert ada.get(place).status_code == 200
    refused = save(ada, place, "4")
    assert refused.status_code == 403
    assert "older than your session" in in_words(refused)


def test_leaving_and_coming_in_anew_end_the_session_before(office: Desk) -> None:
    ada = sign_in(office, *ADA)
    first = dict(ada.cookies)
    ada.change("/login", dict(zip(("name", "password"), ADA, strict=True)))
    second = dict(ada.cookies)
    assert first != second
    for cookies, status in ((first, 303), (second, 200)):
        stranger = browser_of(office)
        stranger.cookies.update(cookies)
        assert stranger.get("/").status_code == status
    ada.change("/leave")
    stranger.cookies.update(second)
    assert stranger.get("/").status_code == 303
    again = sign_in(office, *ADA)
    assert again.token != ada.token, "a token is not taken over from a session that was left"


@pytest.mark.parametrize("change", ["role", "password", "gone"])
def test_a_changed_account_is_out_at_once_in_every_browser(change: str, office: Desk) -> None:
    browsers = [sign_in(office, *ADA), sign_in(office, *ADA)]
    place = add_client(browsers[0])
    with transaction(office.engine) as db:
        if change == "gone":
            people.remove_account(db, "ada", "test")
        elif change == "role":
            people.put_account(db, "ada", None, "reader", "test")
        else:
            people.put_account(db, "ada", "another horse battery", "adviser", "test")
    for browser in browsers:
        assert browser.get(place).status_code == 303
        assert save(browser, place, "4").status_code == 401
    entered = sign_in(office, *ADA)
    assert bool(entered.token) == (change == "role")
    if change == "role":
        assert "may only read" in in_words(save(entered, place, "4"))


def test_a_session_of_a_desk_without_accounts_opens_no_office(
    desk: Desk,
) -> None:
    alone = come_in(desk)
    with transaction(desk.engine) as db:
        people.put_account(db, people.ALONE, ADA[1], "adviser", "test")
    office = Desk(replace(desk.settings, office=True), desk.engine)
    there = browser_of(office)
    there.cookies.update(dict(alone.cookies))
    assert there.get("/").headers["location"] == "/login"
    entered = sign_in(office, people.ALONE, ADA[1])
    back = browser_of(desk)
    back.cookies.update(dict(entered.cookies))
    assert back.get("/").status_code == 403


def test_a_whole_office_signs_in_from_one_address(office: Desk) -> None:
    office.kept["tries from"] = Rate(0.0, entry.FROM_AT_ONCE)  # however slow the machine
    for _ in range(int(entry.FROM_AT_ONCE) + 5):
        assert sign_in(office, *ADA).token
    codes = []
    for n in range(int(entry.FROM_AT_ONCE) + 5):
        wrong = {"name": f"somebody {n}", "password": "wrong"}
        codes.append(browser_of(office).change("/login", wrong).status_code)
    assert codes[0] == 403
    assert codes[-1] == 429


def test_one_person_s_haste_does_not_slow_the_others(office: Desk) -> None:
    ada = sign_in(office, *ADA)
    with transaction(office.engine) as db:
        people.put_account(db, "cleo", BEN[1], "adviser", "test")
    cleo = sign_in(office, "cleo", BEN[1])
    place = add_client(ada)
    office.changes.per_s = 0.0  # however slow the machine
    codes = [
        ada.change(f"{place}/title", {"title": "x", "was": "Hot water"}).status_code
        for _ in range(int(CHANGES_AT_ONCE) + 5)
    ]
    assert codes[0] == 303
    assert 429 in codes
    assert cleo.change(f"{place}/title", {"title": "y", "was": "x"}).status_code == 303


def test_who_came_in_left_or_was_not_let_in_has_a_line(office: Desk) -> None:
    ada = sign_in(office, *ADA)
    ada.change("/leave")
    sign_in(office, "ada", "wrong")
    sign_in(office, "correct horse battery", "ada")
    with transaction(office.engine) as db:
        people.remove_account(db, "ada", "test")
        lines = [(r.who, r.what) for r in db.execute(sa.select(audit).order_by(audit.c.id))]
        assert recent(db, "ada")[0][1:] == ("test", "removed the account")
    assert lines[-5:-1] == [
        ("ada", "came in"),
        ("ada", "left"),
        ("ada", "was not let in"),
        ("somebody", "was not let in"),
    ]
    assert not re.search("horse", str(lines)), "a password in the wrong place"
