"""One request from the door to its page: who asks, what came with it, what goes back."""

from __future__ import annotations

import hmac
import logging
import re
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from inspect import iscoroutinefunction
from threading import Lock
from typing import Any, cast

import sqlalchemy as sa
from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from tankful.casefile.read import printable
from tankful.desk.doors.guard import AT_THE_TOP, SAFE, TooLargeError, body_limit
from tankful.desk.doors.limits import Rate
from tankful.desk.settings import Settings
from tankful.desk.store.engine import reading, transaction
from tankful.desk.store.people import Person, person_of
from tankful.errors import (
    CaseError,
    Fault,
    MissingError,
    RefusedError,
    TankfulError,
    TooMuchError,
    TooOftenError,
)

log = logging.getLogger("tankful.desk")

MOST_FIELDS = 4_000
CHANGES_PER_S, CHANGES_AT_ONCE = 20.0, 100.0
"""Changes of one person: who types makes five a second at most."""


@dataclass
class Desk:
    """What every visit shares."""

    settings: Settings
    engine: sa.Engine
    link: Lock = field(default_factory=Lock)
    """Taken by whoever the one link lets in, and never given back."""
    changes: Rate = field(default_factory=lambda: Rate(CHANGES_PER_S, CHANGES_AT_ONCE))
    kept: dict[str, Any] = field(default_factory=dict)
    """Parts that live as long as the desk, such as its workers, by name."""

    def close(self) -> None:
        """End the parts that must be ended."""
        for part in self.kept.values():
            if hasattr(part, "close"):
                part.close()


@dataclass
class Visit:
    """A request whose asker and content are known."""

    desk: Desk
    request: Request
    person: Person
    form: dict[str, str]
    files: dict[str, UploadFile]

    @contextmanager
    def db(self) -> Iterator[sa.Connection]:
        """A transaction."""
        with transaction(self.desk.engine) as connection:
            yield connection

    @contextmanager
    def reads(self) -> Iterator[sa.Connection]:
        """The records as they are now, not to be changed."""
        with reading(self.desk.engine) as connection:
            yield connection

    @property
    def who(self) -> str:
        return self.person.name

    @property
    def is_fragment(self) -> bool:
        """Asked by a page's script for a part of it."""
        return self.request.headers.get("hx-request") == "true"

    def id(self, name: str = "id") -> str:
        """A part of the address."""
        return storable(str(self.request.path_params[name]))

    def asked(self, name: str) -> str:
        """What stands under a name behind the address's question mark; empty without it."""
        return storable(self.request.query_params.get(name, ""))

    def page(self, template: str, status: int = 200, **values: Any) -> Response:
        """A page or a part of one."""
        settings = self.desk.settings
        html = (
            templates()
            .get_template(template)
            .render(person=self.person, office=settings.office, **values)
        )
        return HTMLResponse(html, status_code=status)

    def go(self, where: str) -> Response:
        """Send the browser to another page after a change."""
        if self.is_fragment:
            return Response(status_code=204, headers={"HX-Redirect": where})
        return RedirectResponse(where, status_code=303)


Handler = Callable[[Visit], Response | Awaitable[Response]]
"""A page; one that waits for something is asynchronous, so that it holds no thread."""
NOBODY = Person("", "", "")


@cache
def templates() -> Environment:
    """The pages. Everything that is put into one is escaped; a missing value is a bug."""
    from tankful.desk.words import FILTERS

    loader = PackageLoader("tankful.desk", "templates")
    made = Environment(loader=loader, autoescape=True, undefined=StrictUndefined)
    made.trim_blocks = made.lstrip_blocks = True
    made.filters.update(FILTERS)
    return made


def serve(desk: Desk, handler: Handler, *, anybody: bool = False) -> Callable[..., Any]:
    """The handler behind its doors: a session (unless for ``anybody``), a role that allows
    changes, and the session's token with each change."""

    async def endpoint(request: Request) -> Response:
        visit = Visit(desk, request, NOBODY, {}, {})
        try:
            await run_in_threadpool(_recognise, visit)
            if visit.person is NOBODY and not anybody:
                return _to_the_door(visit)
            await _read(visit)
            if request.method not in SAFE and not anybody:
                _check_change(visit)
            if iscoroutinefunction(handler):
                waited: Response = await handler(visit)
                return waited
            return cast(Response, await run_in_threadpool(handler, visit))
        except TankfulError as error:
            return troubled(visit, error)
        except ClientDisconnect:
            return Response(status_code=400)  # nobody is there to read it
        except HTTPException:
            raise
        except Exception:
            log.exception("%s %s failed", request.method, printable(request.url.path))
            return troubled(visit, Unforeseen("The desk met something it did not foresee."))
        finally:
            await request.close()  # and with it the files that came along

    return endpoint


