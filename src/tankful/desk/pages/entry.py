"""Coming in and leaving: by the one link, or by name and password in an office."""

from __future__ import annotations

import hmac

from starlette.responses import RedirectResponse, Response

from tankful.desk.doors.limits import Rate
from tankful.desk.store.people import SESSION_H, close_session, open_session, role_of
from tankful.desk.store.record import note
from tankful.desk.visit import NOBODY, Visit
from tankful.errors import Fault, RefusedError, TooMuchError

TRIES_PER_S, TRIES_AT_ONCE = 1 / 30, 6.0
"""Passwords tried, for a name and for an address."""
ALONE = "adviser"
"""The name of whoever uses a desk without accounts."""


def enter(visit: Visit) -> Response:
    """The link that the desk printed: it lets one browser in, once."""
    if visit.person is not NOBODY:
        return RedirectResponse("/", status_code=303)
    desk = visit.desk
    key = visit.request.query_params.get("key", "")
    fits = bool(desk.settings.key) and hmac.compare_digest(key.encode(), desk.settings.key.encode())
    if desk.settings.office or not fits or desk.used:
        fault = Fault("", "the link is used up or wrong", mend="start the desk again for another")
        raise RefusedError("This link does not open the desk.", [fault])
    desk.used = True
    return _let_in(visit, ALONE, "adviser")


def show_login(visit: Visit) -> Response:
    """The door of an office."""
    return visit.page("login.html", wrong=False)


def login(visit: Visit) -> Response:
    """Name and password, a few tries at a time."""
    name = visit.form.get("name", "")[:80]
    rate = visit.desk.kept.setdefault("tries", Rate(TRIES_PER_S, TRIES_AT_ONCE))
    client = visit.request.client
    address = client.host if client else ""
    if not (rate.allows(f"name {name}") & rate.allows(f"from {address}")):
        fault = Fault("", "too many tries", mend="wait a minute")
        raise TooMuchError("Nobody was let in.", [fault])
    with visit.db() as db:
        role = role_of(db, name, visit.form.get("password", ""))
        if role is None:
            note(db, name, "was not let in")
    if role is None:
        return visit.page("login.html", status=403, wrong=True)
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
    response.delete_cookie(visit.desk.settings.cookie)
    return response
