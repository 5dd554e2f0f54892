"""Visitors who keep the desk waiting: letter by letter, without end, or all at once."""

from __future__ import annotations

import asyncio
import socket
import threading
import time
from collections.abc import Iterator

import pytest
import uvicorn
from visitors import HERE

from tankful.desk.app import build_app
from tankful.desk.doors.hurry import Hurried
from tankful.desk.visit import Desk

HEAD = b"GET /login HTTP/1.1\r\nHost: 127.0.0.1:8470\r\n"
"""As the desk's settings have it, wherever the server really listens."""
BODY = (
    HEAD.replace(b"GET", b"POST")
    + f"Origin: {HERE}\r\nContent-Length: 900\r\n".encode()
    + b"Content-Type: application/x-www-form-urlencoded\r\n\r\nname="
)


@pytest.fixture
def address(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[str, int]]:
    """Where a desk in a hurry listens."""
    monkeypatch.setattr("tankful.desk.doors.hurry.LOOK_S", 0.3)
    monkeypatch.setattr("tankful.desk.doors.guard.GRACE_S", 0.3)
    monkeypatch.setattr("tankful.desk.doors.hurry.MOST_CONNECTIONS", 20)
    with socket.create_server(("127.0.0.1", 0)) as listener:
        config = uvicorn.Config(build_app(desk), http=Hurried, log_config=None, lifespan="off")
        server = uvicorn.Server(config)
        serving = threading.Thread(
            target=lambda: asyncio.run(server.serve(sockets=[listener])), daemon=True
        )
        serving.start()
        while not server.started:
            time.sleep(0.01)
        yield listener.getsockname()
        server.should_exit = True
        serving.join(10)


def said(connection: socket.socket, at_most_s: float = 20.0) -> bytes:
    """All that comes until the desk hangs up."""
    connection.settimeout(at_most_s)
    heard = b""
    try:
        while piece := connection.recv(65536):
            heard += piece
    except ConnectionResetError:
        pass
    return heard


@pytest.mark.parametrize("begun", [b"", HEAD, HEAD + b"\r\n" + HEAD, BODY])
def test_who_does_not_finish_is_hung_up_on(begun: bytes, address: tuple[str, int]) -> None:
    with socket.create_connection(address) as connection:
        connection.sendall(begun)
        heard = said(connection)
    assert heard.count(b"HTTP/1.1 200") == begun.count(b"\r\n\r\n") - begun.count(b"POST")


def test_who_sends_letter_by_letter_is_hung_up_on(address: tuple[str, int]) -> None:
    with socket.create_connection(address) as connection:
        connection.sendall(HEAD + b"X: ")
        assert _is_hung_up_on(connection)


def _is_hung_up_on(connection: socket.socket) -> bool:
    ends = time.monotonic() + 20.0
    try:
        while time.monotonic() < ends:
            connection.sendall(b"a")
            time.sleep(0.05)
    except OSError:
        return True
    return False


def test_too_many_connections_are_not_taken(address: tuple[str, int], desk: Desk) -> None:
    held = [socket.create_connection(address) for _ in range(40)]
    try:
        assert said(held[-1]) == b""
    finally:
        for connection in held:
            connection.close()
    for _ in range(100):
        with socket.create_connection(address) as connection:
            connection.sendall(HEAD + b"Connection: close\r\n\r\n")
            if said(connection).startswith(b"HTTP/1.1 200"):
                return
        time.sleep(0.05)
    raise AssertionError("the desk did not come back")
