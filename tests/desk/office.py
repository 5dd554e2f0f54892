"""A whole office: a desk in a process of its own, its database, and everybody signed in."""

from __future__ import annotations

from pathlib import Path

from servers import Running
from traffic import Adviser

from tankful.desk.store import people
from tankful.desk.store.engine import open_engine, transaction
from tankful.desk.store.migrate import bring_up_to_date

PASSWORD = "correct horse battery"  # noqa: S105
ROLES = {"Ada": "adviser", "Ben": "adviser", "Ray": "reader"}


class Office:
    """Ada and Ben may change things, Ray may read."""

    def __init__(self, folder: Path, store: str) -> None:
        self.engine = open_engine(store)
        bring_up_to_date(self.engine)
        with transaction(self.engine) as db:
            for name, role in ROLES.items():
                people.put_account(db, name, PASSWORD, role, "test")
        self.desk = Running(folder / "data", "--office", store=store)
        self.desk.start()
        self.ada, self.ben, self.ray = (Adviser(self.desk.home, n, PASSWORD) for n in ROLES)
        for person in (self.ada, self.ben, self.ray):
            person.sign_in()

    @property
    def advisers(self) -> tuple[Adviser, Adviser]:
        return self.ada, self.ben

    def close(self) -> None:
        for person in (self.ada, self.ben, self.ray):
            person.http.close()
        self.desk.stop()
        self.engine.dispose()
