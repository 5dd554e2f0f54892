"""Delete a client for good: what goes, what stays, and the name typed to confirm it."""

from __future__ import annotations

from collections.abc import Iterable

from starlette.responses import Response

from tankful.desk import leftovers
from tankful.desk.store.copies import COPIES_KEPT
from tankful.desk.store.engine import settle, sqlite_file
from tankful.desk.store.moved import MovedError
from tankful.desk.store.removal import delete_client, held
from tankful.desk.visit import Visit
from tankful.errors import CaseError, Fault, RefusedError


def show(visit: Visit) -> Response:
    """What would go and what would stay. RefusedError for who may only read."""
    if not visit.person.may_change:
        fault = Fault("", "your account may only read", mend="ask an adviser to delete it")
        raise RefusedError("Nothing was deleted.", [fault])
    return _page(visit)


def delete(visit: Visit) -> Response:
    """Delete the client; the records first, then what the cache folder keeps."""
    name, seen = visit.form.get("name", ""), visit.form.get("seen", "")
    try:
        with visit.db() as db:
            gone = delete_client(db, visit.id(), name, seen, visit.who)
    except CaseError as error:
        return _page(visit, name, error.faults, status=422)
    except MovedError:
        return _page(visit, name, moved=True, status=409)
    leftovers.clear(gone.cases)
    settle(visit.desk.engine)
    return visit.go("/?archived=1")


def _page(
    visit: Visit,
    typed: str = "",
    faults: Iterable[Fault] = (),
    *,
    moved: bool = False,
    status: int = 200,
) -> Response:
    with visit.reads() as db:
        found = held(db, visit.id())
    in_file = sqlite_file(visit.desk.engine) is not None
    values = {"held": found, "typed": typed, "faults": tuple(faults), "moved": moved}
    return visit.page("delete.html", status, nights=COPIES_KEPT if in_file else 0, **values)
