"""The desk under two advisers of an office who edit 200 clients without a pause, over HTTP."""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from pathlib import Path

from measure import Figure, Section

sys.path.append(str(Path(__file__).parents[1] / "tests" / "desk"))

CLIENTS, SAVES, LASTS_S, LISTS = 200, 2_000, 20.0, 9
"""``SAVES`` are the most that each adviser makes in the time that it lasts."""


def measure_office() -> Section:
    """Figures on SQLite, and on PostgreSQL where it is installed; AssertionError when anything
    that was acknowledged is not in the records."""
    from servers import Postgres

    from tankful.desk.store.engine import sqlite_address

    with tempfile.TemporaryDirectory() as folder:
        figures = _figures("SQLite", Path(folder), sqlite_address(Path(folder)))
    notes = [
        "Neither adviser pauses: each sends the next save when the last is answered, as far as "
        "the limit of 20 changes a second lets them. A quarter of all saves go to the same three "
        "cases and the same field, mostly from an outdated page. Everything acknowledged was then "
        "found in the records."
    ]
    try:
        server = Postgres()
    except FileNotFoundError as missing:
        return Section("An office at the desk", figures, [*notes, f"{missing}."])
    try:
        server.start()
        with tempfile.TemporaryDirectory() as folder:
            figures += _figures("PostgreSQL", Path(folder), server.address)
    finally:
        server.stop()
    return Section("An office at the desk", figures, notes)


def _figures(store: str, folder: Path, address: str) -> list[Figure]:
    from ledger import nothing_is_lost
    from office import Office
    from traffic import edit_at_once, make_clients

    office = Office(folder, address)
    try:
        works = make_clients(office.advisers, CLIENTS // 2)
        edit_at_once(office.advisers, works, SAVES, time.monotonic() + LASTS_S)
        lists = []
        for _ in range(LISTS):
            start = time.perf_counter()
            weight = len(office.ray.http.get("/").content)
            lists.append(time.perf_counter() - start)
        nothing_is_lost(office.engine, office.advisers)
    finally:
        office.close()
    saves = [reply.seconds for adviser in office.advisers for reply in adviser.replies]
    return [
        Figure(f"{store}: saves in {LASTS_S:.0f} s", len(saves), "saves"),
        Figure(f"{store}: a save, median", 1000 * statistics.median(saves), "ms", most=100),
        Figure(f"{store}: a save, 95 of 100", 1000 * statistics.quantiles(saves, n=20)[-1], "ms"),
        Figure(f"{store}: the list of {CLIENTS}", 1000 * statistics.median(lists), "ms", most=1000),
        Figure(f"{store}: weight of that page", weight / 1000, "kB", most=1000),
    ]
