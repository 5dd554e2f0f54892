"""Answers behind the pages: newest first, stale ones called off, processes that come back."""

from __future__ import annotations

import asyncio
import os
import signal
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tankful.desk.reckoner import CASES_KEPT, Reckoner, Standing

HOURLY = '[place]\npostcode = "{}"\n[people]\ncount = {}\n[simulation]\nstep_min = 60\n'


@pytest.fixture(scope="module")
def reckoner() -> Iterator[Reckoner]:
    made = Reckoner()
    yield made
    made.close()


def wait(reckoner: Reckoner, case_id: str, *, whole: bool) -> Standing:
    with ThreadPoolExecutor(1) as aside:  # the browser's loop runs in this thread
        waiting = reckoner.wait(case_id, whole=whole, at_most_s=300.0)
        found = aside.submit(asyncio.run, waiting).result()
    assert found is not None
    return found


def want(reckoner: Reckoner, case_id: str, people: int, postcode: str = "2600") -> None:
    reckoner.want(case_id, HOURLY.format(postcode, people), Path())


def test_a_quick_answer_comes_first_and_the_whole_one_follows(reckoner: Reckoner) -> None:
    want(reckoner, "a", 3)
    first = wait(reckoner, "a", whole=False)
    assert first.quick is not None
    assert first.quick.answer is not None
    then = wait(reckoner, "a", whole=True)
    assert then.whole is not None
    assert then.whole.answer is not None
    assert then.last is then.whole.answer
    quick, whole = first.quick.answer, then.whole.answer
    assert max(o.choice.tried for o in quick.options) < max(o.choice.tried for o in whole.options)


def test_the_next_quick_answer_starts_from_the_settings_that_were_found(reckoner: Reckoner) -> None:
    want(reckoner, "a", 3)
    wait(reckoner, "a", whole=True)
    want(reckoner, "a", 4)
    standing = reckoner.standing("a")
    assert standing is not None
    assert standing.last is not None
    assert standing.before is standing.last
    assert standing.best_known is None
    quick = wait(reckoner, "a", whole=False).quick
    assert quick is not None
    assert quick.answer is not None
    found = standing.before.settings
    kept = [found[option.id] == option.choice.control for option in quick.answer.options]
    assert sum(kept) > len(kept) / 2


def test_only_the_newest_state_of_a_case_is_answered(reckoner: Reckoner) -> None:
    for people in range(1, 9):
        want(reckoner, "b", people)
    whole = wait(reckoner, "b", whole=True).whole
    assert whole is not None
    assert whole.answer is not None
    want(reckoner, "b", 8)
    assert wait(reckoner, "b", whole=True).whole is whole
    texts = [item for item in whole.answer.assumptions if item.path == "people.count"]
    assert texts == []


def test_who_waits_for_a_state_that_is_gone_waits_no_longer(reckoner: Reckoner) -> None:
    want(reckoner, "e", 2)
    with ThreadPoolExecutor(1) as aside:
        waiting = reckoner.wait("e", whole=True, at_most_s=300.0)
        waiter = aside.submit(asyncio.run, waiting)
        while not (standing := reckoner.standing("e")) or not standing.search:
            time.sleep(0.001)
        want(reckoner, "e", 3)
        found = waiter.result(timeout=60.0)
    assert found is not None
    assert found is not standing
    assert not found.search


def test_a_fault_of_the_case_is_the_answer(reckoner: Reckoner) -> None:
    want(reckoner, "c", 3, postcode="9999")
    done = wait(reckoner, "c", whole=False).quick
    assert done is not None
    assert done.fault is not None
    assert done.fault.http_status in (404, 422)


def test_a_process_that_dies_is_told_and_comes_back(
    reckoner: Reckoner, caplog: pytest.LogCaptureFixture
) -> None:
    from multiprocessing import active_children

    children = active_children()
    assert len(children) == 2
    for child in children:
        assert child.pid is not None
        os.kill(child.pid, signal.SIGKILL)
    want(reckoner, "d", 2)
    first = wait(reckoner, "d", whole=False).best_known
    assert first is not None
    if first.fault is not None:
        assert "could not be computed" in first.fault.message
        want(reckoner, "d", 3)
        again = wait(reckoner, "d", whole=False).best_known
        assert again is not None
        assert again.answer is not None
    assert "ended" in caplog.text


def test_only_so_many_cases_are_remembered(reckoner: Reckoner) -> None:
    for n in range(CASES_KEPT + 5):
        want(reckoner, f"many-{n}", 3, postcode="9999")
    assert reckoner.standing("many-0") is None
    assert reckoner.standing(f"many-{CASES_KEPT + 4}") is not None
