"""Bring the tables of an older desk up to date, step by step."""

from __future__ import annotations

from pathlib import Path

import sqlalchemy as sa

from tankful.desk.store.copies import copy_sqlite
from tankful.desk.store.engine import sqlite_file, transaction
from tankful.errors import Fault, StoreError

SCRIPTS = Path(__file__).parent / "migrations"
NEWEST = "0003"


def bring_up_to_date(engine: sa.Engine) -> None:
    """Run the steps that are missing; an older SQLite file is copied aside first.

    StoreError when the records are from a newer desk.
    """
    found = _present(engine)
    if found == NEWEST:
        return
    if found is not None and found not in _steps():
        fault = Fault(
            "store",
            "these records were made by a newer version",
            value=found,
            mend="use that version, or restore an earlier copy",
        )
        raise StoreError("The desk's records cannot be opened.", [fault])
    file = sqlite_file(engine)
    if found is not None and file is not None:
        copy_sqlite(file, file.with_name(f"desk-before-{NEWEST}.sqlite"))
    upgrade(engine)


def upgrade(engine: sa.Engine) -> None:
    """Run the steps that are missing."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(SCRIPTS).replace("%", "%%"))
    with transaction(engine) as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "head")


def _present(engine: sa.Engine) -> str | None:
    """The last step that these records went through."""
    with transaction(engine) as connection:
        if not sa.inspect(connection).has_table("alembic_version"):
            return None
        version = connection.scalar(sa.text("SELECT version_num FROM alembic_version"))
        return None if version is None else str(version)


def _steps() -> set[str]:
    return {file.name.partition("_")[0] for file in (SCRIPTS / "versions").glob("[0-9]*.py")}
