"""A table says of each home what its own case says."""

from __future__ import annotations

from pathlib import Path

import pytest

from tankful import service
from tankful.batch.plan import load_plan
from tankful.batch.pool import mapped
from tankful.batch.values import GROUPS, HOME_WORDS, OPTION_WORDS, parse
from tankful.batch.vary import variants_of
from tankful.errors import CaseError
from tankful.model.table import HomesTable
from tankful.service.homes_table import table_of_homes

CASE = """
as_of = 2026-11-25
place.postcode = "2480"
people.count = {people}
simulation.step_min = 30
heater = {{ kind = "gas_storage", age_years = 10.0 }}
electricity.arrays = [{{ kw = {kw} }}]
"""


def write(path: Path, text: str) -> Path:
    path.write_text(text, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("table")
    write(made / "home.toml", CASE.format(people=3, kw=6.6))
    return made


@pytest.fixture(scope="module")
def made(folder: Path) -> HomesTable:
    """Two sizes of household on more panels than the base case has."""
    text = (
        'case_file = "home.toml"\n'
        '[[vary]]\npath = "people.count"\nvalues = [3, 5]\n'
        '[[vary]]\npath = "electricity.arrays[1].kw"\nvalues = [10.0]\n'
    )
    return table_of_homes(*load_plan(write(folder / "table.toml", text)), processes=1)


@pytest.mark.parametrize(("people", "kw"), [(3, 10.0), (5, 10.0)])
def test_a_home_of_a_table_is_that_of_the_case_edited_by_hand(folder, made, people, kw):
    by_hand = service.advise(write(folder / "hand.toml", CASE.format(people=people, kw=kw)))
    home = next(home for home in made.homes if home.labels == (str(people), "10"))
    assert [(option.id, option.cost, option.first_year) for option in home.options] == [
        (option.id, option.net_present_cost, option.year_one.total) for option in by_hand.options
    ]
    assert home.margin == by_hand.margin
    assert (home.panels_kwh, home.house_kwh, home.spare_kwh) == (
        by_hand.pv_kwh,
        by_hand.house_kwh,
        by_hand.surplus_kwh,
    )


def test_homes_stand_in_the_order_of_the_variations(made):
    assert [home.labels for home in made.homes] == [("3", "10"), ("5", "10")]


def test_words_of_the_best_are_those_of_the_option_that_stands_first(made):
    for home in made.homes:
        best = home.options[0]
        for text in ("cost", "cost of best", f"cost of {best.id}"):
            assert parse(text, "columns").of(home) == best.cost
        today = next(option for option in home.options if option.id == "keep")
        assert parse("saving", "columns").of(home) == pytest.approx(today.cost - best.cost)


def test_every_word_can_be_read_of_a_home_with_panels_and_gas(made):
    for word in HOME_WORDS:
        assert parse(word, "columns").of(made.homes[0]) is not None, word
    for word in OPTION_WORDS:
        assert parse(f"{word} of best", "columns").of(made.homes[0]) is not None, word


def test_groups_together_name_every_option_of_the_home(made):
    starts = tuple(start for group in GROUPS.values() for start in group)
    for option in made.homes[0].options:
        assert option.id.startswith(starts), option.id


def test_choices_and_plans_are_written_over_the_base_case(folder):
    plan = write(
        folder / "plans.toml",
        'case_file = "home.toml"\nplaces = ["3000", "capitals"]\n'
        '[[vary]]\nplans = ["default", "TAS", "other.toml"]\n'
        '[[vary]]\nchoices = [{ name = "electric", without = ["heater.age_years"], '
        'set = { heater.kind = "electric_storage", people.habits = "evening" } }]\n',
    )
    write(folder / "other.toml", 'place.postcode = "2480"\nelectricity.feed_in_price_per_kwh = 0.2')
    heads, variants = variants_of(*load_plan(plan))
    assert heads == ("Place", "Plan", "Home")
    assert len(variants) == 9 * 3
    for variant in variants:
        case = variant.loaded.case
        assert (case.heater.kind, case.people.habits) == ("electric_storage", "evening")
        assert "age_years" not in case.heater.model_fields_set
        assert case.electricity.arrays[0].kw == 6.6
    default, tasmania, other = (variant.loaded.case.electricity for variant in variants[:3])
    assert default.tariff is None
    assert tasmania.tariff is not None
    assert tasmania.tariff.name == "default plan of TAS"
    assert (other.tariff, other.feed_in_price_per_kwh) == (None, 0.2)


def test_the_first_of_each_kind_is_done_before_the_others_and_order_is_kept():
    order: list[str] = []

    def run(job: str) -> str:
        order.append(job)
        return job.upper()

    jobs = ["a1", "a2", "b1", "b2", "a3"]
    told: list[tuple[int, int]] = []
    found = mapped(
        run,
        jobs,
        first=lambda job: job[0],
        name=str,
        progress=lambda done, total, what: told.append((done, total)),
        processes=1,
    )
    assert found == ["A1", "A2", "B1", "B2", "A3"]
    assert order[:2] == ["a1", "b1"]
    assert told[-1] == (5, 5)


def test_two_processes_say_what_one_says_and_a_fault_names_its_home(folder, made):
    plan = folder / "table.toml"
    assert table_of_homes(*load_plan(plan), processes=2) == made
    missing = write(
        folder / "missing.toml",
        'case_file = "home.toml"\n[[vary]]\npath = "electricity.meter_file"\n'
        'values = ["empty.csv"]\nlabels = ["metered"]\n',
    )
    write(folder / "empty.csv", "nothing,here\n1,2\n")
    with pytest.raises(Exception, match="metered"):
        table_of_homes(*load_plan(missing), processes=2)


def test_a_quick_table_is_near_the_whole_one(folder, made):
    quick = table_of_homes(*load_plan(folder / "table.toml"), quick=True, processes=1)
    assert quick.quick
    for fast, whole in zip(quick.homes, made.homes, strict=True):
        same = next(option for option in fast.options if option.id == whole.best.id)
        assert same.cost == pytest.approx(whole.best.cost, rel=0.08)


def test_different_currencies_are_not_compared(folder):
    abroad = Path(__file__).parents[2] / "examples" / "03-abroad.toml"
    plan = write(
        folder / "money.toml",
        f'case_file = \'{abroad}\'\n[[vary]]\npath = "wishes.currency"\nvalues = ["EUR", "GBP"]\n',
    )
    with pytest.raises(CaseError, match="currencies"):
        table_of_homes(*load_plan(plan))
