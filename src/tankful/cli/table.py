"""``tankful table``: the same home across places, people and tariffs."""

from __future__ import annotations

from pathlib import Path

import click

FILE = click.Path(path_type=Path)


def _words(ctx: click.Context, _param: click.Parameter, wanted: bool) -> None:
    if wanted:
        from tankful.cli.show_table import show_words

        show_words()
        ctx.exit()


@click.command()
@click.argument("plan", type=FILE)
@click.option("--csv", "csv_file", type=FILE, help="Write the table to this CSV file.")
@click.option("--markdown", "markdown_file", type=FILE, help="Write it as Markdown.")
@click.option("--picture", "picture_file", type=FILE, help="Draw it: .svg, .png or .pdf.")
@click.option("--json", "json_file", type=FILE, help="Write every option of every home.")
@click.option(
    "--quick", is_flag=True, help="Estimate: a longer step, few settings of each option tried."
)
@click.option(
    "--words",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_words,
    help="List the words for columns and rules, and stop.",
)
def command(
    plan: Path,
    csv_file: Path | None,
    markdown_file: Path | None,
    picture_file: Path | None,
    json_file: Path | None,
    quick: bool,
) -> None:
    """Advise one home in many variations and show them as a table.

    PLAN is a TOML file: a base case (case_file, or a section [case]), places (postcodes, or
    "capitals"), and sections [[vary]], each with a path of a field of the case and its values,
    with plans, or with choices of several keys. Every combination is a home, at most 400; each
    takes a few seconds. The key columns says what is shown, in words such as "best", "cost",
    "saving", "margin", "sun share of diverter" (--words lists them). With - or /dev/stdout for
    a file nothing else is printed there.
    """
    from tankful import reporting
    from tankful.cli.output import is_stdout, spare_inputs, write_json, write_text
    from tankful.cli.progress import progress
    from tankful.cli.show_table import show_table
    from tankful.cli.write_table import csv_text, markdown_text
    from tankful.service import homes_table

    files = (csv_file, markdown_file, picture_file, json_file)
    spare_inputs(files, plan)
    read, written, columns = homes_table.read_plan(plan)
    spare_inputs(files, plan.parent / (read.case_file or plan.name))
    if picture_file is not None:
        reporting.check_homes_picture(picture_file, read.count)
    with progress("Advising homes") as step:
        table = homes_table.table_of_homes(read, written, quick=quick, progress=step)
    if csv_file is not None:
        write_text(csv_file, csv_text(table, columns))
    if markdown_file is not None:
        write_text(markdown_file, markdown_text(table, columns))
    if picture_file is not None:
        reporting.write_homes_picture(table, picture_file)
    if json_file is not None:
        write_json(json_file, homes_table.table_as_json(table))
    if not any(file is not None and is_stdout(file) for file in files):
        show_table(table, columns)
