"""``tankful desk``: the adviser's desk in the browser.

The command line finds this module by its name in the table of commands: neither of the two
faces imports the other.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from sqlalchemy import Engine

PORT = 8470

_STORE = click.option(
    "--store",
    envvar="TANKFUL_DESK_STORE",
    help="Address of a PostgreSQL database for an office, such as postgresql://desk@server/desk. "
    "Better given as TANKFUL_DESK_STORE, as it may hold a password. "
    "Default: a file in your data folder.",
)


@click.group(invoke_without_command=True)
@click.option(
    "--port", type=click.IntRange(0, 65535), default=PORT, show_default=True,
    help="Port to listen on; 0 takes a free one.",
)  # fmt: skip
@click.option("--no-browser", is_flag=True, help="Do not open the browser.")
@_STORE
@click.option("--office", is_flag=True, help="Let people in by name and password.")
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option("--name", multiple=True, help="Host name that browsers call the office's desk by.")
@click.option("--https", is_flag=True, help="The desk stands behind a server that speaks HTTPS.")
@click.pass_context
def command(
    context: click.Context,
    port: int,
    no_browser: bool,
    store: str | None,
    office: bool,
    host: str,
    name: tuple[str, ...],
    https: bool,
) -> None:
    """Open the adviser's desk in the browser.

    Clients, their cases and the answers, side by side.

    Listens on this computer alone; the link that it prints lets one browser in, once. An
    office's desk (--office) asks for name and password instead; see: tankful desk account.
    Records lie in your data folder (TANKFUL_DATA_DIR moves it), with a copy every night.
    """
    if context.invoked_subcommand is not None:
        return
    from tankful.desk.run import Options, run

    run(Options(store, host, port, office, name, https, browser=not no_browser))


@command.command("account")
@click.argument("name")
@click.option(
    "--role", type=click.Choice(("adviser", "reader")), default="adviser", show_default=True,
    help="A reader may look at everything and change nothing.",
)  # fmt: skip
@click.option("--remove", is_flag=True, help="Remove the account.")
@click.option("--keep-password", is_flag=True, help="Change the role alone.")
@_STORE
def account(name: str, role: str, remove: bool, keep_password: bool, store: str | None) -> None:
    """Add an account for an office, or give it a new password or role.

    Whoever is signed in with it has to sign in again.
    """
    from tankful.desk.store import people
    from tankful.desk.store.engine import transaction

    engine = _opened(store)
    if remove:
        with transaction(engine) as db:
            gone = people.remove_account(db, name, "command line")
        click.echo("The account is removed." if gone else "There is no such account.", err=True)
        return
    password = None
    if not keep_password:
        words = "Password, 12 letters or more"
        password = click.prompt(words, hide_input=True, confirmation_prompt=True)
    with transaction(engine) as db:
        people.put_account(db, name, password, role, "command line")
    click.echo(f"{name} may come in as {role}.", err=True)


@command.command("accounts")
@_STORE
def accounts(store: str | None) -> None:
    """List who may come in, and as what."""
    from tankful.desk.store import people
    from tankful.desk.store.engine import transaction

    with transaction(_opened(store)) as db:
        for name, role in people.list_accounts(db):
            click.echo(f"{role:8} {name}")


@command.command("copy")
@click.argument("file", type=click.Path(path_type=Path))
def copy(file: Path) -> None:
    """Copy the records to FILE, also while a desk is running."""
    from tankful.desk.store.copies import copy_sqlite

    copy_sqlite(_records(), file)
    click.echo(f"{file} holds the records.", err=True)


@command.command("restore")
@click.argument("file", type=click.Path(path_type=Path))
def restore(file: Path) -> None:
    """Put the copy FILE in the place of the records. The desk must not be running.

    What is replaced is kept beside the records. Nightly copies lie in the folder copies of
    your data folder; a PostgreSQL database is copied and restored by its own tools.
    """
    from tankful.desk.store import copies

    aside = copies.restore(file, _records())
    click.echo("The records are those of the copy now.", err=True)
    if aside is not None:
        click.echo(f"What was there before lies in {aside}", err=True)


def _records() -> Path:
    from tankful.desk.store.engine import RECORDS
    from tankful.paths import data_root

    return data_root() / RECORDS


def _opened(store: str | None) -> Engine:
    from tankful.desk.store.engine import open_engine, sqlite_address
    from tankful.desk.store.migrate import bring_up_to_date
    from tankful.paths import data_root

    engine = open_engine(store or sqlite_address(data_root()))
    bring_up_to_date(engine)
    return engine
