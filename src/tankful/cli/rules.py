"""``tankful rules``: rules of thumb held against many homes."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from tankful.model.rules import RulesReport

FILE = click.Path(path_type=Path)


@click.command(short_help="Hold rules of thumb against many homes.")
@click.argument("rules", type=FILE)
@click.option("--markdown", "markdown_file", type=FILE, help="Write the report as Markdown.")
@click.option("--json", "json_file", type=FILE, help="Write every verdict and every home.")
@click.option("--all", "tell_all", is_flag=True, help="Tell every home in which a rule fails.")
@click.option(
    "--quick", is_flag=True, help="Estimate: a longer step, few settings of each option tried."
)
def command(
    rules: Path, markdown_file: Path | None, json_file: Path | None, tell_all: bool, quick: bool
) -> None:
    """Hold rules of thumb against many homes: where each holds, where it fails, by how much.

    RULES is a TOML file: the homes (table_file, or a section [table], as for tankful table) and
    sections [[rules]] with a name, the rule's words and source, conditions in when, and a claim:
    { cheaper = "heat pump", than = "diverter" }, { never_best = "diverter" }, or a value with
    above, below, at_least, at_most, such as { value = "saving", above = 500 }.
    """
    from tankful.cli.output import is_stdout, spare_inputs, write_json, write_text
    from tankful.cli.progress import progress
    from tankful.cli.write_rules import markdown_rules
    from tankful.service import homes_table

    files = (markdown_file, json_file)
    spare_inputs(files, rules)
    read, plan, written = homes_table.read_rules(rules)
    base = written.path.parent / (plan.case_file or written.path.name)
    spare_inputs(files, written.path, base)
    with progress("Advising homes") as step:
        report = homes_table.hold_rules(read, plan, written, quick=quick, progress=step)
    if markdown_file is not None:
        write_text(markdown_file, markdown_rules(report))
    if json_file is not None:
        write_json(json_file, homes_table.rules_as_json(report))
    if not any(file is not None and is_stdout(file) for file in files):
        _show(report, tell_all=tell_all)


def _show(report: RulesReport, *, tell_all: bool) -> None:
    """Print each rule with where it fails, at 80 columns."""
    from rich.padding import Padding
    from rich.text import Text

    from tankful.casefile.read import printable
    from tankful.cli.tables import listed, plain_console
    from tankful.cli.write_rules import FAILS_TOLD, head_sentence, homes_sentence, rule_lines

    out = plain_console()
    out.print(Text(printable(report.name), style="bold"))
    out.print(Text(printable(homes_sentence(report))))
    for number, rule in enumerate(report.rules, start=1):
        out.print()
        out.print(Text(printable(f"{number}. {rule.name}"), style="bold"))
        said = f"{rule.words} " if rule.words else ""
        out.print(Padding(Text(printable(f"{said}({rule.source})"), style="dim"), (0, 0, 0, 3)))
        out.print(Padding(Text(head_sentence(rule, len(report.table.homes))), (0, 0, 0, 3)))
        most = len(rule.verdicts) if tell_all else FAILS_TOLD
        out.print(listed(list(rule_lines(rule, report.table.currency, most))))
