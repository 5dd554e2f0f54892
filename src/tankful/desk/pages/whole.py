"""What is done with a case as a whole: its state, its title, the archive."""

from __future__ import annotations

import re

from starlette.responses import Response

from tankful.desk.leftovers import reports_root
from tankful.desk.pages.moved import Wish, told
from tankful.desk.shelf import take
from tankful.desk.store import works
from tankful.desk.store.moved import MovedError
from tankful.desk.store.tables import STATES
from tankful.desk.visit import Visit
from tankful.desk.words import state as in_words


def set_state(visit: Visit) -> Response:
    """How far the work has come; a page's script gets the choice anew."""
    state, place = visit.form.get("state", ""), f"/cases/{visit.id()}"
    back, remark = _sent(visit)
    try:
        with visit.db() as db:
            was = visit.form.get("was", "")
            works.set_state(db, visit.id(), state, was, visit.who, remark)
            work = works.get_work(db, visit.id())
    except MovedError as moved:
        if visit.is_fragment and not back:
            return visit.page("state_moved.html", 409, moved=moved, mine=state, id=visit.id())
        choices = {name: in_words(name) for name in STATES}
        sent = visit.form.get("sent", "")
        return told(visit, moved, Wish("state of the work", "state", state, choices, back, sent))
    if visit.is_fragment and not back:
        return visit.page("state_saved.html", work=work, states=STATES)
    return visit.go(f"{place}/{back}" if back else place)


def _sent(visit: Visit) -> tuple[str, str]:
    """The page of the report that is marked as sent, behind its case's, and which report that is
    in words; two empty texts where the state was changed elsewhere."""
    found = re.fullmatch(r"([a-z0-9]+)/((full|short)-[a-z0-9]+)", visit.form.get("sent", ""))
    if found is None:
        return "", ""
    report = take(reports_root(visit.id()), found[1], found[2])
    which = f"{found[3]} report"
    return f"report?size={found[3]}", f"{which} of change {report.number}" if report else which


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
