"""An office at work: two advisers and a reader at one desk, which is killed in between."""

from __future__ import annotations

import re
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
import sqlalchemy as sa
from claims import Claims, no_claim_is_lost
from ledger import nothing_is_lost
from office import Office
from servers import Postgres
from traffic import FIELDS, Adviser, edit_at_once, make_clients

from tankful.desk.store.engine import sqlite_address
from tankful.desk.store.tables import audit, change, client, jotting, work
from tankful.desk.store.works import STATE_LINE, TITLE_LINE

EACH, SAVES = 100, 40
"""Clients that each adviser makes, and saves that each begins."""
SETTLES_S = 30.0


@pytest.fixture(scope="module")
def server() -> Iterator[Postgres]:
    """A database server to be crashed."""
    try:
        made = Postgres()
    except FileNotFoundError as missing:
        pytest.skip(str(missing))
    try:
        made.start()
        yield made
    finally:
        made.stop()


@pytest.fixture(scope="module")
def on_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    folder = tmp_path_factory.mktemp("office")
    made = Office(folder, sqlite_address(folder))
    yield made
    made.close()


@pytest.fixture(scope="module")
def on_postgres(tmp_path_factory: pytest.TempPathFactory, server: Postgres) -> Iterator[Office]:
    made = Office(tmp_path_factory.mktemp("office"), server.address)
    yield made
    made.close()


@contextmanager
def meanwhile(does: Callable[[], None]) -> Iterator[None]:
    """Something that goes on beside; its failure is the test's."""
    failed: list[BaseException] = []

    def run() -> None:
        try:
            does()
        except BaseException as error:
            failed.append(error)

    thread = threading.Thread(target=run)
    thread.start()
    yield
    thread.join(120)
    assert not failed, failed


def the_list_is_right(office: Office) -> None:
    """Every client, by last change, and none more than once."""
    page = office.ray.http.get("/").text
    shown = re.findall(r'href="/clients/(\w+)"', page)
    with office.engine.connect() as db:
        stored = list(db.execute(sa.select(client).order_by(client.c.changed_at.desc())))
        query = sa.select(work.c.client_id, change.c.at).join(change)
        times = list(db.execute(query.where(change.c.kind != "refused")))
        times += db.execute(sa.select(jotting.c.client_id, jotting.c.at))
        last = {of: max(at for each, at in times if each == of) for of, _ in times}
        whole = sa.select(work.c.client_id, audit.c.at).join(audit, audit.c.about == work.c.id)
        lines = audit.c.what.startswith(STATE_LINE) | audit.c.what.startswith(TITLE_LINE)
        told = dict(tuple(row) for row in db.execute(whole.where(lines).order_by(audit.c.id)))
    assert len(shown) == len(stored) == 2 * EACH
    assert [row.changed_at for row in sorted(stored, key=lambda row: shown.index(row.id))] == [
        row.changed_at for row in stored
    ]
    for row in stored:
        if row.id in last:
            assert last[row.id] <= row.changed_at <= max(last[row.id], told.get(row.id, ""))


def reader_tries(office: Office, works: list[str], stop: threading.Event) -> None:
    """The reader looks at cases and may change none of them."""
    while not stop.wait(0.2):
        case = works[0]
        office.ray.open(case)
        reply = office.ray.save(case, FIELDS[0], "Ray was here")
        assert reply.status == 403
        assert "may only read" in reply.body
        assert office.ray.undo(case).status_code == 403
        title = {"title": "Ray was here", "was": "Hot water"}
        refused, _ = office.ray.until_answered("POST", f"/cases/{case}/title", title)
        assert refused.status_code == 403


@pytest.mark.parametrize("where", ["on_sqlite", "on_postgres"])
def test_two_advisers_edit_200_clients_and_a_kill_and_nothing_is_lost(
    where: str, request: pytest.FixtureRequest
) -> None:
    office: Office = request.getfixturevalue(where)
    works = make_clients(office.advisers, EACH)
    for adviser in office.advisers:
        assert all("too many changes" in words for words in adviser.troubles)
        adviser.troubles = []
    stop, claims = threading.Event(), Claims()

    def kill() -> None:
        after(office, SAVES)
        assert office.ada.troubles == office.ben.troubles == []
        office.desk.kill()
        office.desk.start()

    with meanwhile(lambda: reader_tries(office, works, stop)), meanwhile(kill):
        try:
            edit_at_once(office.advisers, works, SAVES, beside=claims.make)
        finally:
            stop.set()
    assert office.ada.troubles or office.ben.troubles, "nobody noticed the kill"
    nothing_is_lost(office.engine, office.advisers)
    no_claim_is_lost(office.engine, claims)
    the_list_is_right(office)
    assert "Traceback" not in office.desk.log


def test_a_desk_outlives_its_database_server(server: Postgres, on_postgres: Office) -> None:
    office = on_postgres
    works = make_clients(office.advisers, 2)
    for adviser in office.advisers:
        adviser.troubles = []
    before = sum(len(adviser.replies) for adviser in office.advisers)

    def crash() -> None:
        after(office, before + 5)
        with office.engine.connect() as db:  # kill -9 of one connection resets them all
            of_the_desk = "pid <> pg_backend_pid() AND backend_type = 'client backend'"
            query = f"SELECT pid FROM pg_stat_activity WHERE {of_the_desk}"  # noqa: S608
            pid = db.scalar(sa.text(query))
        server.kill_backend(int(pid))
        after(office, before + 20)
        server.crash()
        time.sleep(0.5)
        server.start()

    with meanwhile(crash):
        edit_at_once(office.advisers, works, SAVES // 2)
    troubles = office.ada.troubles + office.ben.troubles
    assert troubles, "nobody noticed the crash"
    for words in troubles:
        assert "The desk's records could not be" in words
        assert "try again" in words
        assert "secret" not in words
    office.engine.dispose()
    nothing_is_lost(office.engine, office.advisers)
    assert "Traceback" not in office.desk.log


def test_who_types_on_keeps_nobody_else_waiting_for_an_answer(on_sqlite: Office) -> None:
    ada, ben = on_sqlite.advisers
    (hers, his) = make_clients((ada, ben), 1)
    stop = threading.Event()

    def types_on() -> None:
        ada.open(hers)
        years = 20
        while not stop.wait(0.3):
            years = 20 + (years + 1) % 10
            ada.seen[hers] = ada.save(hers, "wishes.horizon_years", str(years)).number
            answered = ada.http.get(f"/cases/{hers}/answer") if years == 25 else None
            assert answered is None or not re.search(r">[78]\syears</th>", answered.text)

    ben.open(his)
    with meanwhile(types_on):
        try:
            for years in ("7", "8"):
                ben.seen[his] = ben.save(his, "wishes.horizon_years", years).number
                answer = answer_of(ben, his)
                assert set(re.findall(r">(\d+)\syears</th>", answer)) == {years}, "another's answer"
        finally:
            stop.set()


def answer_of(adviser: Adviser, work_id: str) -> str:
    """The answer as a page gets it: asked for again until it is there."""
    for _ in range(4):
        reply = adviser.http.get(f"/cases/{work_id}/answer", headers={"hx-request": "true"})
        if 'class="ranking' in reply.text and 'data-next="quick"' not in reply.text:
            return reply.text
    raise AssertionError(reply.text)


def after(office: Office, replies: int) -> None:
    """Wait until the desk has answered that many saves."""
    ends = time.monotonic() + SETTLES_S
    while sum(len(a.replies) for a in office.advisers) < replies:
        assert time.monotonic() < ends
        time.sleep(0.01)
