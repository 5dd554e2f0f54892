"""What is written down about a client, saved as one types."""

from __future__ import annotations

from starlette.responses import Response

from tankful.desk.pages.cases import number_of, plain_window, window_of
from tankful.desk.store import jottings
from tankful.desk.store.jottings import LONGEST, Jotted, check_kind, read_jottings
from tankful.desk.visit import Visit
from tankful.errors import Fault, MissingError


def save(visit: Visit) -> Response:
    """Keep what was typed; where another has changed it, both are shown. ``both`` asks to keep
    the two, one below the other."""
    kind = next((kind for kind in LONGEST if kind in visit.form), "")
    if not kind:
        raise MissingError("There is no such field.", [Fault("", "no such field")])
    text = visit.form[kind].replace("\r\n", "\n")
    seen, window = number_of(visit.form.get("seen", "")), window_of(visit)
    with visit.db() as db:
        if visit.form.get("both"):
            text = f"{read_jottings(db, visit.id()).texts[kind].text.rstrip()}\n\n{text}"
        jotted = jottings.save_jotting(db, visit.id(), kind, text, seen, visit.who, window)
    again = (kind,) if visit.form.get("both") and not jotted.conflict else ()
    return _page(visit, jotted, kind, again=again, mine=text)


def news(visit: Visit) -> Response:
    """What others changed since the page was last told; nothing when they changed nothing."""
    seen, window = number_of(visit.asked("seen")), plain_window(visit.asked("window"))
    with visit.reads() as db:
        found = jottings.news(db, visit.id(), seen, window)
    return _page(visit, found) if found.elsewhere else Response(status_code=204)


def show(visit: Visit) -> Response:
    """One text as it is kept: what another window saved is taken."""
    kind = visit.asked("kind")
    check_kind(kind)
    with visit.reads() as db:
        found = jottings.news(db, visit.id(), 0, "")
    return _page(visit, Jotted(found.texts), again=(kind,))


def _page(
    visit: Visit, jotted: Jotted, kind: str = "", *, again: tuple[str, ...] = (), mine: str = ""
) -> Response:
    """What a page shows anew: the texts of ``again`` and those that others changed."""
    return visit.page(
        "jotted.html",
        status=409 if jotted.conflict else 200,
        client_id=visit.id(),
        jotted=jotted,
        kind=kind,
        fresh=(*again, *jotted.elsewhere),
        mine=mine,
    )
