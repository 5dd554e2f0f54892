"""Who may come in and what they may send: the desk against hostile visitors."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from visitors import HERE, KEY, Browser, add_client, browser_of, in_words, sign_in

from tankful.desk.app import DOORS, PAGES
from tankful.desk.doors.limits import Rate
from tankful.desk.settings import MAX_BODY
from tankful.desk.store import people
from tankful.desk.store.engine import transaction
from tankful.desk.visit import Desk
from tankful.errors import CaseError

SCRIPT = "<script>alert(1)</script>"


def test_the_link_lets_one_browser_in_once(desk: Desk) -> None:
    first, second = browser_of(desk), browser_of(desk)
    assert first.get("/").status_code == 403
    assert first.get("/enter?key=wrong").status_code == 403
    assert first.get("/enter").status_code == 403
    came = first.get(f"/enter?key={KEY}")
    assert came.status_code == 303
    cookie = came.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert first.get("/").status_code == 200
    assert second.get(f"/enter?key={KEY}").status_code == 403
    assert second.get("/").status_code == 403


def test_looking_at_the_link_does_not_use_it_up(desk: Desk) -> None:
    assert browser_of(desk).head(f"/enter?key={KEY}").status_code == 403
    assert browser_of(desk).get(f"/enter?key={KEY}").status_code == 303


@pytest.mark.parametrize(("method", "path"), [page[:2] for page in PAGES])
def test_no_page_is_shown_and_nothing_done_without_a_session(
    method: str, path: str, desk: Desk
) -> None:
    answer = browser_of(desk).request(method, path.replace("{id}", "x"), headers={"origin": HERE})
    assert answer.status_code == 403
    assert "does not know this browser" in answer.text


@pytest.mark.parametrize("path", [path for method, path, _ in PAGES if method == "POST"])
def test_a_change_needs_the_session_s_token(path: str, browser: Browser) -> None:
    browser.token = "guessed"  # noqa: S105
    answer = browser.change(path.replace("{id}", "x"))
    assert answer.status_code == 403
    assert "older than your session" in answer.text


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": ""},
        {"origin": HERE.replace("8470", "8471")},
        {"origin": HERE, "sec-fetch-site": "cross-site"},
        {"origin": HERE, "sec-fetch-site": "same-site"},
    ],
)
def test_a_change_asked_for_by_another_site_is_refused(
    headers: dict[str, str], browser: Browser
) -> None:
    answer = browser.change("/clients", {"client": "x"}, headers=headers)
    assert answer.status_code == 403
    assert answer.text == "The request comes from another site."
    assert browser.post("/clients", data={"client": "x"}).status_code == 403


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "127.0.0.1:80", "", "localhost"])
def test_a_desk_called_by_another_name_does_not_answer(host: str, browser: Browser) -> None:
    assert browser.get("/", headers={"host": host}).status_code == 421


def test_every_answer_carries_the_strict_headers(browser: Browser) -> None:
    for path in ("/", "/nowhere", "/static/desk.css", "/login", "/clients/x"):
        headers = browser.get(path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'self'" in policy
        assert "unsafe" not in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "same-origin"
        assert "server" not in headers
    assert browser.get("/").headers["cache-control"] == "no-store"


@pytest.mark.parametrize(
    "path",
    ["/static/../app.py", "/static/..%2fapp.py", "/static/%2e%2e/app.py", "/static//etc/passwd",
     "/cases/..%2f..%2fetc", "/clients/%00", "/static/..\\app.py"],
)  # fmt: skip
def test_tricks_with_paths_find_nothing(path: str, browser: Browser) -> None:
    assert browser.get(path).status_code == 404


def test_names_never_become_markup(browser: Browser) -> None:
    place = add_client(browser, SCRIPT, **{"people.count": '"><img src=x onerror=alert(1)>'})
    for path in ("/", place, f"{place}/history"):
        page = browser.get(path).text
        assert SCRIPT not in page
        assert "<img" not in page
    assert "&lt;script&gt;" in browser.get("/").text
    typed = browser.change(f"{place}/save", {"name": "'\" onfocus=alert(1) x=", "seen": "0"})
    assert "onfocus=alert" not in re.sub(r"&#34;|&#39;", "", typed.text).replace('"', "")
    assert 'value="&#39;&#34; onfocus' in browser.get(place).text


def test_what_is_too_large_is_refused_in_words(browser: Browser) -> None:
    place = add_client(browser)
    long = browser.change(f"{place}/save", {"name": "x" * 5000, "seen": "0"})
    assert (long.status_code, "too long" in long.text) == (413, True)
    assert browser.change(f"{place}/save", {"name": "x" * (MAX_BODY + 1)}).status_code == 413

    def pieces() -> Iterator[bytes]:
        for _ in range(20):
            yield b"x" * 100_000

    headers = {"origin": HERE, "content-type": "application/x-www-form-urlencoded"}
    endless = browser.post(f"{place}/save", content=pieces(), headers=headers)
    assert (endless.status_code, "larger than the desk takes" in endless.text) == (413, True)
    many = "&".join(f"name{n}=x" for n in range(10_000))
    assert browser.post(f"{place}/save", content=many, headers=headers).status_code == 413


def test_an_upload_that_is_too_large_is_refused_before_it_is_kept(
    browser: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = add_client(browser)
    monkeypatch.setattr("tankful.desk.pages.files.MOST_BYTES", 1000)
    monkeypatch.setattr("tankful.desk.store.uploads.MOST_BYTES", 1000)
    files = {"file": ("meter.csv", b"x" * 1001)}
    answer = browser.change(f"{place}/upload", files=files)
    assert (answer.status_code, "Too large" in answer.text) == (413, True)
    monkeypatch.setattr("tankful.desk.doors.guard.MAX_UPLOAD", 900)
    assert browser.change(f"{place}/upload", files=files).status_code == 413
    assert "meter.csv" not in browser.get(place).text


def test_a_refused_part_of_a_page_never_takes_that_part_s_place(
    desk: Desk, browser: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = add_client(browser)
    part = {"hx-request": "true"}
    stranger = browser_of(desk)
    monkeypatch.setattr("tankful.desk.doors.guard.MAX_BODY", 100)
    refused = [
        (401, stranger.get(place, headers=part)),
        (401, stranger.change(f"{place}/undo", headers=part)),
        (403, browser.post(f"{place}/undo", headers=part)),
        (404, browser.get("/cases/x", headers=part)),
        (404, browser.get("/static/x", headers=part)),
        (405, browser.put(place, headers={**part, "origin": HERE})),
        (413, browser.change(f"{place}/save", {"name": "x" * 200}, headers=part)),
    ]
    for status, answer in refused:
        assert answer.status_code == status
        assert answer.headers["hx-retarget"] == "#trouble"
        assert answer.headers["hx-reswap"] == "innerHTML"
        assert "<html" not in answer.text
        assert len(in_words(answer).split()) > 4


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "TRACE", "PATCH", "PROPFIND"])
def test_other_ways_to_ask_do_nothing(method: str, browser: Browser) -> None:
    place = add_client(browser)
    assert browser.request(method, place).status_code == 403
    override = {"origin": HERE, "x-http-method-override": "POST", "x-desk-token": browser.token}
    answer = browser.request(method, place, headers=override)
    assert answer.status_code == 405
    assert "Method not allowed" in in_words(answer)


@pytest.mark.parametrize("length", ["1" * 5000, "-1", "1e3", "0x10", "", "\u00b2"])
def test_a_length_that_is_none_is_refused(length: str, browser: Browser) -> None:
    headers = {"origin": HERE, "content-length": length.encode("latin-1")}
    assert browser.post("/clients", headers=headers).status_code == 413


def test_changes_are_limited_in_number() -> None:
    at = [0.0]
    rate = Rate(2.0, 3.0, clock=lambda: at[0])
    assert [rate.allows("a") for _ in range(4)] == [True, True, True, False]
    assert rate.allows("b")
    at[0] = 0.5
    assert [rate.allows("a") for _ in range(2)] == [True, False]


def test_invented_names_do_not_empty_the_memory_of_tries(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tankful.desk.doors.limits.MOST_NAMES", 10)
    rate = Rate(0.0, 3.0, clock=lambda: 0.0)
    assert [rate.allows("a") for _ in range(4)] == [True, True, True, False]
    for n in range(100):
        rate.allows(f"name {n}")
    assert not rate.allows("a")
    assert len(rate.left) <= 10
    rate.give_back("a")
    assert [rate.allows("a") for _ in range(2)] == [True, False]


def test_an_unknown_page_client_case_or_field_is_told_in_words(browser: Browser) -> None:
    place = add_client(browser)
    for answer in (
        browser.get("/nowhere"),
        browser.get("/clients/x"),
        browser.get("/cases/x"),
        browser.get(f"{place}/field?path=no.such"),
        browser.get(f"{place}/row?open=no[1]"),
        browser.change(f"{place}/remove", {"row": "name[1]"}),
        browser.change(f"{place}/save", {"no.such": "1", "seen": "0"}),
    ):
        assert answer.status_code == 404
        assert "There is no such" in answer.text


def test_a_bug_shows_no_traceback(browser: Browser, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tankful.desk.store.clients.get_client", lambda *_: 1 / 0)
    answer = browser.get("/clients/x")
    assert answer.status_code == 500
    assert "did not foresee" in answer.text
    assert "ZeroDivision" not in answer.text


def test_leaving_ends_the_session(browser: Browser) -> None:
    cookies = dict(browser.cookies)
    assert browser.change("/leave").status_code == 200
    browser.cookies.update(cookies)
    assert browser.get("/").status_code == 403


def test_an_office_asks_for_name_and_password(office: Desk) -> None:
    stranger = browser_of(office)
    assert stranger.get("/").headers["location"] == "/login"
    assert stranger.get(f"/enter?key={KEY}").status_code == 403
    wrong = stranger.change("/login", {"name": "ada", "password": "wrong"})
    assert (wrong.status_code, "do not belong together" in wrong.text) == (403, True)
    assert stranger.get("/").status_code == 303
    assert sign_in(office, "ada", "correct horse battery").get("/").status_code == 200


@pytest.mark.parametrize("name", ["Ada", "ADA", " aDa "])
def test_capitals_make_no_difference_to_who_signs_in(name: str, office: Desk) -> None:
    assert sign_in(office, name, "correct horse battery").token
    for n in range(6):
        browser_of(office).change("/login", {"name": "ada", "password": f"wrong {n}"})
    other = browser_of(office).change("/login", {"name": name, "password": "wrong"})
    assert other.status_code == 429, "another spelling brings no more tries"


def test_no_two_accounts_differ_in_capitals_alone(office: Desk) -> None:
    with transaction(office.engine) as db:
        with pytest.raises(CaseError) as told:
            people.put_account(db, "Ada", "horse battery staple", "reader", "test")
        assert "write it ada" in told.value.faults[0].mend
        assert people.list_accounts(db) == [("ada", "adviser"), ("ben", "reader")]
        people.put_account(db, "ada", "horse battery staple", "reader", "test")
        assert people.remove_account(db, "ADA", "test")
        assert not people.remove_account(db, "ada", "test")


def test_an_office_is_told_that_its_name_on_reports_is_one_for_all(
    office: Desk, browser: Browser
) -> None:
    words = "One for the whole office"
    assert words in sign_in(office, "ada", "correct horse battery").get("/settings").text
    assert words not in browser.get("/settings").text


def test_a_reader_sees_everything_and_changes_nothing(office: Desk) -> None:
    place = add_client(sign_in(office, "ada", "correct horse battery"))
    reader = sign_in(office, "ben", "staple battery horse")
    assert "Ada Example" in reader.get("/").text
    assert reader.get(place).status_code == 200
    for method, path, _ in PAGES:
        if method == "POST" and path != "/leave":
            answer = reader.change(path.replace("/cases/{id}", place).replace("{id}", "x"))
            assert answer.status_code == 403, path
            assert "may only read" in answer.text
    assert reader.change("/leave").status_code == 200


def test_passwords_cannot_be_tried_without_end(office: Desk) -> None:
    stranger = browser_of(office)
    codes = [
        stranger.change("/login", {"name": "ada", "password": f"wrong {n}"}).status_code
        for n in range(8)
    ]
    assert codes[:6] == [403] * 6
    assert codes[6:] == [429] * 2


def test_right_passwords_use_up_no_tries(office: Desk) -> None:
    for _ in range(8):
        assert sign_in(office, "ada", "correct horse battery").token


def test_only_the_doors_are_open_to_anybody() -> None:
    assert {path for _, path, _ in DOORS} == {"/enter", "/login"}
