"""Coming in and leaving: by the one link, or by name and password in an office."""

from __future__ import annotations

import hmac

from starlette.responses import RedirectResponse, Response

from tankful.desk.doors.limits import Rate
from tankful.desk.store.people import (
    ALONE_H,
    REMEMBERED_H,
    Account,
    account_of,
    close_session,
    fits,
    open_session,
    sign_in_key,
)
from tankful.desk.store.record import note
from tankful.desk.visit import NOBODY, Visit
from tankful.errors import Fault, RefusedError, TooOftenError

TRIES_PER_S, TRIES_AT_ONCE = 1 / 30, 6.0
"""Wrong passwords, for one name."""
FROM_PER_S, FROM_AT_ONCE = 1 / 6, 30.0
"""Wrong passwords, from one address: a whole office may stand behind it."""
COOKIE_S = round(3600 * (ALONE_H + REMEMBERED_H))
"""How long browsers keep the cookie. The desk itself ends sessions, which is far sooner."""


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
    return _let_in(visit, None)


def show_login(visit: Visit) -> Response:
    """The door of an office."""
    return visit.page("login.html", wrong=False)


def login(visit: Visit) -> Response:
    """Name and password, a few wrong ones at a time."""
    name = " ".join(visit.form.get("name", "").split())[:80]
    kept, client = visit.desk.kept, visit.request.client
    rates = (
        # The address first: one that has tried too often does not use up the tries of a name.
        (kept.setdefault("tries from", Rate(FROM_PER_S, FROM_AT_ONCE)), client and client.host),
        (kept.setdefault("tries for", Rate(TRIES_PER_S, TRIES_AT_ONCE)), sign_in_key(name)),
    )
    if not all(rate.allows(str(of)) for rate, of in rates):
        fault = Fault("", "too many tries", mend="wait a minute")
        raise TooOftenError("Nobody was let in.", [fault])
    with visit.reads() as db:
        found = account_of(db, name)
    # Outside of any transaction: it takes its time, and others want to save meanwhile.
    if not fits(found, visit.form.get("password", "")):
        with visit.db() as db:  # an unknown name may be a password in the wrong place
            note(db, found.name if found else "somebody", "was not let in")
        return visit.page("login.html", status=403, wrong=True)
    for rate, of in rates:
        rate.give_back(str(of))
    return _let_in(visit, found)


def _let_in(visit: Visit, found: Account | None) -> Response:
    settings = visit.desk.settings
    with visit.db() as db:
        secret = open_session(db, found, visit.request.cookies.get(settings.cookie, ""))
    response = RedirectResponse("/", status_code=303)
    response.set_cookie(
        settings.cookie,
        secret,
        max_age=COOKIE_S,
        httponly=True,
        samesite="strict",
        secure=settings.https,
    )
    return response


def leave(visit: Visit) -> Response:
    """End the session."""
    with visit.db() as db:
        close_session(db, visit.request.cookies.get(visit.desk.settings.cookie, ""))
        note(db, visit.who, "left")
    response = visit.page("left.html")
    settings = visit.desk.settings
    response.delete_cookie(settings.cookie, secure=settings.https, httponly=True, samesite="strict")
    return response
