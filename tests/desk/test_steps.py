"""Two people at one case: whose change is taken back, and what happens to what is refused."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
import sqlalchemy as sa
from visitors import add_client, in_words, open_desk, sign_in

from tankful.desk.store import clients, people, saves, steps, works
from tankful.desk.store.engine import reading, transaction
from tankful.errors import StoreError

ADA, BEN = "Ada", "Ben"
PEOPLE, AGE = "people.count", "heater.age_years"


@pytest.fixture
def work_id(engine: sa.Engine) -> str:
    with transaction(engine) as db:
        client_id = clients.add_client(db, "Sun Street", ADA)
        return works.add_work(db, client_id, "Hot water", {}, ADA)


class Case:
    """A case as each of two people changes it, each in a window of their own."""

    def __init__(self, db: sa.Connection, work_id: str) -> None:
        self.db, self.id = db, work_id

    @property
    def typed(self) -> dict[str, str]:
        return works.get_work(self.db, self.id).typed

    @property
    def number(self) -> int:
        return works.get_work(self.db, self.id).number

    def save(self, who: str, path: str, text: str, seen: int | None = None) -> saves.Saved:
        seen = self.number if seen is None else seen
        return saves.save(self.db, self.id, {path: text}, seen, who, who)

    def undo(self, who: str, instead: int = 0) -> steps.Stepped:
        return steps.undo(self.db, self.id, who, who, instead)

    def redo(self, who: str) -> steps.Stepped:
        return steps.redo(self.db, self.id, who, who)


def test_undo_takes_back_one_s_own_change_not_the_other_s(engine: sa.Engine, work_id: str) -> None:
    with transaction(engine) as db:
        case = Case(db, work_id)
        case.save(ADA, PEOPLE, "4")
        case.save(BEN, AGE, "11")
        assert case.undo(ADA).paths == (PEOPLE,)
        assert case.typed == {AGE: "11"}
        assert case.undo(ADA).paths == ()
        case.save(BEN, "name", "Sun")
        assert case.redo(ADA).paths == (PEOPLE,), "what Ben types leaves Ada's redo alone"
        assert case.typed == {AGE: "11", "name": "Sun", PEOPLE: "4"}


def test_undo_leaves_a_field_that_the_other_has_changed_since(
    engine: sa.Engine, work_id: str
) -> None:
    with transaction(engine) as db:
        case = Case(db, work_id)
        case.save(ADA, AGE, "7")
        case.save(ADA, PEOPLE, "4")
        case.save(BEN, PEOPLE, "5")
        stepped = case.undo(ADA)
        assert stepped.held == ((PEOPLE, BEN),)
        assert stepped.paths == (), "the one before was not meant"
        assert stepped.other_paths == (AGE,), "but it is offered"
        assert case.typed == {AGE: "7", PEOPLE: "5"}
        assert case.undo(ADA, stepped.other).paths == (AGE,)
        assert case.typed == {PEOPLE: "5"}
        case.undo(BEN)
        assert case.undo(ADA).paths == (PEOPLE,), "Ben took his back: Ada's stands as she left it"
        assert case.typed == {}
        assert [case.redo(ADA).paths for _ in range(3)] == [(AGE,), (PEOPLE,), ()]
        assert case.typed == {AGE: "7", PEOPLE: "4"}


def test_undo_of_what_was_overtaken_says_so_and_offers_the_change_before(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TANKFUL_CACHE_DIR", str(tmp_path / "cache"))
    desk = open_desk(tmp_path, office=True)
    with transaction(desk.engine) as db:
        for name in (ADA, BEN):
            people.put_account(db, name, f"{name} correct horse", "adviser", "test")
    ada, ben = (sign_in(desk, name, f"{name} correct horse") for name in (ADA, BEN))
    case = add_client(ada)
    ada.change(f"{case}/save", {AGE: "7", "seen": "0", "window": "a"})
    ada.change(f"{case}/save", {PEOPLE: "4", "seen": "1", "window": "a"})
    ben.change(f"{case}/save", {PEOPLE: "5", "seen": "2", "window": "b"})
    told = ada.change(f"{case}/undo", {"window": "a"})
    assert "Nothing was undone. “People in the home” stays as it is: Ben has changed it since" in (
        in_words(told)
    )
    offer = re.search(r"hx-vals='({\"instead\": \d+})'", told.text)
    assert offer
    assert "Undo “Age of the heater” instead" in in_words(told)
    done = ada.change(f"{case}/undo", {"window": "a", **json.loads(offer[1])})
    assert "Undone: “" in in_words(done)
    desk.engine.dispose()


def test_undo_and_redo_never_meet_a_text_that_only_looks_like_one_s_own(
    engine: sa.Engine, work_id: str
) -> None:
    with transaction(engine) as db:
        case = Case(db, work_id)
        case.save(ADA, PEOPLE, "4")
        case.save(BEN, PEOPLE, "5")
        case.save(BEN, AGE, "1")
        case.save(BEN, PEOPLE, "4")
        assert case.undo(ADA).held == ((PEOPLE, BEN),)
        assert case.typed[PEOPLE] == "4"
        case.save(ADA, "name", "x")
        case.undo(ADA)
        case.save(BEN, "name", "y")
        case.save(BEN, AGE, "2")
        case.save(BEN, "name", "")
        assert case.redo(ADA).held == (("name", BEN),)
        assert "name" not in case.typed


def test_rows_that_moved_are_neither_undone_nor_typed_into(engine: sa.Engine, work_id: str) -> None:
    with transaction(engine) as db:
        case = Case(db, work_id)
        for row, family in ((1, "timer"), (2, "diverter"), (3, "solar_thermal")):
            case.save(ADA, f"quotes[{row}].family", family)
        seen = case.number
        saves.remove_row(db, work_id, "quotes[1]", seen, BEN, BEN)
        before = dict(case.typed)
        assert case.undo(ADA).held[0] == ("quotes[3].family", BEN)
        for path in ("quotes[2].installed_price", "quotes[3].installed_price"):
            saved = case.save(ADA, path, "4200", seen)
            assert (saved.conflicts, saved.moved) == ((path,), {path: BEN})
        assert case.typed == before
        again = case.save(ADA, "quotes[2].installed_price", "4200")
        assert again.conflicts == (), "a page that has seen the move may type there"


def test_what_is_refused_is_kept_in_the_history(engine: sa.Engine, work_id: str) -> None:
    with transaction(engine) as db:
        case = Case(db, work_id)
        seen = case.number
        case.save(ADA, PEOPLE, "4")
        case.save(BEN, PEOPLE, "5", seen)
        saved = case.save(BEN, PEOPLE, "56", seen)
        assert saved.conflicts == (PEOPLE,)
        kinds = [(row.kind, row.who, row.edits) for row in works.history(db, work_id)]
        assert kinds == [
            ("refused", BEN, {PEOPLE: ["4", "56"]}),
            ("edit", ADA, {PEOPLE: ["", "4"]}),
        ]
        assert case.undo(BEN).paths == (), "it never was in the case"
        assert saves.news(db, work_id, seen, "third").elsewhere == {PEOPLE: ADA}
        assert case.save(BEN, PEOPLE, "56", saved.work.number).conflicts == ()
        assert case.typed == {PEOPLE: "56"}


def test_news_are_what_other_windows_changed(engine: sa.Engine, work_id: str) -> None:
    with transaction(engine) as db:
        case = Case(db, work_id)
        case.save(ADA, PEOPLE, "4")
        assert saves.news(db, work_id, 0, ADA).elsewhere == {}
        assert saves.news(db, work_id, 0, BEN).elsewhere == {PEOPLE: ADA}
        assert saves.news(db, work_id, case.number, BEN).elsewhere == {}


def test_reading_waits_for_no_writer_and_sees_one_moment(engine: sa.Engine, work_id: str) -> None:
    with reading(engine) as before:
        assert works.get_work(before, work_id).typed == {}
        with transaction(engine) as db:
            Case(db, work_id).save(ADA, PEOPLE, "4")
            with reading(engine) as meanwhile:
                assert works.get_work(meanwhile, work_id).typed == {}
        assert works.get_work(before, work_id).typed == {}
    with reading(engine) as after:
        assert works.get_work(after, work_id).typed == {PEOPLE: "4"}


def test_a_name_that_was_replaced_stays_in_the_record(engine: sa.Engine, work_id: str) -> None:
    from tankful.desk.store.record import recent

    with transaction(engine) as db:
        works.set_title(db, work_id, "Before the quote", "Hot water", BEN)
        client_id = works.get_work(db, work_id).client_id
        clients.rename_client(db, client_id, "Moon Street", "Sun Street", BEN)
        assert recent(db, work_id)[0][1:] == (BEN, "renamed the case, which was “Hot water”")
        assert recent(db, client_id)[0][2] == "renamed the client, who was “Sun Street”"


def test_a_database_that_is_gone_is_told_in_words(tmp_path: Path, engine: sa.Engine) -> None:
    with (
        pytest.raises(StoreError, match="could not be kept") as told,
        transaction(engine) as db,
    ):
        db.execute(sa.text("SELECT * FROM nothing"))
    assert "try again" in told.value.faults[0].mend
