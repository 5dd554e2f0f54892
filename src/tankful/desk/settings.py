"""How one desk runs: where its records lie, where it listens, who may come in."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

MAX_BODY = 1_000_000
"""Bytes of an ordinary request."""
MAX_UPLOAD = 30_000_000
"""Bytes of a request that brings a file: a year of five-minute readings takes some 5 MB."""

LOOPBACK = ("127.0.0.1", "localhost")


@dataclass(frozen=True)
class Settings:
    """``names`` are the host names that browsers may call an office's desk by; ``key`` is the
    secret of the one link that lets the adviser in where there are no accounts."""

    data: Path
    host: str = LOOPBACK[0]
    port: int = 0
    office: bool = False
    names: tuple[str, ...] = ()
    https: bool = False
    key: str = ""

    @property
    def hosts(self) -> frozenset[str]:
        """Every ``Host`` header that is answered."""
        names = [name.lower() for name in self.names]
        return frozenset({f"{name}:{self.port}" for name in (*LOOPBACK, *names)} | set(names))

    @property
    def cookie(self) -> str:
        """Browsers share cookies among ports, so the name tells desks apart."""
        return f"__Host-desk-{self.port}" if self.https else f"desk-{self.port}"

    @property
    def scheme(self) -> str:
        return "https" if self.https else "http"
