"""What the other entered beside what was typed here, to decide between them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from starlette.responses import Response

from tankful.desk.store.moved import MovedError
from tankful.desk.visit import Visit


@dataclass(frozen=True)
class Wish:
    """What was to be changed: what pages call it, its name in the form, and what was typed or
    chosen; ``choices`` are words by value where it is chosen, ``back`` the page of the case or
    client that it came from, ``sent`` the report that was marked as sent."""

    what: str
    name: str
    mine: str
    choices: Mapping[str, str] = field(default_factory=dict)
    back: str = ""
    sent: str = ""


def told(visit: Visit, moved: MovedError, wish: Wish) -> Response:
    """A page with both, and nothing changed yet."""
    action = visit.request.url.path
    home = action.rpartition("/")[0]
    back = f"{home}/{wish.back}" if wish.back else home
    return visit.page("moved.html", 409, moved=moved, wish=wish, action=action, back=back)
