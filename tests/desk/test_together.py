"""Two advisers of an office at one case, each in a browser of their own."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import ExitStack

import pytest
from access import faults_of_access
from hands import PEOPLE, forgive, type_in
from office import PASSWORD, Office
from playwright.sync_api import Browser, Page, StorageState, expect

from conftest import watched
from tankful.desk.store import clients, people, works
from tankful.desk.store.engine import sqlite_address, transaction
from tankful.desk.store.tables import session

AGE = "[name='heater.age_years']"
NEWS_MS = 30_000
"""A page asks every ten seconds what others changed."""
CLIENTS = 200


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    folder = tmp_path_factory.mktemp("together")
    made = Office(folder, sqlite_address(folder))
    with transaction(made.engine) as db:
        for n in range(CLIENTS):
            client_id = clients.add_client(db, f"{('Sun', 'Gum')[n % 2]} Street {n + 1}", "Ada")
            works.add_work(db, client_id, "Hot water", {"place.postcode": "2480"}, "Ada")
    yield made
    made.close()


@pytest.fixture(scope="module")
def sessions(office: Office, chromium: Browser) -> list[StorageState]:
    """What Ada's and Ben's browsers keep once they have signed in."""
    states = []
    for name in ("Ada", "Ben"):
        context = chromium.new_context()
        page = context.new_page()
        page.goto(office.desk.home)
        page.fill("[name=name]", name)
        page.fill("[name=password]", PASSWORD)
        page.click("button:text-is('Sign in')")
        expect(page.locator(".leave")).to_contain_text(name)
        states.append(context.storage_state())
        context.close()
    return states


@pytest.fixture
def pages(
    office: Office, chromium: Browser, sessions: list[StorageState]
) -> Iterator[tuple[Page, Page]]:
    """Ada's and Ben's."""
    with ExitStack() as stack:
        ada, ben = (
            stack.enter_context(watched(chromium, office.desk, storage_state=state))
            for state in sessions
        )
        yield ada, ben


def press(page: Page, button: str) -> None:
    with page.expect_response(re.compile("/(undo|redo|save|field)")):
        page.click(f"button:text-is('{button}')")


def test_each_sees_what_the_other_changed_and_nothing_is_overwritten(
    office: Office, pages: tuple[Page, Page]
) -> None:
    ada, ben = pages
    case = f"{office.desk.home}cases/{office.ada.add_client('Moon Street')}"
    ada.goto(case)
    ben.goto(case)
    type_in(ada, PEOPLE, "4")
    expect(ben.locator(PEOPLE)).to_have_value("4", timeout=NEWS_MS)
    expect(ben.locator("#saved")).to_contain_text("Ada changed “People")
    type_in(ben, AGE, "11")
    type_in(ada, PEOPLE, "5")
    expect(ada.locator("#saved")).to_contain_text("Ben changed")
    expect(ada.locator(AGE)).to_have_value("11")
    assert type_in(ben, PEOPLE, "6") == 409
    expect(ben.locator("#f-people-count-fault")).to_contain_text("Ada saved “5”; you typed “6”")
    press(ben, "Take theirs")
    expect(ben.locator(PEOPLE)).to_have_value("5")
    press(ben, "Undo")
    expect(ben.locator("#saved")).to_contain_text("Undone: “")
    expect(ben.locator(PEOPLE)).to_have_value("5")
    expect(ben.locator(AGE)).to_have_value("")
    press(ben, "Undo")
    expect(ben.locator("#saved")).to_contain_text("Nothing of yours can be undone")
    ben.goto(f"{case}/history")
    expect(ben.locator("tr", has_text="typed, not saved")).to_contain_text("6")
    quiet(ben)


def test_a_row_that_the_other_takes_out_is_not_typed_into(
    office: Office, pages: tuple[Page, Page]
) -> None:
    ada, ben = pages
    case = f"{office.desk.home}cases/{office.ada.add_client('Hill Street')}"
    ada.goto(case)
    for row, family in ((1, "heat_pump"), (2, "timer")):
        ada.locator("#g-f-quotes > button").click()
        with ada.expect_response("**/save"):
            ada.select_option(f"[name='quotes[{row}].family']", family)
    ben.goto(case)
    with ada.expect_response("**/remove"):
        ada.locator("#g-f-quotes-1 > button").click()
    assert type_in(ben, "[name='quotes[2].installed_price']", "4200") == 409
    slot = ben.locator("#f-quotes-2-installed-price-fault")
    expect(slot).to_contain_text("Ada took a row out of this list")
    expect(slot).to_contain_text("You typed “4200”; it is not saved")
    quiet(ben)


def test_a_state_that_the_other_set_is_not_overwritten_and_one_is_asked(
    office: Office, pages: tuple[Page, Page]
) -> None:
    ada, ben = pages
    case = f"{office.desk.home}cases/{office.ada.add_client('Lake Street')}"
    ada.goto(case)
    ben.goto(case)
    with ada.expect_response("**/state"):
        ada.select_option("#state", "installed")
    expect(ben.locator("#state")).to_have_value("installed", timeout=NEWS_MS)
    expect(ben.locator("#saved")).to_contain_text("Ada set the state to “Installed”")
    ben.route("**/news**", lambda route: route.fulfill(status=204))  # has not heard yet
    with ada.expect_response("**/state"):
        ada.select_option("#state", "report_sent")
    expect(ada.locator("#saved")).to_contain_text("Saved: Report sent")
    ben.select_option("#state", "advised")
    expect(ben.locator("#state-moved")).to_contain_text("Ada set the state to “Report sent”")
    ben.unroute("**/news**")
    with ben.expect_response(lambda reply: "/news" in reply.url and "state=advised" in reply.url):
        pass
    expect(ben.locator("#state")).to_have_value("advised")
    assert faults_of_access(ben) == []
    ben.click("#state-moved >> text=Take the other")
    expect(ben.locator("#state-moved")).to_be_empty()
    expect(ben.locator("#state")).to_have_value("report_sent")
    ben.route("**/state", lambda route: route.abort())
    ben.select_option("#state", "draft")
    expect(ben.locator("#saved")).to_contain_text("the desk does not answer")
    ben.unroute("**/state")
    expect(ben.locator("#saved")).to_contain_text("Saved: Draft")
    quiet(ben, "ERR_FAILED")


def test_the_list_of_200_clients_is_light_and_is_searched(
    office: Office, pages: tuple[Page, Page]
) -> None:
    page, _ = pages
    answer = page.goto(office.desk.home)
    assert answer is not None
    assert len(answer.body()) < 200_000
    assert page.locator("#list tbody tr").count() >= CLIENTS
    expect(page.locator("#list")).not_to_contain_text("narrow the search")
    page.fill("[name=q]", "gum 13")
    expect(page.locator("#list tbody tr")).to_have_count(5)


def test_what_is_typed_after_a_session_ran_out_is_saved_once_one_has_signed_in_again(
    office: Office, pages: tuple[Page, Page]
) -> None:
    _, ben = pages
    ben.goto(f"{office.desk.home}cases/{office.ada.add_client('River Street')}")
    with transaction(office.engine) as db:
        over = session.update().where(session.c.who == "Ben")
        db.execute(over.values(ends_at=people._in_hours(-1)))
    assert type_in(ben, PEOPLE, "4") == 401
    expect(ben.locator("#saved")).to_contain_text("your session is over")
    expect(ben.locator(PEOPLE)).to_have_value("4")
    door = ben.context.new_page()
    door.goto(office.desk.home)
    door.fill("[name=name]", "Ben")
    door.fill("[name=password]", PASSWORD)
    door.click("button:text-is('Sign in')")
    expect(ben.locator("#saved")).to_contain_text("Saved")
    ben.reload()
    expect(ben.locator(PEOPLE)).to_have_value("4")
    quiet(ben, "401")


def quiet(page: Page, *words: str) -> None:
    """Complaints of the browser about the conflicts that the test itself provoked."""
    forgive(page, "409", "htmx:", *words)
