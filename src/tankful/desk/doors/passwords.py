"""Passwords: kept as salted scrypt, compared in constant time."""

from __future__ import annotations

import base64
import hashlib
import hmac
import os
from threading import BoundedSemaphore

from tankful.errors import CaseError, Fault

# Memory 32 MB and about 0.1 s a try; N, r and p of RFC 7914 section 2, N in the range that
# OWASP's password storage advice gives for r = 8 (from memory).
COST_N, BLOCK_R, PARALLEL_P = 2**15, 8, 3
SHORTEST = 12
LONGEST = 200


def check_new(password: str) -> None:
    """CaseError for a password that is too short or too long."""
    if not SHORTEST <= len(password) <= LONGEST:
        fault = Fault("password", "unfit", allowed=f"{SHORTEST} to {LONGEST} letters")
        raise CaseError("The password was not taken.", [fault])


def hashed(password: str) -> str:
    """What is kept of a password."""
    salt = os.urandom(16)
    parts = (
        str(COST_N),
        str(BLOCK_R),
        str(PARALLEL_P),
        _text(salt),
        _text(_scrypt(password, salt)),
    )
    return "scrypt$" + "$".join(parts)


def matches(password: str, kept: str) -> bool:
    """Whether it is the password that was kept. An unknown name is tried against ``NOBODY``, so
    that it takes as long as a known one."""
    _, n, r, p, salt, digest = kept.split("$")
    made = _scrypt(password[:LONGEST], base64.b64decode(salt), n=int(n), r=int(r), p=int(p))
    return hmac.compare_digest(made, base64.b64decode(digest))


_AT_ONCE = BoundedSemaphore(2)
"""However many try at once, they take the memory of two."""


def _scrypt(
    password: str, salt: bytes, *, n: int = COST_N, r: int = BLOCK_R, p: int = PARALLEL_P
) -> bytes:
    with _AT_ONCE:
        return hashlib.scrypt(
            password.encode("utf-8", "surrogatepass"),
            salt=salt,
            n=n,
            r=r,
            p=p,
            maxmem=2**27,
            dklen=32,
        )


def _text(raw: bytes) -> str:
    return base64.b64encode(raw).decode()


NOBODY = "scrypt$32768$8$3$" + "$".join((_text(bytes(16)), _text(bytes(32))))
