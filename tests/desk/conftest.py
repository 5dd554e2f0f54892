"""Databases and a desk for the tests of the desk."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from playwright.sync_api import Browser, Page, StorageState, expect, sync_playwright
from servers import Postgres, Running
from visitors import Browser as Visitor
from visitors import come_in, open_desk

from tankful.desk.store import people
from tankful.desk.store.engine import open_engine, sqlite_address, transaction
from tankful.desk.store.migrate import bring_up_to_date
from tankful.desk.store.tables import meta
from tankful.desk.visit import Desk


@pytest.fixture(scope="session")
def postgres() -> Iterator[str]:
    """The address of a database server of the tests' own, on a port of its own."""
    try:
        server = Postgres()
    except FileNotFoundError as missing:
        pytest.skip(str(missing))
    try:
        server.start()
        yield server.address
    finally:
        server.stop()


@pytest.fixture(params=["sqlite", "postgresql"])
def address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The address of an empty database of each kind."""
    if request.param == "sqlite":
        return sqlite_address(tmp_path)
    return str(request.getfixturevalue("postgres"))


@pytest.fixture
def engine(address: str) -> Iterator[sa.Engine]:
    """An open, empty desk database of each kind."""
    made = open_engine(address)
    with made.begin() as db:
        meta.drop_all(db)
        db.execute(sa.text("DROP TABLE IF EXISTS alembic_version"))
    bring_up_to_date(made)
    yield made
    made.dispose()


expect.set_options(timeout=20_000)  # a busy machine is no fault of the pages

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]


@pytest.fixture(scope="session")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """One desk for all tests that leave it running."""
    made = Running(tmp_path_factory.mktemp("desk") / "data")
    yield made
    made.stop()


@pytest.fixture
def mortal(tmp_path: Path) -> Iterator[Running]:
    """A desk to be killed."""
    made = Running(tmp_path / "data")
    yield made
    made.stop()


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    if CHROMIUM is None:
        pytest.skip("Chromium is not installed: apt-get install chromium")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def session(chromium: Browser, running: Running) -> StorageState:
    """What a browser keeps that was let in."""
    context = chromium.new_context()
    context.new_page().goto(running.start())
    state = context.storage_state()
    context.close()
    return state


@pytest.fixture
def page(chromium: Browser, running: Running, session: StorageState) -> Iterator[Page]:
    """A page of the desk."""
    with watched(chromium, running, storage_state=session) as made:
        made.goto(running.home)
        yield made


@pytest.fixture
def mortal_page(chromium: Browser, mortal: Running) -> Iterator[Page]:
    """A page of the desk that is to be killed."""
    with watched(chromium, mortal) as made:
        made.goto(mortal.start())
        yield made


@contextmanager
def watched(chromium: Browser, running: Running, **settings: Any) -> Iterator[Page]:
    """A page that must have nothing to complain of, and ask nothing of other hosts."""
    context = chromium.new_context(viewport={"width": 1440, "height": 900}, **settings)
    context.set_default_navigation_timeout(120_000)  # other tests may be busy beside
    made = context.new_page()
    complaints: list[str] = []
    made.on("console", lambda m: complaints.append(m.text) if m.type in ("error", "warning") else 0)
    made.on("pageerror", lambda error: complaints.append(str(error)))
    made.on(
        "request", lambda r: None if r.url.startswith(running.home) else complaints.append(r.url)
    )
    made.complaints = complaints  # type: ignore[attr-defined]
    yield made
    context.close()
    assert complaints == []


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Desk]:
    """A desk of one adviser, without a server around it."""
    monkeypatch.setenv("TANKFUL_CACHE_DIR", str(tmp_path / "cache"))
    made = open_desk(tmp_path)
    yield made
    made.close()
    made.engine.dispose()


@pytest.fixture
def browser(desk: Desk) -> Visitor:
    """A browser that has come in by the link."""
    return come_in(desk)


@pytest.fixture
def office(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Desk]:
    """A desk with accounts: Ada, who may change things, and Ben, who may read."""
    monkeypatch.setenv("TANKFUL_CACHE_DIR", str(tmp_path / "cache"))
    made = open_desk(tmp_path, office=True, names=("desk.example",))
    with transaction(made.engine) as db:
        people.put_account(db, "ada", "correct horse battery", "adviser", "test")
        people.put_account(db, "ben", "staple battery horse", "reader", "test")
    yield made
    made.engine.dispose()