class Unforeseen(TankfulError):  # noqa: N818
    """A bug: its traceback goes to the log, never to the page."""

    http_status = 500


def _recognise(visit: Visit) -> None:
    secret = visit.request.cookies.get(visit.desk.settings.cookie, "")
    if secret:
        with visit.reads() as db:
            visit.person = person_of(db, secret, office=visit.desk.settings.office) or NOBODY


def _to_the_door(visit: Visit) -> Response:
    """Where somebody without a session is sent."""
    if visit.is_fragment:
        fault = Fault(
            "", "your session is over", mend="come in again in another tab, and this page goes on"
        )
        response = troubled(visit, RefusedError("The desk does not know this browser.", [fault]))
        response.status_code = 401
        return response
    if visit.desk.settings.office and visit.request.method in SAFE:
        return RedirectResponse("/login", status_code=303)
    fault = Fault("", "you are not signed in", mend="open the link that the desk printed")
    return troubled(visit, RefusedError("The desk does not know this browser.", [fault]))


async def _read(visit: Visit) -> None:
    """The form that came with a request. TooMuchError when it is too large, CaseError when it is
    none."""
    request = visit.request
    if request.method in SAFE:
        return
    try:
        form = await request.form(
            max_fields=MOST_FIELDS, max_files=5, max_part_size=body_limit(request.url.path)
        )
    except TooLargeError:
        raise TooMuchError("The request is larger than the desk takes.") from None
    except HTTPException as error:
        words = error.detail.rstrip(".")
        kind = TooMuchError if re.search("too many|exceed", words, re.IGNORECASE) else CaseError
        raise kind("The form could not be read.", [Fault("", words)]) from None
    for name, value in form.multi_items():
        if isinstance(value, UploadFile):
            visit.files[name] = value
        else:
            visit.form[name] = storable(value)


def storable(text: str) -> str:
    """Text that every database can hold: without NUL and half characters."""
    return text.replace("\0", "").encode("utf-8", "ignore").decode("utf-8")


def _check_change(visit: Visit) -> None:
    token = visit.request.headers.get("x-desk-token") or visit.form.get("token", "")
    visit.form.pop("token", None)
    if not hmac.compare_digest(token.encode(), visit.person.token.encode()):
        fault = Fault("", "the page is older than your session", mend="reload the page")
        raise RefusedError("The change was not made.", [fault])
    if not visit.person.may_change and visit.request.url.path != "/leave":
        fault = Fault("", "your account may only read", mend="ask an adviser to change it")
        raise RefusedError("The change was not made.", [fault])
    if not visit.desk.changes.allows(visit.who):
        fault = Fault("", "too many changes at once", mend="wait a moment, then try again")
        raise TooOftenError("The change was not made.", [fault])


def troubled(visit: Visit, error: TankfulError) -> Response:
    """A fault in words, with its status."""
    template = "trouble_part.html" if visit.is_fragment else "trouble.html"
    response = visit.page(template, error.http_status, error=error, back=_back(visit))
    if visit.is_fragment:
        response.headers.update(AT_THE_TOP)
    return response


def _back(visit: Visit) -> str:
    """The page of the case or client that a request was about; empty when it is that itself."""
    path = visit.request.url.path
    about = re.match(r"/(?:cases|clients)/[0-9a-f]{16}(?=/)", path)
    return about[0] if about and visit.person is not NOBODY else ""


def refuse(desk: Desk) -> Callable[..., Any]:
    """Says in words what the router refuses: an address or a way to ask that no page has."""

    async def refused(request: Request, error: HTTPException) -> Response:
        problem = "no such page" if error.status_code == 404 else error.detail.lower()
        visit = Visit(desk, request, NOBODY, {}, {})
        fault = Fault("", problem, mend="go to the list")
        response = troubled(visit, MissingError("There is nothing there.", [fault]))
        response.status_code = error.status_code
        response.headers.update(error.headers or {})
        return response

    return refused


def missing(visit: Visit) -> Response:
    """No page has this address."""
    raise MissingError("There is no such page.", [Fault("", "no such page", mend="go to the list")])
