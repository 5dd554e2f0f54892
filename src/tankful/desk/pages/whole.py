"""What is done with a case as a whole: its state, its title, the archive."""

from __future__ import annotations

from starlette.responses import Response

from tankful.desk.pages.moved import Wish, told
from tankful.desk.store import works
from tankful.desk.store.moved import MovedError
from tankful.desk.store.tables import STATES
from tankful.desk.visit import Visit
from tankful.desk.words import state as in_words


def set_state(visit: Visit) -> Response:
    """How far the work has come; a page's script gets the choice anew."""
    state, place = visit.form.get("state", ""), f"/cases/{visit.id()}"
    on_report = visit.form.get("back") == "report"
    try:
        with visit.db() as db:
            works.set_state(db, visit.id(), state, visit.form.get("was", ""), visit.who)
            work = works.get_work(db, visit.id())
    except MovedError as moved:
        if visit.is_fragment and not on_report:
            return visit.page("state_moved.html", 409, moved=moved, mine=state, id=visit.id())
        choices = {name: in_words(name) for name in STATES}
        back = "report" if on_report else ""
        return told(visit, moved, Wish("state of the work", "state", state, choices, back))
    if visit.is_fragment and not on_report:
        return visit.page("state_saved.html", work=work, states=STATES)
    return visit.go(f"{place}/report" if on_report else place)


def set_title(visit: Visit) -> Response:
    title = visit.form.get("title", "")
    try:
        with visit.db() as db:
            works.set_title(db, visit.id(), title, visit.form.get("was", ""), visit.who)
    except MovedError as moved:
        return told(visit, moved, Wish("title", "title", title))
    return visit.go(f"/cases/{visit.id()}")


def archive(visit: Visit) -> Response:
    with visit.db() as db:
        works.archive_work(db, visit.id(), visit.form.get("archived") == "1", visit.who)
        client_id = works.get_work(db, visit.id()).client_id
    return visit.go(f"/clients/{client_id}")
