"""Coming in and leaving: by the one link, or by name and password in an office."""

from __future__ import annotations

import hmac

from starlette.responses import RedirectResponse, Response

from tankful.desk.doors.limits import Rate
from tankful.desk.store.people import (
    SESSION_H,
    account_of,
    close_session,
    open_session,
    role_of,
)
from tankful.desk.store.record import note
from tankful.desk.visit import NOBODY, Visit
from tankful.errors import Fault, RefusedError, TooOftenError

TRIES_PER_S, TRIES_AT_ONCE = 1 / 30, 6.0
"""Passwords tried, for a name and for an address."""
ALONE = "adviser"
"""The name of whoever uses a desk without accounts."""


def enter(visit: Visit) -> Response:
    """The link that the desk printed: it lets one browser in, once."""
    if visit.person is not NOBODY:
        return RedirectResponse("/", status_code=303)
    desk = visit.desk
    given, key = visit.asked("key").encode(), desk.settings.key.encode()
    fits = visit.request.method == "GET" and bool(key) and hmac.compare_digest(given, key)
    if desk.settings.office or not fits or not desk.link.acquire(blocking=False):
        fault = Fault("", "the link is used up or wrong", mend="start the desk again for another")
        raise RefusedError("This link does not open the desk.", [fault])
    return _let_in(visit, ALONE, "adviser")


def show_login(visit: Visit) -> Response:
    """The door of an office."""
    return visit.page("login.html", wrong=False)


def login(visit: Visit) -> Response:
    """Name and password, a few wrong ones at a time."""
    name = visit.form.get("name", "")[:80]
    rate = visit.desk.kept.setdefault("tries", Rate(TRIES_PER_S, TRIES_AT_ONCE))
    client = visit.request.client
    # The address first: one that has tried too often does not use up the tries of a name.
    tries = (f"from {client.host if client else ''}", f"name {name}")
    if not all(rate.allows(each) for each in tries):
        fault = Fault("", "too many tries", mend="wait a minute")
        raise TooOftenError("Nobody was let in.", [fault])
    with visit.db() as db:
        account = account_of(db, name)
    # Outside of any transaction: it takes its time, and others want to save meanwhile.
    role = role_of(account, visit.form.get("password", ""))
    if role is None:
        with visit.db() as db:
            note(db, name, "was not let in")
        return visit.page("login.html", status=403, wrong=True)
    for each in tries:
        rate.give_back(each)
    return _let_in(visit, name, role)


def _let_in(visit: Visit, name: str, role: str) -> Response:
    settings = visit.desk.settings
    with visit.db() as db:
        secret = open_session(db, name, role)
    response = RedirectResponse("/", status_code=303)
    response.set_cookie(
        settings.cookie,
        secret,
        max_age=round(SESSION_H * 3600),
        httponly=True,
        samesite="strict",
        secure=settings.https,
    )
    return response


def leave(visit: Visit) -> Response:
    """End the session."""
    with visit.db() as db:
        close_session(db, visit.request.cookies.get(visit.desk.settings.cookie, ""))
    response = visit.page("left.html")
    settings = visit.desk.settings
    response.delete_cookie(settings.cookie, secure=settings.https, httponly=True, samesite="strict")
    return response
