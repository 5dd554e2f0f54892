"""Who reads the records waits for nobody, and changes nothing."""

from __future__ import annotations

import pytest
import sqlalchemy as sa

from tankful.desk.store import clients
from tankful.desk.store.engine import reading, transaction
from tankful.errors import StoreError


def test_who_only_reads_can_change_nothing(engine: sa.Engine) -> None:
    with pytest.raises(StoreError), reading(engine) as db:
        clients.add_client(db, "Ada Example", "ada")
    with transaction(engine) as db:
        clients.add_client(db, "Ben Example", "ada")
    with reading(engine) as db:
        assert [found.name for found in clients.find_clients(db)] == ["Ben Example"]
