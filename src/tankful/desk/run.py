"""Start the desk, keep its copies, and stop it."""

from __future__ import annotations

import logging
import secrets
import socket
import threading
import webbrowser
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from types import FrameType

import click
import sqlalchemy as sa
import uvicorn

from tankful.desk.app import build_app
from tankful.desk.doors.hurry import Hurried
from tankful.desk.reckoner import Reckoner
from tankful.desk.settings import LOOPBACK, Settings
from tankful.desk.store.copies import copies_folder, nightly_copy, records_lock
from tankful.desk.store.engine import open_engine, sqlite_address, sqlite_file
from tankful.desk.store.migrate import bring_up_to_date
from tankful.desk.studio import Studio
from tankful.desk.visit import Desk
from tankful.errors import Fault, RefusedError, StoreError
from tankful.paths import data_root

log = logging.getLogger("tankful.desk")

LOOK_FOR_NIGHT_S = 1800.0


@dataclass(frozen=True)
class Options:
    """What the command line says."""

    store: str | None
    host: str
    port: int
    office: bool
    names: tuple[str, ...]
    https: bool
    browser: bool


def run(options: Options) -> None:
    """Serve until stopped. RefusedError when the desk would be open to others without
    accounts; StoreError when the records or the port are in use."""
    if options.host not in LOOPBACK and not options.office:
        mend = "add --office and accounts, or leave --host out"
        fault = Fault("--host", "other computers could reach the desk", options.host, mend=mend)
        raise RefusedError("A desk without accounts serves this computer alone.", [fault])
    logging.basicConfig(level=logging.WARNING, format="%(asctime)s %(name)s %(message)s")
    data = data_root()
    engine = open_engine(options.store or sqlite_address(data))
    with _records_in_use(engine), closing(_listening(options)) as listener:
        bring_up_to_date(engine)
        settings = Settings(
            data=data,
            host=options.host,
            port=listener.getsockname()[1],
            office=options.office,
            names=options.names,
            https=options.https,
            key="" if options.office else secrets.token_urlsafe(32),
        )
        _serve(
            Desk(settings, engine, kept={"reckoner": Reckoner(), "studio": Studio()}),
            listener,
            browser=options.browser,
        )


def _serve(desk: Desk, listener: socket.socket, *, browser: bool) -> None:
    settings = desk.settings
    stop = threading.Event()
    keeper = threading.Thread(target=_keep_copies, args=(desk.engine, settings.data, stop))
    keeper.start()
    address = f"http://{settings.host}:{settings.port}/"
    link = address if settings.office else f"{address}enter?key={settings.key}"
    click.echo(f"Client records: {_where(desk.engine)}", err=True)
    click.echo(f"The desk is open at this link. Stop it with Ctrl+C.\n{link}", err=True)
    if browser:
        threading.Timer(0.5, webbrowser.open, [link]).start()
    config = uvicorn.Config(
        build_app(desk),
        log_config=None,
        access_log=False,  # addresses hold the link's key
        server_header=False,
        date_header=False,
        # Behind a server of this computer its forwarded addresses tell visitors apart.
        proxy_headers=settings.https,
        forwarded_allow_ips=LOOPBACK[0],
        http=Hurried,
        timeout_graceful_shutdown=3,
    )
    try:
        with suppress(KeyboardInterrupt):  # the server hands on what ended it
            _Server(config, desk).run(sockets=[listener])
    finally:
        stop.set()
        desk.close()
        keeper.join()


def _where(engine: sa.Engine) -> str:
    """Where the records lie; of a database server without who signs in there, and how."""
    file = sqlite_file(engine)
    return str(file) if file else f"database {engine.url.database} on {engine.url.host}"


class _Server(uvicorn.Server):
    """Ends what pages wait for first, so that it need not wait for the pages."""

    def __init__(self, config: uvicorn.Config, desk: Desk) -> None:
        super().__init__(config)
        self._desk = desk

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        threading.Thread(target=self._desk.close).start()
        super().handle_exit(sig, frame)


@contextmanager
def _records_in_use(engine: sa.Engine) -> Iterator[None]:
    """Hold the records; a PostgreSQL server looks after several desks itself."""
    file = sqlite_file(engine)
    try:
        if file is None:
            yield
        else:
            with records_lock(file):
                yield
    finally:
        engine.dispose()


def _listening(options: Options) -> socket.socket:
    try:
        return socket.create_server((options.host, options.port))
    except OSError as error:
        mend = "stop the other program, or choose another with --port"
        fault = Fault("--port", error.strerror or str(error), str(options.port), mend=mend)
        raise StoreError("The desk cannot listen there.", [fault]) from None


def _keep_copies(engine: sa.Engine, data: Path, stop: threading.Event) -> None:
    """A copy for every night on which a desk runs, made at the next chance."""
    file = sqlite_file(engine)
    while file is not None:
        try:
            nightly_copy(file, copies_folder(data), date.today())
        except StoreError as error:
            log.warning("%s", error)
        if stop.wait(LOOK_FOR_NIGHT_S):
            return
