"""What every request meets first: the right host and origin, a bounded body, strict headers."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Awaitable, Callable
from typing import Any

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import ClientDisconnect
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from tankful.desk.doors.limits import Rate
from tankful.desk.settings import MAX_BODY, MAX_UPLOAD, Settings

SAFE = ("GET", "HEAD")
CHANGES_PER_S, CHANGES_AT_ONCE = 200.0, 1000.0
"""Requests that change something, from one address: a whole office may stand behind it. What one
person may do is limited once it is known who asks."""

POLICY = "; ".join(
    (
        "default-src 'self'",
        "img-src 'self' data:",
        "object-src 'none'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    )
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
}
AT_THE_TOP = {"HX-Retarget": "#trouble", "HX-Reswap": "innerHTML"}
"""Where a page shows the refusal of a part of it: never in the place of that part."""
LONGEST_LENGTH = 12
"""Digits of a length."""

Refusal = tuple[int, str]


GRACE_S, SLOWEST_BYTES_PER_S = 30.0, 10_000.0
"""A body has this time, and more with each byte that came: no line is slower."""


class TooLargeError(Exception):
    """The body has more bytes than are allowed."""


def guard(app: ASGIApp, settings: Settings) -> ASGIApp:
    """Wrap the desk's application."""
    rate = Rate(CHANGES_PER_S, CHANGES_AT_ONCE)

    async def guarded(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        refused = _refusal(scope, settings, rate)
        if refused is not None:
            await _say(refused, Headers(scope=scope), send)
            return
        limit = body_limit(scope["path"])
        await app(scope, _counted(receive, limit), _with_headers(send, scope["path"]))

    return guarded


def body_limit(path: str) -> int:
    """Most bytes of a request's body."""
    return MAX_UPLOAD if path.endswith(("/upload", "/import", "/settings")) else MAX_BODY


def _refusal(scope: Scope, settings: Settings, rate: Rate) -> Refusal | None:
    headers = Headers(scope=scope)
    if headers.get("host", "").lower() not in settings.hosts:
        return 421, "The desk is not known by this name."
    if scope["method"] in SAFE:
        return None
    if not _same_origin(headers, settings):
        return 403, "The request comes from another site."
    length = headers.get("content-length", "0")
    plain = length.isdecimal() and len(length) <= LONGEST_LENGTH
    if not plain or int(length) > body_limit(scope["path"]):
        return 413, "The request is larger than the desk takes."
    if not rate.allows(str((scope.get("client") or ("",))[0])):
        return 429, "Too many requests. Wait a moment, then try again."
    return None


def _same_origin(headers: Headers, settings: Settings) -> bool:
    """Browsers send Origin with every request that changes something; it must be the desk's."""
    site = headers.get("sec-fetch-site", "same-origin")
    return site == "same-origin" and headers.get("origin") == (
        f"{settings.scheme}://{headers.get('host', '').lower()}"
    )


def _counted(receive: Receive, limit: int) -> Receive:
    """Also bodies that do not tell their length are bounded, and those that never end."""
    seen, began, whole = 0, time.monotonic(), False

    async def counted() -> Message:
        nonlocal seen, whole
        if whole:
            return await receive()
        left = GRACE_S + seen / SLOWEST_BYTES_PER_S - (time.monotonic() - began)
        try:
            message = await asyncio.wait_for(receive(), left)
        except TimeoutError:
            raise ClientDisconnect from None
        seen += len(message.get("body", b""))
        if seen > limit:
            raise TooLargeError
        whole = not message.get("more_body", False)
        return message

    return counted


def _with_headers(send: Send, path: str) -> Callable[[Message], Awaitable[None]]:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)  # a report brings a policy of its own
            headers.setdefault("cache-control", _cache(path))
        await send(message)

    return sending


def _cache(path: str) -> str:
    return "no-cache" if path.startswith("/static/") else "no-store"


async def _say(refusal: Refusal, asked: Headers, send: Send) -> None:
    status, words = refusal
    names: dict[str, Any] = {**HEADERS, "content-type": "text/plain; charset=utf-8"}
    names["cache-control"] = "no-store"
    if asked.get("hx-request") == "true":
        names |= AT_THE_TOP
    headers = [(name.encode(), value.encode()) for name, value in names.items()]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": words.encode()})
