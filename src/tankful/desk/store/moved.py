"""Nobody overwrites what they have not seen.

A change carries what its page saw. Where the records have moved on since, nothing is written and
the page tells both.
"""

from __future__ import annotations

import sqlalchemy as sa

from tankful.desk.store.record import last
from tankful.errors import TankfulError


class MovedError(TankfulError):
    """Changed since the page was made: ``now`` is what is kept, by ``who`` and ``at`` what time
    where that is known. Nothing was written."""

    http_status = 409

    def __init__(self, now: str, who: str = "", at: str = "") -> None:
        super().__init__("It has been changed since the page was made; nothing was written.")
        self.now, self.who, self.at = now, who, at


def differs(db: sa.Connection, now: str, was: str, wanted: str, *, about: str, line: str) -> bool:
    """Whether there is anything to write: not where it is already as ``wanted``.

    MovedError when what is kept ``now`` is not what the page saw (``was``); who changed it stands
    in the newest line of the record ``about`` it that begins with ``line``.
    """
    if now == wanted:
        return False
    if now != was:
        raise MovedError(now, *last(db, about, line))
    return True
