"""What the household's report is made from: the answer, and what one sees of the best option."""

from __future__ import annotations

from dataclasses import dataclass

from tankful.model.answer import Answer
from tankful.model.picture import DayPicture, YearPicture
from tankful.model.whatif import Flip, Flips, Futures


@dataclass(frozen=True)
class Given:
    """One value that the home brought, in the words of the field table."""

    path: str
    about: str
    value: str
    unit: str


@dataclass(frozen=True)
class Aside:
    """A study beside the ranking, in sentences; ``key`` names it in the report's wording."""

    key: str
    sentences: tuple[str, ...]


@dataclass(frozen=True)
class ReportFacts:
    """Everything the report says, as data. What is empty or ``None`` is left out of it."""

    answer: Answer
    why: tuple[str, ...]
    """Sentences on what moved the money for the best option."""
    why_not: tuple[tuple[str, str], ...]
    """The next options and what sets each apart from the best."""
    tap_limit_c: float
    """What a tempering valve must hold bathroom taps to."""
    given: tuple[Given, ...] = ()
    about: dict[str, str] | None = None
    """Words for the paths of assumptions, from the field table."""
    said: dict[str, str] | None = None
    """Words for their values, where those are words."""
    days: tuple[DayPicture, ...] = ()
    year: YearPicture | None = None
    top_up_share: float = 0.0
    """Of the best option's heat, what it makes outside the hours or spare sun of its control."""
    price_turn: Flip | None = None
    """From which price of what the best option buys another is the best, all that buy the same
    getting dearer with it; ``None`` where no price within reason does that."""
    flips: Flips | None = None
    futures: Futures | None = None
    asides: tuple[Aside, ...] = ()
