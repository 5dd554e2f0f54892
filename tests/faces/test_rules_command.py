"""Rules of thumb as people write and read them."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from tankful.batch.rules_file import load_rules
from tankful.batch.vary import variants_of
from tankful.cli.main import cli
from tankful.errors import CaseError, OutputError

ROOT = Path(__file__).parents[2]
TABLE = '[table]\n[table.case]\nplace.postcode = "2480"\nsimulation.step_min = 30\n'
PANELS = "electricity.arrays = [{ kw = 6.6 }]\n"
VARY = '[[table.vary]]\npath = "people.count"\nvalues = [2, 4]\n'


def rule(claim: str, when: str = "", name: str = "r") -> str:
    return f'[[rules]]\nname = "{name}"\nwhen = [{when}]\nclaim = {claim}\n'


def faults_of(tmp_path: Path, text: str) -> list[str]:
    file = tmp_path / "rules.toml"
    file.write_text(text, encoding="utf-8")

    def read() -> None:
        _, plan, written = load_rules(file)
        variants_of(plan, written)

    with pytest.raises(CaseError) as refused:
        read()
    return [
        f"{fault.line} {fault.field}: {fault.problem}; {fault.mend}"
        for fault in refused.value.faults
    ]


def test_every_unknown_word_is_told_at_once_with_its_line(tmp_path):
    text = TABLE + rule('{ cheaper = "heat pum", than = "diverter" }')
    text += rule('{ value = "savng", above = 500 }', '{ value = "state", above = "feed-inn" }')
    found = faults_of(tmp_path, text)
    assert [line.split(":")[0] for line in found] == [
        "8 rules[1].claim.cheaper",
        "11 rules[2].when[1].value",
        "11 rules[2].when[1].above",
        "12 rules[2].claim.value",
    ]
    assert all("did you mean" in line for line in (found[0], found[3]))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (TABLE, "rules: missing"),
        (rule('{ value = "saving", above = 5 }'), "need the homes of one table"),
        (TABLE + rule('{ value = "saving" }'), "says not where the value must lie"),
        (TABLE + rule("{ }"), "is not exactly one claim"),
        (TABLE + rule('{ never_best = "best" }'), "name the heaters"),
        (TABLE + rule('{ value = "saving", above = 5 }', "{ above = 3 }"), "has no value"),
        (TABLE + rule('{ value = "saving", abve = 5 }'), "did you mean above?"),
        (TABLE + rule('{ value = "saving", one_of = ["x"] }'), "is no text"),
        ('table_file = "none.toml"\n' + rule('{ never_best = "gas" }'), "no such file"),
        (TABLE + "people.count = 99\n" + rule('{ never_best = "gas" }'), "out of range"),
    ],
)
def test_an_unfit_file_of_rules_says_what_to_mend(tmp_path, text, words):
    assert any(words in fault for fault in faults_of(tmp_path, text)), faults_of(tmp_path, text)


def test_a_fault_of_the_case_stands_at_its_line_in_the_file_of_rules(tmp_path):
    found = faults_of(tmp_path, TABLE + "people.count = 99\n" + rule('{ never_best = "gas" }'))
    assert found[0].startswith("5 people.count")


def test_the_example_is_sound_and_says_that_its_rules_have_no_source():
    rules, plan, written = load_rules(ROOT / "examples" / "tables" / "rules.toml")
    assert len(rules.rules) == 6
    assert {item.source for item in rules.rules} == {"common practice, no source"}
    _, variants = variants_of(plan, written)
    assert len(variants) == 48


def test_the_command_says_where_each_rule_holds_and_fails(tmp_path):
    file, markdown = tmp_path / "rules.toml", tmp_path / "rules.md"
    file.write_text(
        'name = "Rules [bold]"\n'
        + TABLE
        + PANELS
        + VARY
        + rule('{ value = "people", below = 3 }', name="Small <b>homes</b>")
        + rule('{ cheaper = "heat pump", than = "gas" }', '{ value = "people", above = 9 }')
    )
    run = CliRunner().invoke(cli, ["rules", str(file), "--quick", "--markdown", str(markdown)])
    assert run.exit_code == 0, run.output
    assert "Rules [bold]" in run.output
    assert "Holds in 1 of 2 homes." in run.output
    assert "fails in 4: 4.0; fails by 1.0" in run.output
    assert "It speaks of none of the 2 homes." in run.output
    assert max(map(len, run.output.splitlines())) <= 80
    text = markdown.read_text()
    assert "\\<b\\>" in text
    assert "fails in 4: 4.0; fails by 1.0" in text


def test_the_report_does_not_replace_its_own_rules(tmp_path):
    file = tmp_path / "rules.toml"
    file.write_text(TABLE + rule('{ never_best = "gas" }'))
    run = CliRunner().invoke(cli, ["rules", str(file), "--markdown", str(file)])
    assert run.exit_code == OutputError.exit_code
