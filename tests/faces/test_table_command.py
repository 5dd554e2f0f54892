"""Tables of homes as people meet them: their faults, and text that stays text."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from html import escape
from pathlib import Path

import pytest
from click.testing import CliRunner
from markdown_it import MarkdownIt

from tankful import reporting
from tankful.batch.plan import load_plan
from tankful.batch.values import HOME_WORDS, OPTION_WORDS, parse
from tankful.batch.vary import variants_of
from tankful.cli.main import cli
from tankful.cli.write_table import csv_text, markdown_text
from tankful.errors import CaseError, OutputError
from tankful.model.table import HomeRow, HomesTable, OptionRow
from tankful.service.homes_table import read_plan

ROOT = Path(__file__).parents[2]
HOSTILE = "=cmd|' /C calc'!A0 <script>x</script> [a](javascript:b) | \\ `c` &lt; *d*\x1b[31m"


def option(name: str, cost: float, rank: int, *, tied: bool = False) -> OptionRow:
    return OptionRow(
        name, f"Label of {name}", rank, tied, True, 0.0, 100.0, cost, None, 1.0, 2.0, 0.0, 0.5, 3,
        None,
    )  # fmt: skip


def home(*labels: str, tied: bool = False) -> HomeRow:
    options = (
        option("heat-pump-timed", 5000.0, 1, tied=tied),
        option("electric-diverter", 5040.0, 1 if tied else 2, tied=tied),
        option("keep", 12000.0, 3),
    )
    return HomeRow(
        labels, "Somewhere", "2000", "NSW", -33.9, 4, 18.0, 6.6, 9000.0, 6000.0, 7000.0, 0.33,
        None, 0.05, 0.16, 40.0, 50.0, options,
    )  # fmt: skip


TABLE = HomesTable("A table", "AUD", 15, ("Place", "People"), (home("Sydney", "-2"),), False)


def columns(*texts: str):
    return [parse(text, "columns") for text in texts]


def test_csv_holds_plain_numbers_with_units_in_the_heads():
    text = csv_text(
        TABLE, columns("best", "cost of today", "margin", "sun share", "off-peak price")
    )
    heads, row = csv.reader(io.StringIO(text))
    assert heads[2:] == [
        "best", "cost of today (AUD)", "margin (AUD)", "sun share", "off-peak price (AUD/kWh)",
        "tied with",
    ]  # fmt: skip
    assert row[2:] == ["Label of heat-pump-timed", "12000.00", "40.00", "0.5000", "", ""]


@pytest.mark.parametrize("start", ["=1+1", "+cmd", "-1+1", "@SUM(A1)", HOSTILE])
def test_text_that_a_spreadsheet_would_run_gets_an_apostrophe(start):
    table = replace(TABLE, heads=(start, "People"), homes=(home(start, "-2"),))
    heads, row = csv.reader(io.StringIO(csv_text(table, columns("best"))))
    assert heads[0].startswith("'")
    assert row[0].startswith("'")
    assert row[1] == "-2"
    assert "\x1b" not in row[0]


@pytest.mark.parametrize(
    "text",
    [
        HOSTILE,
        "1. a",
        "- a",
        "+ a",
        "=a",
        "# a",
        "> a",
        "www.a.b",
        "a@b.c",
        "http://a.b",
        "~a~",
        "![a](b)",
    ],
)
def test_markdown_shows_user_text_as_it_is_and_keeps_its_cells(text):
    """Against a reader of CommonMark with tables and struck-out text."""
    table = replace(TABLE, name=text, homes=(home(text, "2\n3"),))
    page = MarkdownIt("gfm-like", {"linkify": False}).render(
        markdown_text(table, columns("best", "cost"))
    )
    plain = "".join(ch if ch.isprintable() else ascii(ch)[1:-1] for ch in text)
    assert f"<h2>{escape(plain, quote=False)}</h2>" in page.replace("&quot;", '"')
    assert f"<td>{escape(plain, quote=False)}</td>" in page.replace("&quot;", '"')
    assert page.count("<td") == 4


def test_ties_are_marked_and_named():
    table = replace(TABLE, homes=(home("Sydney", "2", tied=True), home("Perth", "2")))
    text = markdown_text(table, columns("best"))
    assert text.count("Label of heat-pump-timed \\*") == 1
    assert "tied with it" in text
    assert csv_text(table, columns("best")).splitlines()[1].endswith(",Label of electric-diverter")


@pytest.mark.parametrize(
    ("suffix", "start"), [(".svg", b"<svg"), (".png", b"\x89PNG"), (".pdf", b"%PDF")]
)
def test_a_picture_is_what_its_name_says_and_the_same_each_time(tmp_path, suffix, start):
    file = tmp_path / f"picture{suffix}"
    table = replace(TABLE, name=HOSTILE, homes=(home(HOSTILE, "2", tied=True), home("Perth", "4")))
    reporting.write_homes_picture(table, file)
    content = file.read_bytes()
    assert content.startswith(start)
    if suffix == ".svg":
        assert b"<script" not in content
        assert b"people 4" in content
        reporting.write_homes_picture(table, file)
        assert file.read_bytes() == content


@pytest.mark.parametrize(("name", "homes"), [("picture.gif", 2), ("picture.svg", 61)])
def test_a_picture_is_refused_before_the_work(name, homes):
    with pytest.raises(OutputError):
        reporting.check_homes_picture(Path(name), homes)


def faults_of(tmp_path: Path, text: str) -> list[str]:
    plan = tmp_path / "plan.toml"
    plan.write_text(text, encoding="utf-8")

    def read() -> None:
        found, written, _ = read_plan(plan)
        variants_of(found, written)

    with pytest.raises(CaseError) as refused:
        read()
    return [
        f"{fault.line} {fault.field} {fault.problem} {fault.mend}" for fault in refused.value.faults
    ]


def test_faults_of_every_home_come_at_once_at_the_line_that_brought_them(tmp_path):
    found = faults_of(
        tmp_path,
        'places = ["2480", "3000"]\n[case]\npeople.count = 50\n[[vary]]\n'
        'path = "electricity.arrays[1].kw"\nvalues = [6.6, -3.0, "much"]\n'
        '[[vary]]\nchoices = [{ name = "x", set = { heeter.kind = "none" } }]\n',
    )
    assert [text.split()[:2] for text in found] == [
        ["8", "heeter"],
        ["3", "people.count"],
        ["6", "electricity.arrays[1].kw"],
        ["6", "electricity.arrays[1].kw"],
    ]


def test_a_fault_of_some_homes_names_them(tmp_path):
    found = faults_of(
        tmp_path,
        'places = ["2480"]\n[case]\nconstraints.keep_gas = true\n[[vary]]\n'
        'path = "constraints.no_gas"\nvalues = [true, false]\nlabels = ["kept", "left"]\n',
    )
    assert any("kept" in text for text in found)
    assert not any("left" in text.split("in ")[-1] for text in found)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('case_file = "a.toml"\n[case]\n', "needs one base case"),
        ("", "needs one base case"),
        ("[case]\ncolums = 3\n[[vary]]\n", "not exactly one thing"),
        ('[case]\n[[vary]]\nplans = ["default"]\nlabels = ["a", "b"]\n', "one label for each"),
        ('colums = ["best"]\n[case]\n', "did you mean columns?"),
        ('places = ["9999"]\n[case]\n', "no such Australian postcode"),
        ('columns = ["cost of heat pum"]\n[case]\n', 'did you mean "heat pump"?'),
        ('columns = ["feed-in of best"]\n[case]\n', 'write "feed-in" alone'),
        (
            'places = ["2480"]\n[case]\n[[vary]]\npath = "a..b"\nvalues = [1]\n',
            "no path of a field",
        ),
        ('places = ["2480"]\n[case]\n[[vary]]\nplans = ["none.toml"]\n', "no such file"),
        (
            'places = ["2480"]\n[case]\n[[vary]]\npath = "electricity.arrays[3].kw"\n'
            "values = [1.0]\n",
            "nothing can be set there",
        ),
        (
            '[case]\n[[vary]]\npath = "people.seed"\nvalues = ['
            + ",".join(map(str, range(21)))
            + ']\n[[vary]]\npath = "people.count"\nvalues = ['
            + ",".join(map(str, range(20)))
            + "]\n",
            "420 homes are too many",
        ),
        (
            'places = ["2480"]\n[case]\n[[vary]]\nchoices = [{ name = "x", set = '
            + "{ a = " * 200
            + "1"
            + " }" * 200
            + " }]\n",
            "no such key",
        ),
    ],
)
def test_an_unfit_plan_says_what_to_mend(tmp_path, text, words):
    assert any(words in fault for fault in faults_of(tmp_path, text)), faults_of(tmp_path, text)


@pytest.mark.parametrize(
    "content", [b"\x00\xff" * 9, b"\xff\xfe[\x00c\x00", b'name = "x', b"[case"]
)
def test_a_file_that_is_no_plan_is_a_fault_of_the_user(tmp_path, content):
    plan = tmp_path / "plan.toml"
    plan.write_bytes(content)
    run = CliRunner().invoke(cli, ["table", str(plan)])
    assert run.exit_code == CaseError.exit_code
    assert "mend:" in run.output


def test_the_table_does_not_replace_its_own_plan_or_base_case(tmp_path):
    plan, case = tmp_path / "plan.toml", tmp_path / "home.toml"
    plan.write_text('case_file = "home.toml"\n')
    case.write_text('place.postcode = "2480"\n')
    for file in (plan, case):
        run = CliRunner().invoke(cli, ["table", str(plan), "--csv", str(file)])
        assert run.exit_code == OutputError.exit_code


def test_the_example_is_sound():
    plan, written = load_plan(ROOT / "examples" / "tables" / "capitals.toml")
    heads, variants = variants_of(plan, written)
    assert heads == ("Place", "For")
    assert len(variants) == plan.count == 16


def test_the_command_prints_and_writes_the_table(tmp_path):
    plan = tmp_path / "plan.toml"
    plan.write_text(
        'name = "Two [homes]"\n[case]\nplace.postcode = "2480"\nsimulation.step_min = 30\n'
        '[[vary]]\npath = "people.count"\nvalues = [2, 4]\n'
    )
    out = tmp_path / "out.csv"
    run = CliRunner().invoke(cli, ["table", str(plan), "--quick", "--csv", str(out)])
    assert run.exit_code == 0, run.output
    assert "Two [homes]" in run.output
    assert max(map(len, run.output.splitlines())) <= 80
    assert len(out.read_text().splitlines()) == 3
    run = CliRunner().invoke(cli, ["table", str(plan), "--quick", "--csv", "-"])
    assert run.output == out.read_text()


def test_every_word_for_columns_is_listed():
    run = CliRunner().invoke(cli, ["table", "--words"])
    assert run.exit_code == 0
    for word in (*HOME_WORDS, *OPTION_WORDS):
        assert f"  {word} " in run.output, word
    assert max(map(len, run.output.splitlines())) <= 80
