"""The adviser's desk over HTTP: the answer after a change, the pages, what they weigh."""

from __future__ import annotations

import os
import re
import statistics
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from http.cookiejar import CookieJar
from pathlib import Path
from threading import Thread
from urllib.parse import urlencode, urljoin
from urllib.request import HTTPCookieProcessor, OpenerDirector, Request, build_opener

from measure import Figure, Section
from processes import TANKFUL, warm_cache

CLIENTS = 200
PAGES = 15
SAVED_BY_TYPING_S = 0.2
"""The page waits so long for the next key before it saves."""
WITHIN_S, OPENS_S, WEIGHS_KB = 1.0, 1.0, 1000.0
CHANGES = {
    "people.count": ("2", "5", "3", "6"),
    "place.postcode": ("2600", "3350", "4000", "5042"),
    "electricity.arrays[1].kw": ("8", "10", "7", "9"),
    "electricity.export_limit_kw": ("1.5", "3", "4", "2"),
    "wishes.horizon_years": ("10", "20", "7", "12"),
    "heater.age_years": ("4", "13", "2", "9"),
    "electricity.battery.capacity_kwh": ("8", "5", "12", "0"),
    "people.habits": ("evening", "morning", "mixed", "evening"),
    "constraints.no_heat_pump": ("true", "false", "true", "false"),
    "constraints.no_roof_work": ("true", "false", "true", "false"),
}


@dataclass(frozen=True)
class Desk:
    """A desk that runs, and what is let into it."""

    home: str
    opener: OpenerDirector
    work_id: str

    def get(self, path: str) -> tuple[float, str]:
        """Seconds until a page is there, and the page."""
        began = time.perf_counter()
        with self.opener.open(urljoin(self.home, path)) as reply:
            text = reply.read().decode("utf-8", "replace")
        return time.perf_counter() - began, text

    def save(self, token: str, field: str, text: str, seen: str) -> str:
        """The desk's reply to a change."""
        body = urlencode({field: text, "seen": seen, "window": "ab"}).encode()
        headers = {"Origin": self.home.rstrip("/"), "X-Desk-Token": token, "HX-Request": "true"}
        address = urljoin(self.home, f"cases/{self.work_id}/save")
        request = Request(address, body, headers)  # noqa: S310 (our own, on this computer)
        with self.opener.open(request) as reply:
            return str(reply.read().decode())


def measure_desk(case: Path) -> Section:
    """A desk with many clients, one of them with ``case``."""
    with warm_cache(case) as environment, running(case, environment) as desk:
        page_path = f"cases/{desk.work_id}"
        whole_s = _whole_s(desk)
        quick = _quick_s(desk)
        pages = {name: _page(desk, path) for name, path in (("", ""), ("case", page_path))}
    quick_s, slow_s = statistics.median(quick), sorted(quick)[int(0.95 * len(quick)) - 1]
    within_s = WITHIN_S - SAVED_BY_TYPING_S
    listed, opened = pages[""], pages["case"]
    return Section(
        "The adviser's desk",
        [
            Figure(
                "quick answer after a change is saved", quick_s, "s", "the whole search",
                quick_s / whole_s, within_s,
            ),
            Figure("the slowest in twenty", slow_s, "s", "the median", slow_s / quick_s, within_s),
            Figure(f"list of {CLIENTS} clients", listed[0], "s", most=OPENS_S),
            Figure("it weighs, with style and script", listed[1], "kB", most=WEIGHS_KB),
            Figure("a case's form", opened[0], "s", most=OPENS_S),
            Figure("it weighs, with style and script", opened[1], "kB", most=WEIGHS_KB),
        ],
        [
            f"{len(quick)} changes of {len(CHANGES)} fields of `{case.name}`, each saved and "
            "answered over HTTP, the search before it called off. In a browser "
            f"{SAVED_BY_TYPING_S * 1000:.0f} ms come before the save, in which one may type on, "
            f"and a few for drawing. Pages are medians of {PAGES}, as they travel.",
        ],
    )  # fmt: skip


