"""Orders of several people: whose turn it is, who waits for what, and when one is dropped."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from benches import Bench, an_order, until
from hypothesis import given
from hypothesis import strategies as st

from tankful.desk.lane import Done
from tankful.desk.pictures.sheet import Sheet
from tankful.desk.studio import ENDED_KEPT, ORDERS_AT_ONCE, UNWATCHED_S, Studio
from tankful.desk.turns import Task, Turns, waits_for
from tankful.errors import CaseError, Fault, StoreError, TooOftenError

FAULT = CaseError("It cannot be drawn.", [Fault("x", "no")])


@pytest.fixture
def bench() -> Iterator[Bench]:
    made = Bench()
    yield made
    made.studio.close()
    assert threading.active_count() < 20


def test_the_same_order_of_two_is_made_once_for_both(bench: Bench) -> None:
    bench.ask("Ada")
    bench.has_begun("a")
    bench.ask("Ben")
    task = bench.task("Ben")
    assert task is not None
    assert task is bench.task("Ada")
    bench.becomes(Done(sheet=Sheet()))
    until(lambda: bench.task("Ada") is None and bench.task("Ben") is None)
    assert len(bench.begun) == len(bench.kept) == 1


def test_calling_off_what_another_waits_for_leaves_it_to_them(bench: Bench) -> None:
    bench.ask("Ada")
    bench.ask("Ben")
    bench.has_begun("a")
    bench.studio.call_off("Ada", "a", "report")
    hers, his = bench.task("Ada"), bench.task("Ben")
    assert hers is not None
    assert hers.over
    assert hers.fault is None
    assert his is not None
    assert not his.over
    bench.becomes(Done(sheet=Sheet()))
    until(lambda: bench.task("Ben") is None)
    assert bench.dropped == []


def test_what_nobody_waits_for_is_dropped_and_can_be_asked_for_again(bench: Bench) -> None:
    bench.ask("Ada")
    bench.has_begun("a")
    bench.studio.call_off("Ada", "a", "report")
    until(lambda: len(bench.dropped) == 1)
    bench.ask("Ada")
    bench.has_begun("a", "a")
    task = bench.task("Ada")
    assert task is not None
    assert not task.over


def test_who_looks_at_what_another_ordered_waits_for_it_too(bench: Bench) -> None:
    bench.ask("Ada", "futures")
    bench.has_begun("a")
    assert bench.task("Ben", "futures") is bench.task("Ada", "futures")
    bench.studio.call_off("Ada", "a", "futures")
    task = bench.task("Ben", "futures")
    assert task is not None
    assert not task.over
    bench.studio.call_off("Ben", "a", "futures")
    until(lambda: len(bench.dropped) == 1)


def test_an_order_whose_page_is_gone_is_dropped_and_one_that_is_watched_is_not(
    bench: Bench,
) -> None:
    bench.ask("Ada")
    bench.ask("Ben", case="b")
    bench.has_begun("a")
    bench.now += UNWATCHED_S
    assert bench.task("Ada") is not None
    bench.now += 1.0
    assert bench.task("Ada") is not None
    bench.now += UNWATCHED_S + 1.0
    until(lambda: len(bench.dropped) == 1)
    assert bench.task("Ada") is None, "it would not begin anew when the page is opened"
    assert bench.task("Ben", case="b") is None
    assert len(bench.begun) == 1, "what was left while it waited was begun"


def test_another_order_of_a_person_takes_the_place_of_their_own_alone(bench: Bench) -> None:
    bench.studio.ask("Ada", "a", an_order("day", "first"), print)
    bench.studio.ask("Ben", "a", an_order("day", "other"), print)
    bench.has_begun("first")
    bench.studio.ask("Ada", "a", an_order("day", "second"), print)
    bench.has_begun("first", "other")
    task = bench.studio.task("Ben", "a", "day", an_order("day", "other"))
    assert task is not None
    assert task.begun
    assert [order.toml for order in bench.dropped] == ["first"]


def test_a_fault_is_told_to_all_who_waited_until_they_ask_anew_or_for_something_else(
    bench: Bench,
) -> None:
    bench.ask("Ada")
    bench.ask("Ben")
    bench.becomes(Done(fault=FAULT))
    until(lambda: (found := bench.task("Ada")) is not None and found.over)
    for who in ("Ada", "Ben"):
        task = bench.task(who)
        assert task is not None
        assert task.fault is FAULT
    assert bench.studio.task("Ada", "a", "report", an_order(case="changed")) is None
    assert bench.task("Eve") is None
    bench.ask("Ada")
    task = bench.task("Ada")
    assert task is not None
    assert task.fault is None


def test_an_order_stays_the_same_once_an_answer_that_it_needs_is_known(bench: Bench) -> None:
    """Any object stands for an answer here: none is looked into."""
    answer: Any = object()
    pair = replace(an_order("compare"), beside=an_order("compare", "b"))
    known = replace(pair, answer=answer, beside=an_order("compare", "b", answer))
    bench.studio.ask("Ada", "a-b", pair, print)
    task = bench.studio.task("Ada", "a-b", "compare", known)
    assert task is not None
    assert bench.studio.task("Ben", "a-b", "compare", known) is task
    bench.studio.ask("Ben", "a-b", known, print)
    bench.has_begun("a")
    bench.studio.call_off("Ben", "a-b", "compare")
    ended = bench.studio.task("Ben", "a-b", "compare", known)
    assert ended is not None
    assert ended.over
    assert ended.order == pair, "answers are kept of what is over"


@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), RuntimeError("bug")])
def test_what_cannot_be_kept_is_told_and_the_next_order_is_made(
    bench: Bench, error: Exception, caplog: pytest.LogCaptureFixture
) -> None:
    def full(_: Any) -> None:
        raise error

    bench.studio.ask("Ada", "a", an_order(), full)
    bench.ask("Ada", case="b")
    bench.becomes(Done(sheet=Sheet()))
    until(lambda: (found := bench.task("Ada")) is not None and found.over)
    task = bench.task("Ada")
    assert task is not None
    assert "could not be kept" in str(task.fault)
    assert ("RuntimeError: bug" in caplog.text) == isinstance(error, RuntimeError)
    bench.becomes(Done(sheet=Sheet()), "b")
    until(lambda: [case for case, _ in bench.kept] == ["b"])


def test_a_process_that_cannot_start_is_told_and_the_next_order_tries_again(bench: Bench) -> None:
    tried: list[int] = []

    def lane(*_: Any) -> Any:
        tried.append(1)
        if len(tried) == 1:
            raise OSError(12, "Cannot allocate memory")
        return bench

    bench.studio = Studio(clock=lambda: bench.now, lane=lane, cores=2)
    bench.ask("Ada")
    until(lambda: (found := bench.task("Ada")) is not None and found.over)
    task = bench.task("Ada")
    assert task is not None
    assert isinstance(task.fault, StoreError)
    assert "Cannot allocate memory" in str(task.fault)
    bench.ask("Ada")
    bench.becomes(Done(sheet=Sheet()))
    until(lambda: [case for case, _ in bench.kept] == ["a"])
    assert len(tried) == 2


def test_only_so_many_ends_are_remembered(bench: Bench) -> None:
    for n in range(ENDED_KEPT + 3):
        bench.ask("Ada", case=str(n))
        bench.studio.call_off("Ada", str(n), "report")
    assert bench.task("Ada", case="2") is None
    assert bench.task("Ada", case="3") is not None


def test_nobody_has_too_many_orders_at_once(bench: Bench) -> None:
    for n in range(ORDERS_AT_ONCE):
        bench.ask("Ada", case=str(n))
    with pytest.raises(TooOftenError):
        bench.ask("Ada", case="more")
    bench.ask("Ada", case="0")
    bench.ask("Ben", case="more")


def test_people_take_turns_and_a_page_tells_what_is_before_it(bench: Bench) -> None:
    for case in ("a1", "a2", "a3"):
        bench.ask("Ada", "futures", case)
    bench.has_begun("a1")
    bench.ask("Cid", "map", "c")
    bench.ask("Ben", case="b")
    told = {case: told_of(bench.task(who, kind, case)) for who, kind, case in WAITING}
    assert told == {
        "b": "waits for 1 picture before it",
        "c": "waits for 1 report and 1 picture before it",
        "a2": "waits for 1 report and 2 pictures before it",
        "a3": "waits for 1 report and 3 pictures before it",
    }
    for case in ("a1", "b", "c", "a2", "a3"):
        until(lambda case=case: bench.begun[-1].toml == case)  # type: ignore[misc]
        bench.becomes(Done(sheet=Sheet()), case)
    assert [order.toml for order in bench.begun] == ["a1", "b", "c", "a2", "a3"]


WAITING = (
    ("Ben", "report", "b"),
    ("Cid", "map", "c"),
    ("Ada", "futures", "a2"),
    ("Ada", "futures", "a3"),
)


def told_of(task: Task | None) -> str:
    assert task is not None
    return task.told.what


@pytest.mark.parametrize(("cores", "at_once"), [(1, 1), (2, 1), (4, 2)])
def test_on_a_larger_machine_two_long_orders_are_made_at_once(cores: int, at_once: int) -> None:
    bench = Bench()
    bench.studio = bench.one(cores)
    for who in ("Ada", "Ben", "Cid"):
        bench.ask(who, case=who)
    until(lambda: len(bench.begun) == at_once)
    task = bench.task("Cid", case="Cid")
    assert task is not None
    assert task.told.what == "waits for 2 reports before it"
    bench.ask("Cid", "day", "quick")
    until(lambda: len(bench.begun) == at_once + 1)
    assert bench.begun[-1].kind == "day"
    bench.studio.close()


@given(st.lists(st.tuples(st.sampled_from("ABC"), st.booleans(), st.booleans()), max_size=24))
def test_who_waits_sees_no_other_person_served_more_than_twice(
    asked: list[tuple[str, bool, bool]],
) -> None:
    """However many reports they order, and whatever else is asked for meanwhile."""
    turns, waiting = Turns(), list[Task]()
    others: dict[str, list[str]] = {}
    for n, (who, report, serves) in enumerate(asked):
        others.setdefault(who, [])
        waiting.append(Task(str(n), an_order("report" if report else "map"), wants={who: 0.0}))
        if not serves:
            continue
        taken = turns.take(waiting)
        waiting.remove(taken)
        (served,) = taken.wants
        for seen in others.values():
            seen.append(served)
        still = {name for task in waiting for name in task.wants}
        others = {name: [] if name == served else others[name] for name in still}
        for seen in others.values():
            assert max(map(seen.count, seen), default=0) <= 2


def test_what_is_before_an_order_is_taken_before_it() -> None:
    turns = Turns()
    waiting = [
        Task(str(n), an_order(kind), wants={who: 0.0})
        for n, (who, kind) in enumerate((("A", "map"), ("A", "report"), ("B", "map"), ("A", "map")))
    ]
    last = waiting[-1]
    before = turns.before(last, waiting)
    taken = []
    while (task := turns.take(waiting)) is not last:
        taken.append(task)
        waiting.remove(task)
    assert taken == before
    assert [task.case_id for task in taken] == ["1", "2", "0"]


def test_what_an_order_waits_for_is_told_in_words() -> None:
    report, picture = Task("", an_order()), Task("", an_order("map"))
    assert waits_for([]) == "about to begin"
    assert waits_for([report]) == "waits for 1 report before it"
    assert waits_for([picture, report, picture]) == "waits for 1 report and 2 pictures before it"
