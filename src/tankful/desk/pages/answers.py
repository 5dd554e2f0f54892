"""The answer beside the form."""

from __future__ import annotations

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.responses import Response

from tankful.advice.changed import changed_best, search_corrects
from tankful.advice.headline import after_headline, headline
from tankful.advice.why import option_sentences
from tankful.advice.wording import control_sentence, money, years
from tankful.casefile.bill_words import bill_sentences
from tankful.casefile.naming import slot_of
from tankful.desk.check import Checked
from tankful.desk.form import by_slot
from tankful.desk.pages.cases import look
from tankful.desk.reckoner import Reckoner, Standing
from tankful.desk.store import works
from tankful.desk.store.works import Work
from tankful.desk.visit import Visit
from tankful.errors import Fault
from tankful.model.answer import Answer

MOST_SHOWN = 5
"""Options in view at once, so that the reasons are too."""
WAIT_S = 20.0
"""Longest that a page waits for one reply; then it asks again."""


async def show(visit: Visit) -> Response:
    """The quick answer as soon as there is one; with ``whole=1`` that of the whole search."""
    reckoner: Reckoner = visit.desk.kept["reckoner"]
    work, seen = await run_in_threadpool(_looked, visit)
    if seen.loaded is None:
        standing = reckoner.standing(work.id)
        last = standing.last if standing else None
        beside = _beside(seen.faults)
        return visit.page("answer.html", step="mend", work=work, **beside, **_words(last))
    reckoner.want(work.id, seen.toml, seen.loaded.path.parent)
    whole = visit.asked("whole") == "1"
    standing = await reckoner.wait(work.id, whole=whole, at_most_s=WAIT_S)
    return await run_in_threadpool(_shown, visit, work, standing)


def _looked(visit: Visit) -> tuple[Work, Checked]:
    with visit.reads() as db:
        work = works.get_work(db, visit.id())
        return work, look(db, work)[0]


def _shown(visit: Visit, work: Work, standing: Standing | None) -> Response:
    done = standing.best_known if standing else None
    if standing is None or done is None:
        last = standing.last if standing else None
        return visit.page("answer.html", step="wait", work=work, **_beside(()), **_words(last))
    if done.fault is not None:
        faults = tuple(fault for fault in done.fault.faults if slot_of(fault.field))
        words = {**_beside(faults), **_words(None)}
        return visit.page("answer.html", step="fault", work=work, error=done.fault, **words)
    step = "whole" if standing.whole else "quick"
    words = {**_words(done.answer), **_changes(standing, done.answer)}
    return visit.page("answer.html", step=step, work=work, **_beside(()), **words)


def _beside(faults: tuple[Fault, ...]) -> dict[str, Any]:
    """What the form beside the answer shows as to mend: what only answering finds as well."""
    slots = by_slot(faults)
    return {"faults": faults, "loose": slots.pop("", ()), "slots": slots}


def _changes(standing: Standing, answer: Answer | None) -> dict[str, str]:
    """What differs from the answer before, and from the quick one of the same state."""
    quick = standing.quick.answer if standing.quick else None
    if answer is None:
        return {}
    return {
        "changed": changed_best(standing.before, answer) if standing.before else "",
        "corrected": search_corrects(quick, answer) if quick and quick is not answer else "",
    }


def _words(answer: Answer | None) -> dict[str, Any]:
    """An answer and how to say it."""
    if answer is None:
        return {"answer": None}
    return {
        "shown": MOST_SHOWN,
        "changed": "",
        "corrected": "",
        "answer": answer,
        "headline": headline(answer),
        "after": after_headline(answer),
        "money": lambda amount: money(amount, answer.currency),
        "years": years,
        "from_bills": bill_sentences(answer.calibration) if answer.calibration else (),
        "sentences": lambda option: option_sentences(option, answer.horizon_years, answer.currency),
        "setting": lambda option: control_sentence(option, answer.currency),
    }
