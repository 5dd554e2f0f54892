"""Two at one state, title, name or branding: nobody overwrites what they have not seen."""

from __future__ import annotations

import base64
import re
from concurrent.futures import ThreadPoolExecutor
from html import unescape
from pathlib import Path
from threading import Barrier

import pytest
import sqlalchemy as sa
from visitors import Browser, add_client, come_in, desk_on, in_words, sign_in

from tankful.desk.store import clients, people, works
from tankful.desk.store.engine import transaction
from tankful.desk.store.moved import MovedError
from tankful.desk.store.record import recent
from tankful.desk.store.settings import Brand, digests, get_brand, merged, put_brand

ADA, BEN = "Ada", "Ben"
SVG = b'<svg xmlns="http://www.w3.org/2000/svg" width="80" height="20"/>'
SCRIPT = "<script>alert(1)</script>"


@pytest.fixture
def pair(engine: sa.Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[Browser]:
    """Ada's and Ben's browsers at one office's desk."""
    monkeypatch.setenv("TANKFUL_CACHE_DIR", str(tmp_path / "cache"))
    desk = desk_on(engine, tmp_path, office=True)
    with transaction(engine) as db:
        for name in (ADA, BEN):
            people.put_account(db, name, f"{name} correct horse", "adviser", "test")
    return [sign_in(desk, name, f"{name} correct horse") for name in (ADA, BEN)]


def client_of(browser: Browser, case: str) -> str:
    found = re.search(r"/clients/\w+", browser.get(case).text)
    assert found
    return found[0]


def inputs(page: str) -> dict[str, str]:
    """What the form of a page would send, untouched."""
    tags = [t for t in re.findall(r"<input[^>]*>", page) if not re.search("checkbox|radio", t)]
    pairs = [(re.search(r'name="([^"]+)"', t), re.search(r'value="([^"]*)"', t)) for t in tags]
    sent = {name[1]: unescape(value[1]) for name, value in pairs if name and value}
    sent.pop("token", None)  # each browser has its own
    texts = re.findall(r'<textarea[^>]*name="([^"]+)"[^>]*>\n([^<]*)</textarea>', page)
    return {**sent, **{name: unescape(text) for name, text in texts}}


@pytest.mark.parametrize(
    ("what", "field", "first", "hers", "his"),
    [
        ("title", "title", "Hot water", "The flat", SCRIPT),
        ("state", "state", "draft", "installed", "advised"),
        ("rename", "client", "Sun Street", "Moon & Street", "Hill Street"),
    ],
)
def test_what_another_has_changed_is_shown_and_decided(
    what: str, field: str, first: str, hers: str, his: str, pair: list[Browser]
) -> None:
    ada, ben = pair
    case = add_client(ada, "Sun Street")
    place = client_of(ada, case) if what == "rename" else case
    assert ada.change(f"{place}/{what}", {field: hers, "was": first}).status_code == 303
    told = ben.change(f"{place}/{what}", {field: his, "was": first})
    assert told.status_code == 409
    assert "Ada changed the" in in_words(told)
    assert SCRIPT not in told.text
    held = inputs(told.text)
    assert (held[field], held["was"]) == (his, hers)
    assert f'href="{place}"' in told.text
    assert kept(ben, case, what) == hers
    decided = ben.change(f"{place}/{what}", {field: held[field], "was": held["was"]})
    assert decided.status_code == 303
    assert kept(ben, case, what) == his
    same = ada.change(f"{place}/{what}", {field: his, "was": first})
    assert same.status_code == 303, "both want the same"


def kept(browser: Browser, case: str, what: str) -> str:
    page = browser.get(client_of(browser, case) if what == "rename" else case).text
    if what == "state":
        found = re.search('value="([a-z_]+)" selected', page.partition('id="state"')[2])
    else:
        found = re.search("<h1>([^<]*)</h1>", page)
    assert found
    return unescape(found[1])


def test_a_page_s_script_is_told_of_another_s_state_and_lets_one_decide(
    pair: list[Browser],
) -> None:
    ada, ben = pair
    case, part = add_client(ada), {"hx-request": "true"}
    ada.change(f"{case}/state", {"state": "installed", "was": "draft"})
    sent = {"state": "advised", "was": "draft"}
    told = ben.change(f"{case}/state", sent, headers=part)
    assert told.status_code == 409
    words = "Ada set the state to “Installed” (today"
    assert words in in_words(told)
    offers = [unescape(vals) for vals in re.findall("hx-vals='([^']*)'", told.text)]
    assert '{"state": "advised", "was": "installed"}' in offers[0]
    theirs = ben.change(f"{case}/state", {"state": "installed", "was": "installed"}, headers=part)
    assert theirs.status_code == 200
    assert 'value="installed" selected' in theirs.text
    sent = {"state": "report_sent", "was": "draft", "sent": "abc/short-def"}
    again = ada.change(f"{case}/state", sent)
    assert again.status_code == 409
    assert "Another window changed the state of the work" in in_words(again)
    assert f'href="{case}/report?size=short"' in again.text
    assert 'name="sent" value="abc/short-def"' in again.text


def test_what_is_already_so_leaves_no_line(engine: sa.Engine) -> None:
    with transaction(engine) as db:
        client_id = clients.add_client(db, "Sun Street", ADA)
        work_id = works.add_work(db, client_id, "Hot water", {}, ADA)
        for _ in range(2):
            works.archive_work(db, work_id, True, BEN)
            works.set_state(db, work_id, "advised", "draft", BEN)
            works.set_title(db, work_id, "The flat", "Hot water", BEN)
            clients.archive_client(db, client_id, True, BEN)
            clients.rename_client(db, client_id, "Moon Street", "Sun Street", BEN)
        assert len(recent(db, work_id)) == 4
        assert len(recent(db, client_id)) == 3
        with pytest.raises(MovedError) as told:
            works.set_state(db, work_id, "installed", "draft", ADA)
        assert (told.value.now, told.value.who) == ("advised", BEN)
        with pytest.raises(MovedError):
            works.set_title(db, work_id, "x", "", ADA)


def test_brandings_of_two_are_merged_part_by_part(engine: sa.Engine) -> None:
    with transaction(engine) as db:
        first = Brand(name="Sun Advice", contact="1 Street")
        put_brand(db, first, ADA)
        seen = digests(first)
        put_brand(db, Brand(name="Sun Advice", contact="2 Street"), BEN)
        both = merged(db, {"name": "Moon Advice", "contact": "1 Street"}, seen)
        assert both.conflicts == ()
        assert both.brand == Brand(name="Moon Advice", contact="2 Street")
        asked = merged(db, {"name": "Sun Advice", "contact": "3 Street"}, seen)
        assert (asked.conflicts, asked.who) == (("contact",), BEN)
        assert (asked.brand.contact, asked.kept.contact) == ("3 Street", "2 Street")
        assert merged(db, {"contact": "2 Street"}, seen).conflicts == ()
        assert merged(db, {"contact": "3 Street"}, {}).conflicts == ("contact",)


def test_a_branding_that_another_has_changed_is_told_at_its_field(pair: list[Browser]) -> None:
    ada, ben = pair
    form = inputs(ada.get("/settings").text)
    logo = {"logo": ("sun.svg", SVG, "image/svg+xml")}
    sent = {**form, "name": SCRIPT, "contact": "1 Street\r\n2480"}
    assert "Saved." in ada.change("/settings", sent, files=logo).text
    told = ben.change("/settings", {**form, "name": "Moon Advice", "foreword": "Hello"})
    assert told.status_code == 409
    assert "Ada has changed this" in in_words(told)
    assert SCRIPT not in told.text
    held = inputs(told.text)
    assert (held["name"], held["contact"]) == ("Moon Advice", "1 Street\n2480")
    assert held["foreword"] == "Hello"
    assert "now: sun.svg" in told.text
    taken = ben.change("/settings", {**held, "take-name": "theirs"})
    assert taken.status_code == 200
    assert inputs(taken.text)["name"] == SCRIPT
    assert inputs(taken.text)["foreword"] == "Hello"
    mine = ben.change("/settings", {**held, "take-name": "mine"})
    assert mine.status_code == 200
    assert inputs(mine.text)["name"] == "Moon Advice"


def test_a_logo_that_waits_for_a_decision_stays_chosen(pair: list[Browser]) -> None:
    ada, ben = pair
    form = inputs(ada.get("/settings").text)
    ada.change("/settings", {**form, "name": "Sun Advice"})
    logo = {"logo": ("moon.svg", SVG, "image/svg+xml")}
    told = ben.change("/settings", {**form, "name": "Moon Advice"}, files=logo)
    assert told.status_code == 409
    assert "chosen: moon.svg" in told.text
    done = ben.change("/settings", {**inputs(told.text), "take-name": "mine"})
    assert "now: moon.svg" in done.text
    held = inputs(done.text)
    assert ada.change("/settings", {**held, "logo_before": "not base 64"}).status_code == 422
    evil = base64.b64encode(SCRIPT.encode()).decode()
    sent = {**held, "logo_before": evil, "logo_before_name": "x.svg"}
    assert ada.change("/settings", sent).status_code == 422
    assert "now: moon.svg" in ada.get("/settings").text


def test_a_file_lies_beside_one_of_its_name_that_the_page_did_not_see(pair: list[Browser]) -> None:
    ada, ben = pair
    case, part = add_client(ada), {"hx-request": "true"}

    def bring(browser: Browser, content: bytes, page: str) -> str:
        sent = {name: text for name, text in inputs(page).items() if name.startswith("saw-")}
        file = {"file": ("meter.csv", content)}
        answer = browser.change(f"{case}/upload", sent, files=file, headers=part)
        assert answer.status_code == 200
        return answer.text

    empty = ben.get(case).text
    hers = bring(ada, b"hers", empty)
    told = bring(ben, b"his", empty)
    assert "Ada has brought another “meter.csv” meanwhile: yours is kept as “meter-2.csv”" in told
    assert "meter-3.csv" not in bring(ben, b"his", empty)
    assert ada.get(f"{case}/files/meter.csv").content == b"hers"
    assert ada.get(f"{case}/files/meter-2.csv").content == b"his"
    assert "meanwhile" not in bring(ben, b"his anew", told)
    assert ada.get(f"{case}/files/meter.csv").content == b"his anew"
    saw = {"name": "meter.csv", "saw-meter.csv": inputs(hers)["saw-meter.csv"]}
    kept = ada.change(f"{case}/drop", saw, headers=part)
    assert kept.status_code == 409
    assert "Ben has replaced “meter.csv” meanwhile: it is not removed" in in_words(kept)
    again = {"name": "meter.csv", "saw-meter.csv": inputs(kept.text)["saw-meter.csv"]}
    assert ada.change(f"{case}/drop", again, headers=part).status_code == 200
    assert ada.get(f"{case}/files/meter.csv").status_code == 404


def test_two_who_save_at_the_same_moment_take_turns(engine: sa.Engine) -> None:
    together = Barrier(4)

    def brand(n: int) -> None:
        together.wait()
        with transaction(engine) as db:
            put_brand(db, Brand(name=f"Advice {n}"), ADA)

    def account(n: int) -> None:
        together.wait()
        with transaction(engine) as db:
            people.put_account(db, ADA, f"correct horse {n}", "adviser", "test")

    for work in (brand, account):
        for _ in range(3):
            with ThreadPoolExecutor(4) as pool:
                list(pool.map(work, range(4)))
    with transaction(engine) as db:
        assert get_brand(db).name.startswith("Advice ")
        assert people.list_accounts(db) == [(ADA, "adviser")]


def test_one_adviser_s_two_windows_are_told_apart(
    engine: sa.Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TANKFUL_CACHE_DIR", str(tmp_path / "cache"))
    browser = come_in(desk_on(engine, tmp_path))
    case = add_client(browser)
    browser.change(f"{case}/title", {"title": "The flat", "was": "Hot water"})
    told = browser.change(f"{case}/title", {"title": "The shed", "was": "Hot water"})
    assert "Another window changed the title" in in_words(told)
