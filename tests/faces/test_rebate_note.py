"""What nobody told of rebates is said, once, and only where there may be some."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from tankful import service
from tankful.advice.certificates import rebate_note
from tankful.casefile.load import check_text, load_case
from tankful.casefile.resolve import resolve
from tankful.cli.show_answer import show_answer
from tankful.cli.tables import plain_console

HEAD = 'as_of = 2026-11-25\n[simulation]\nstep_min = 60\n[place]\npostcode = "2480"\n'
QUOTE = '[[quotes]]\nfamily = "heat_pump"\n'
ABROAD = Path(__file__).parents[2] / "examples" / "03-abroad.toml"


@pytest.mark.parametrize(
    ("text", "told"),
    [("", True), (QUOTE, True), (QUOTE + "rebate = 800\n", False), (QUOTE + "rebate = 0\n", False),
     ("[more_panels]\nrebate = 500\n", False)],
)  # fmt: skip
def test_rebates_are_pointed_out_until_the_case_says_something_of_them(
    text: str, told: bool
) -> None:
    home = resolve(check_text(HEAD + text, Path("home.toml")))
    assert bool(rebate_note(home)) == told


def test_abroad_nothing_is_said_of_states_and_their_rebates() -> None:
    assert rebate_note(resolve(load_case(ABROAD))) == ()


def test_the_answer_and_its_print_tell_of_rebates_once() -> None:
    loaded = check_text(HEAD, Path("home.toml"))
    answer = service.study_case(loaded, known={}).answer
    assert sum("Rebates of the state" in note for note in answer.notes) == 1
    console = plain_console()
    console.file = io.StringIO()
    show_answer(answer, console=console)
    assert console.file.getvalue().count("Rebates of the state") == 1
