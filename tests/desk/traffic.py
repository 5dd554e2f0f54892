"""Advisers of an office at work, as their browsers would be: over HTTP, with a window for each
case, trying again while the desk does not answer."""

from __future__ import annotations

import html
import re
import secrets
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from itertools import count
from math import inf
from random import Random

import httpx2

TRY_AGAIN_S = 0.1
GIVE_UP_S = 60.0
FIELDS = ("people.count", "heater.age_years", "heater.tank_l", "wishes.horizon_years", "name")
TRY_AGAIN = (429, 503)
"""What the page's script tries again, as it does when nobody answers."""


@dataclass(frozen=True)
class Reply:
    """What the desk said to a save; ``tries`` counts those before it that went unanswered."""

    work: str
    path: str
    text: str
    status: int
    number: int
    body: str
    tries: int
    seconds: float

    @property
    def kept(self) -> bool:
        return self.status == 200


@dataclass
class Adviser:
    """Somebody with an account, and all that the desk said to them."""

    home: str
    name: str
    password: str
    windows: dict[str, str] = field(default_factory=dict)
    seen: dict[str, int] = field(default_factory=dict)
    replies: list[Reply] = field(default_factory=list)
    troubles: list[str] = field(default_factory=list)
    undone: int = 0

    def sign_in(self) -> None:
        """Come in by the door; the token is that of the first page."""
        self.http = httpx2.Client(base_url=self.home, timeout=30, trust_env=False)
        self.http.headers["origin"] = self.home.rstrip("/")
        came = self.http.post("/login", data={"name": self.name, "password": self.password})
        assert came.status_code == 303, came.text
        found = re.search(r'name="token" value="([^"]+)"', self.http.get("/").text)
        assert found is not None
        self.http.headers["x-desk-token"] = found[1]

    def add_client(self, name: str) -> str:
        """A new client's case."""
        sent = {"client": name, "place.postcode": "2480"}
        made, _ = self.until_answered("POST", "/clients", sent)
        assert made.status_code == 204, made.text
        return made.headers["hx-redirect"].rpartition("/")[2]

    def open(self, work: str) -> str:
        """Look at a case in a window of its own."""
        page, _ = self.until_answered("GET", f"/cases/{work}")
        assert page.status_code == 200, page.text
        self.windows[work], self.seen[work] = secrets.token_hex(8), number_in(page.text)
        return page.text

    def save(self, work: str, path: str, text: str) -> Reply:
        """Type into a field; what the desk answers is what this window has seen then."""
        sent = {path: text, "seen": str(self.seen[work]), "window": self.windows[work]}
        start = time.perf_counter()
        answer, tries = self.until_answered("POST", f"/cases/{work}/save", sent)
        reply = Reply(
            *(work, path, text, answer.status_code),
            number_in(answer.text) if answer.status_code in (200, 409) else 0,
            *(answer.text, tries, time.perf_counter() - start),
        )
        self.replies.append(reply)
        return reply

    def undo(self, work: str) -> httpx2.Response:
        """Take back one's own last change."""
        sent = {"window": self.windows[work]}
        answer, tries = self.until_answered("POST", f"/cases/{work}/undo", sent)
        self.undone += 1 + tries
        return answer

    def until_answered(
        self, method: str, path: str, data: dict[str, str] | None = None
    ) -> tuple[httpx2.Response, int]:
        """What the desk says in the end, and how many tries before it went unanswered."""
        ends = time.monotonic() + GIVE_UP_S
        for tries in count():
            try:
                headers = {"hx-request": "true"}
                answer = self.http.request(method, path, data=data, headers=headers)
                if answer.status_code not in TRY_AGAIN:
                    return answer, tries
                self.troubles.append(html.unescape(answer.text))
            except httpx2.TransportError as error:
                self.troubles.append(type(error).__name__)
            assert time.monotonic() < ends, (path, self.troubles[-1])
            time.sleep(TRY_AGAIN_S)
        raise AssertionError


def number_in(page: str) -> int:
    """The number of the last change that a page shows."""
    found = re.search(r'id="seen" name="seen" value="(\d+)"', page)
    assert found is not None, page[:500]
    return int(found[1])


def make_clients(advisers: Sequence[Adviser], each: int) -> list[str]:
    """Cases of new clients, made by all advisers at once."""

    def make(adviser: Adviser) -> list[str]:
        return [adviser.add_client(f"{adviser.name} {n:03}") for n in range(each)]

    with ThreadPoolExecutor(len(advisers)) as pool:
        return [work for made in pool.map(make, advisers) for work in made]


Beside = Callable[[Adviser, str, int], object]
"""What an adviser does besides, in a case where the others are too, after the save of a number."""


def edit(
    adviser: Adviser,
    works: Sequence[str],
    saves: int,
    seed: int,
    ends: float = inf,
    beside: Beside | None = None,
) -> None:
    """Many saves until the clock ``ends``, no text twice; every fourth goes to one of the first
    three cases, where the others are too, into one field, mostly from what the window saw at
    first."""
    draw = Random(seed)  # noqa: S311
    for n in range(saves):
        if time.monotonic() > ends:
            return
        text = f"{adviser.name} {n}"
        if n % 4:
            work, path = draw.choice(works), draw.choice(FIELDS)
        else:
            work, path = works[n % 3], FIELDS[0]
        if work not in adviser.seen or draw.random() < 0.2:
            adviser.open(work)
        opened = adviser.seen[work]
        reply = adviser.save(work, path, text)
        if reply.status == 409:
            assert "Not saved" in reply.body
            if draw.random() < 0.5:
                adviser.seen[work] = reply.number
                adviser.save(work, path, f"{text} kept")
        elif n % 4 or draw.random() < 0.3:
            adviser.seen[work] = reply.number
        else:
            adviser.seen[work] = opened
        if beside is not None:
            beside(adviser, works[n % 3], n)
        if n % 5 == 4:
            shared = works[n % 3]
            if shared not in adviser.windows:
                adviser.open(shared)
            adviser.undo(shared)


def edit_at_once(
    advisers: Sequence[Adviser],
    works: Sequence[str],
    saves: int,
    ends: float = inf,
    beside: Beside | None = None,
) -> None:
    """All advisers edit all cases at the same time."""

    def run(n: int) -> None:
        edit(advisers[n], works, saves, n, ends, beside)

    with ThreadPoolExecutor(len(advisers)) as pool:
        list(pool.map(run, range(len(advisers))))


def both_shown(reply: Reply) -> bool:
    """Whether a conflict shows what is stored and what was typed."""
    words = html.unescape(reply.body)
    found = re.search(r"saved “([^”]*)”[^“]*“([^”]*)”", words)
    return found is not None and found[2] == reply.text and found[1] != reply.text
