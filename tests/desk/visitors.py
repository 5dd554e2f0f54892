"""Browsers that visit a desk without a server between them."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import sqlalchemy as sa
from httpx2 import Response
from starlette.testclient import TestClient

from tankful.desk.app import build_app
from tankful.desk.settings import Settings
from tankful.desk.store.engine import open_engine, sqlite_address
from tankful.desk.store.migrate import bring_up_to_date
from tankful.desk.visit import Desk

HERE = "http://127.0.0.1:8470"
KEY = "the-one-key"


class Resting:
    """Answers and pictures that are never ready, in the place of the processes that make them."""

    def want(self, *_: object) -> None: ...
    def ask(self, *_: object) -> None: ...
    def call_off(self, *_: object) -> None: ...
    def faults(self, *_: object) -> tuple[()]:
        return ()

    def standing(self, *_: object) -> None: ...
    def task(self, *_: object) -> None: ...
    def whole_answer(self, *_: object) -> None: ...
    async def wait(self, *_: object, **__: object) -> None: ...


def desk_on(engine: sa.Engine, tmp_path: Path, **settings: object) -> Desk:
    """A desk on records that are open."""
    kept = {"reckoner": Resting(), "studio": Resting()}
    return Desk(Settings(data=tmp_path, port=8470, key=KEY, **settings), engine, kept=kept)  # type: ignore[arg-type]


def open_desk(tmp_path: Path, **settings: object) -> Desk:
    """A desk on new records."""
    engine = open_engine(sqlite_address(tmp_path))
    bring_up_to_date(engine)
    return desk_on(engine, tmp_path, **settings)


class Browser(TestClient):
    """Sends what browsers send: the origin with every change, and the session's token."""

    token = ""

    def change(self, path: str, data: dict[str, str] | None = None, **more: object):  # type: ignore[no-untyped-def]
        headers = {"origin": HERE, **more.pop("headers", {})}  # type: ignore[dict-item]
        return self.post(path, data={"token": self.token, **(data or {})}, headers=headers, **more)


def browser_of(desk: Desk) -> Browser:
    return Browser(build_app(desk), base_url=HERE, follow_redirects=False)


def come_in(desk: Desk) -> Browser:
    """A browser that has come in by the link."""
    made = browser_of(desk)
    assert made.get(f"/enter?key={KEY}").status_code == 303
    return _with_token(made)


def sign_in(desk: Desk, name: str, password: str) -> Browser:
    """A browser that gave a name and a password; without a token where they do not fit."""
    made = browser_of(desk)
    made.change("/login", {"name": name, "password": password})
    return _with_token(made)


def _with_token(browser: Browser) -> Browser:
    found = re.search(r'name="token" value="([^"]+)"', browser.get("/").text)
    browser.token = found[1] if found else ""
    return browser


def add_client(browser: Browser, name: str = "Ada Example", **first: str) -> str:
    answer = browser.change("/clients", {"client": name, "place.postcode": "2480", **first})
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


def in_words(answer: Response) -> str:
    """What a page or a part of one says, once it is sure that it is words for people."""
    assert answer.headers["content-type"].startswith("text/"), answer.headers
    assert "Traceback" not in answer.text
    words = " ".join(unescape(re.sub(r"<[^>]+>", " ", answer.text)).split())
    assert words
    return words
