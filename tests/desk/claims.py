"""Advisers who change states, titles and notes at the same time: what each page saw, what was
wanted, what the desk said, and whether the records agree."""

from __future__ import annotations

import html
import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from random import Random

import sqlalchemy as sa
from traffic import Adviser, number_in

from tankful.desk.store.tables import STATES, audit, jotting, work
from tankful.desk.store.works import STATE_LINE, TITLE_LINE
from tankful.desk.words import state as in_words

KINDS = ("state", "title", "notes")
FIRST_TITLE = "Hot water"

Line = sa.Row[tuple[object, ...]]
Step = tuple[str, str, str]
"""Who turned what into what."""


@dataclass(frozen=True)
class Claim:
    """What was wanted of a case, or of a client's notes, by a page that saw ``was`` (of notes the
    number of the change). ``number`` is that of the notes' change, ``tries`` counts those that went
    unanswered."""

    who: str
    kind: str
    about: str
    was: str
    wanted: str
    status: int
    body: str
    number: int
    tries: int

    @property
    def kept(self) -> bool:
        return self.status in (200, 204)


@dataclass
class Claims:
    """Everybody's claims, and what each person's pages show."""

    made: list[Claim] = field(default_factory=list)
    saw: dict[tuple[str, str, str], str] = field(default_factory=dict)
    clients: dict[str, str] = field(default_factory=dict)

    def make(self, adviser: Adviser, case: str, n: int) -> None:
        """Claim something from what a page saw, often some time ago; of those who are told of
        another's every second looks again and insists."""
        draw = Random(f"{adviser.name} {n}")  # noqa: S311
        kind = KINDS[n // 3 % 3]
        if (adviser.name, kind, case) not in self.saw or draw.random() < 0.2:
            self._look(adviser, kind, case)
        if not self._claim(adviser, kind, case, n, draw) and draw.random() < 0.5:
            self._look(adviser, kind, case)
            self._claim(adviser, kind, case, -n - 1, draw)

    def _look(self, adviser: Adviser, kind: str, case: str) -> None:
        page = adviser.until_answered("GET", f"/cases/{case}")[0].text
        self.clients[case] = _found(r"/clients/(\w+)", page)
        if kind == "notes":
            page = adviser.until_answered("GET", f"/clients/{self.clients[case]}")[0].text
            self.saw[adviser.name, kind, case] = str(number_in(page))
        else:
            shown = {"state": r'value="(\w+)" selected', "title": "<h1>([^<]*)</h1>"}[kind]
            self.saw[adviser.name, kind, case] = _found(shown, page)

    def _claim(self, adviser: Adviser, kind: str, case: str, n: int, draw: Random) -> bool:
        """Whether it was kept; if so, that is what the page shows then."""
        was = self.saw[adviser.name, kind, case]
        others = [name for name in STATES if name != was]
        wanted = draw.choice(others) if kind == "state" else f"{adviser.name}'s {kind} {n}"
        sent, about, path = {kind: wanted, "was": was}, case, f"/cases/{case}/{kind}"
        if kind == "notes":
            sent |= {"seen": was, "window": f"{ord(adviser.name[0]):x}"}
            about, path = self.clients[case], f"/clients/{self.clients[case]}/jot"
        answer, tries = adviser.until_answered("POST", path, sent)
        assert answer.status_code in (200, 204, 409), answer.text
        number = number_in(answer.text) if kind == "notes" else 0
        claim = Claim(
            *(adviser.name, kind, about, was, wanted),
            *(answer.status_code, html.unescape(answer.text), number, tries),
        )
        self.made.append(claim)
        if claim.kept:
            self.saw[adviser.name, kind, case] = str(number) if kind == "notes" else wanted
        return claim.kept


def _found(pattern: str, page: str) -> str:
    found = re.search(pattern, page)
    assert found is not None, page[:500]
    return html.unescape(found[1])


def no_claim_is_lost(engine: sa.Engine, claims: Claims) -> None:
    """What was acknowledged is in the records, or its conflict was told, and nobody overwrote
    what they had not seen."""
    with engine.connect() as db:
        lines = list(db.execute(sa.select(audit).order_by(audit.c.id)))
        works = list(db.execute(sa.select(work)))
        notes = list(db.execute(sa.select(jotting).where(jotting.c.kind == "notes")))
    by_kind = {kind: [each for each in claims.made if each.kind == kind] for kind in KINDS}
    for kind, made in by_kind.items():
        assert {each.kept for each in made} == {True, False}, f"{kind}: both must have happened"
        assert all(both_are_told(each) for each in made if not each.kept)
    kept = {row.id: (row.state, row.title) for row in works}
    states = _steps(lines, STATE_LINE, lambda about, told: _of_states(told, kept[about][0]))
    titles = _steps(lines, TITLE_LINE, lambda about, told: _of_titles(told, kept[about][1]))
    assert not _unwritten(by_kind["title"], titles), "acknowledged, and not in the records"
    ever = {(about, step[2]) for about, step in states} | {(each.id, STATES[0]) for each in works}
    for about, step in _unwritten(by_kind["state"], states):
        assert (about, step[2]) in ever, "neither written nor so already"
    for row in notes:
        the_notes_follow(row, [each for each in by_kind["notes"] if each.about == row.client_id])
        _each_note_has_its_line(row.client_id, by_kind["notes"], lines)


def both_are_told(claim: Claim) -> bool:
    """Whether a conflict shows who was there first and what each entered; what was typed into
    notes stands on the page itself."""
    if claim.kind == "notes":
        held = _found('<blockquote class="as-typed"[^>]*>([^<]*)<', claim.body)
        return held != claim.wanted and held.partition("'s ")[0] in claim.body
    words = in_words(claim.wanted) if claim.kind == "state" else claim.wanted
    return bool(re.search("[A-Z][a-z]+ (changed|set) the", claim.body)) and words in claim.body


def _steps(
    lines: Sequence[Line], begins: str, steps: Callable[[str, list[tuple[str, str]]], list[Step]]
) -> Counter[tuple[str, Step]]:
    """Every step that the lines of a kind tell, for each case."""
    told: dict[str, list[tuple[str, str]]] = {}
    for line in lines:
        if line.what.startswith(begins):
            told.setdefault(line.about, []).append((line.who, line.what.removeprefix(begins)))
    return Counter((about, step) for about, of in told.items() for step in steps(about, of))


def _of_states(told: list[tuple[str, str]], last: str) -> list[Step]:
    """A line tells the state after it."""
    after = [words for _, words in told]
    assert after[-1] == last
    return [(who, before, to) for (who, to), before in zip(told, [STATES[0], *after], strict=False)]


def _of_titles(told: list[tuple[str, str]], last: str) -> list[Step]:
    """A line tells the title before it."""
    before = [words[1:-1] for _, words in told]
    assert before[0] == FIRST_TITLE
    steps = pairwise([*before, last])
    return [(who, *step) for (who, _), step in zip(told, steps, strict=True)]


def _unwritten(
    made: Sequence[Claim], written: Counter[tuple[str, Step]]
) -> Counter[tuple[str, Step]]:
    """What was acknowledged and is no step of the records; every other step is one that was
    written while its answer was lost, so that it led to a conflict with what came after."""

    def steps(which: Callable[[Claim], bool]) -> Counter[tuple[str, Step]]:
        return Counter((e.about, (e.who, e.was, e.wanted)) for e in made if which(e))

    said = steps(lambda each: each.kept)
    unsure = steps(lambda each: not each.kept and each.tries > 0)
    assert not written - said - unsure, "somebody overwrote what they had not seen"
    return said - written


def the_notes_follow(row: Line, made: Sequence[Claim]) -> None:
    """Each that was kept had seen the one before, and the last is what is kept now."""
    kept = sorted((each for each in made if each.kept), key=lambda each: each.number)
    assert (kept[-1].wanted, kept[-1].who, kept[-1].number) == (row.text, row.who, row.number)
    for before, after in pairwise(kept):
        assert before.number < after.number
        assert before.who == after.who or int(after.was) >= before.number, (before, after)


def _each_note_has_its_line(client_id: str, made: Sequence[Claim], lines: Sequence[Line]) -> None:
    for what, kept in (("edit: notes", True), ("refused: notes", False)):
        mine = [each for each in made if each.about == client_id]
        said = Counter(each.who for each in mine if each.kept == kept)
        told = (line for line in lines if line.about == client_id and line.what == what)
        written = Counter(line.who for line in told)
        assert not said - written, "acknowledged, and not in the record"
        assert sum((written - said).values()) <= sum(each.tries for each in mine)
