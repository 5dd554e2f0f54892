"""Connections that keep the desk waiting are closed, and there are never too many of them.

The server by itself waits without end for a request that comes letter by letter, and takes
connections until the system gives no more.
"""

from __future__ import annotations

import asyncio

from uvicorn.protocols.http.h11_impl import H11Protocol, RequestResponseCycle

LOOK_S = 15.0
"""How long a connection may be without a whole head of a request that is still to be answered."""
MOST_LOOKS = 60
"""For one request: a report takes a minute or two."""
MOST_CONNECTIONS = 300
"""A browser opens six; systems give 1024 files, the database needs some."""


class Hurried(H11Protocol):
    """One connection of the server."""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        if len(self.connections) > MOST_CONNECTIONS:
            transport.abort()
            return
        self._wait(0)

    def _wait(self, looks: int) -> None:
        self.loop.call_later(LOOK_S, self._look, self.cycle, looks)

    def _look(self, before: RequestResponseCycle | None, looks: int) -> None:
        """Close unless a request has come since, or the one from before is being answered."""
        if self.transport.is_closing():
            return
        same = self.cycle is before
        if same and (before is None or before.response_complete or looks >= MOST_LOOKS):
            self.transport.abort()
        else:
            self._wait(looks + 1 if same else 0)