@contextmanager
def running(case: Path, environment: dict[str, str]) -> Iterator[Desk]:
    """A desk in a process of its own, with clients."""
    with tempfile.TemporaryDirectory() as folder:
        work_id = _records(Path(folder), case)
        said = Path(folder) / "said.txt"
        with said.open("w") as output:
            process = subprocess.Popen(
                [TANKFUL, "desk", "--port", "0", "--no-browser"],
                env={**os.environ, **environment, "TANKFUL_DATA_DIR": folder},
                stderr=output,
            )
        link = _link(process, said)
        try:
            opener = build_opener(HTTPCookieProcessor(CookieJar()))
            opener.open(link).close()
            yield Desk(urljoin(link, "/"), opener, work_id)
        except Exception:
            print(said.read_text(encoding="utf-8").replace(link, ""))
            raise
        finally:
            process.terminate()
            process.wait(20)


def _link(process: subprocess.Popen[bytes], said: Path) -> str:
    """The link that lets somebody in. RuntimeError when the desk ends instead."""
    while process.poll() is None:
        lines = said.read_text(encoding="utf-8").splitlines(keepends=True)
        for line in lines:
            if line.startswith("http") and line.endswith("\n"):
                return line.strip()
        time.sleep(0.02)
    raise RuntimeError(f"the desk ended: {said.read_text(encoding='utf-8')}")


def _records(folder: Path, case: Path) -> str:
    """Records of many clients; the case that is worked on."""
    from tankful.casefile.typed import typed_of_toml
    from tankful.desk.layout import FILE_FIELDS
    from tankful.desk.store import clients, uploads, works
    from tankful.desk.store.engine import open_engine, sqlite_address, transaction
    from tankful.desk.store.migrate import bring_up_to_date

    typed = typed_of_toml(case.read_text(encoding="utf-8"), case.name)
    engine = open_engine(sqlite_address(folder))
    bring_up_to_date(engine)
    with transaction(engine) as db:
        for n in range(CLIENTS):
            client_id = clients.add_client(db, f"Client {n}", "bench")
            work_id = works.add_work(db, client_id, "Hot water", typed, "bench")
        for name in (typed[field] for field in FILE_FIELDS if typed.get(field)):
            uploads.put_upload(db, work_id, name, (case.parent / name).read_bytes(), "bench")
    engine.dispose()
    return work_id


def _whole_s(desk: Desk) -> float:
    """Seconds of the whole search, once the desk is warm; the quick answers then know its
    settings."""
    path = f"cases/{desk.work_id}/answer"
    token, seen = _token(desk), "0"
    for text in ("21", "22"):  # the first also waits until the desk's processes are warm
        seen = _seen(desk.save(token, "wishes.horizon_years", text, seen))
        _answered(desk, path)
        began = time.perf_counter()
        _answered(desk, f"{path}?whole=1")
        took_s = time.perf_counter() - began
    return took_s


def _quick_s(desk: Desk) -> list[float]:
    """Seconds from each save to its answer; the search of the one before is under way."""
    token, seen = _token(desk), "9999"
    path, took = f"cases/{desk.work_id}/answer", []
    searches = []
    for turn in range(4):
        for field, texts in CHANGES.items():
            began = time.perf_counter()
            seen = _seen(desk.save(token, field, texts[turn], seen))
            _answered(desk, path)
            took.append(time.perf_counter() - began)
            searches.append(Thread(target=desk.get, args=(f"{path}?whole=1",)))
            searches[-1].start()
    for search in searches:
        search.join()
    return took


def _answered(desk: Desk, path: str) -> None:
    """Wait as the page does. RuntimeError when the answer is a fault."""
    while True:
        _, text = desk.get(path)
        if 'data-next="quick"' in text or ("?whole" in path and "data-next" in text):
            continue
        if "ranking" not in text:
            raise RuntimeError(f"no answer: {' '.join(text.split())[:200]}")
        return


def _token(desk: Desk) -> str:
    found = re.search(r'"X-Desk-Token": "([^"]+)"', desk.get(f"cases/{desk.work_id}")[1])
    assert found is not None
    return found[1]


def _seen(reply: str) -> str:
    found = re.search(r'name="seen" value="(\d+)"', reply)
    assert found is not None, reply[:500]
    return found[1]


def _page(desk: Desk, path: str) -> tuple[float, float]:
    """Median seconds of a page, and its weight with all that it loads [kB]."""
    took = []
    for _ in range(PAGES):
        seconds, text = desk.get(path)
        took.append(seconds)
    parts = {*re.findall(r'(?:src|href)="(/static/[^"]+)"', text)}
    weight = len(text.encode()) + sum(len(desk.get(part)[1].encode()) for part in parts)
    return statistics.median(took), weight / 1000.0
