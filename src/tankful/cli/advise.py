"""``tankful advise``: simulate, settle and rank every option of a home."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from tankful.model.answer import Answer

FILE = click.Path(path_type=Path)


@click.command()
@click.argument("case", type=FILE)
@click.option("--json", "json_file", type=FILE, help="Write everything to this file.")
@click.option(
    "--pdf", "pdf_file", type=FILE, help="Write the household's report to this file, for print."
)
@click.option(
    "--html", "html_file", type=FILE, help="Write the same report as a page for the screen."
)
@click.option(
    "--branding",
    "branding_file",
    type=FILE,
    help="TOML file with the adviser's name, contact, logo, accent, foreword, closing.",
)
@click.option(
    "--quick",
    is_flag=True,
    help="Leave out of the report what takes half a minute: what would change the answer.",
)
@click.option(
    "--short",
    is_flag=True,
    help="Make the report a short one: what to do, without the year's pictures and the details.",
)
@click.option(
    "--all-sources", is_flag=True, help="List every assumption, not only those that weigh most."
)
@click.option("--reasons", is_flag=True, help="Tell reasons and cautions of every option in full.")
@click.option("--bills", is_flag=True, help="Also print the home's bills month by month.")
def command(
    case: Path,
    json_file: Path | None,
    pdf_file: Path | None,
    html_file: Path | None,
    branding_file: Path | None,
    quick: bool,
    short: bool,
    all_sources: bool,
    reasons: bool,
    bills: bool,
) -> None:
    """Rank every way to heat the water of the home described in CASE.

    Prints the ranking with costs, energy and reasons. With --json FILE everything goes to
    FILE; when FILE is /dev/stdout nothing else is printed there. With --pdf or --html the
    report that the household keeps is written too.
    """
    from tankful.cli.output import is_stdout, spare_inputs, write_json

    if branding_file is not None and pdf_file is None and html_file is None:
        raise click.UsageError("--branding is for the report: add --pdf or --html")
    if short and pdf_file is None and html_file is None:
        raise click.UsageError("--short is for the report: add --pdf or --html")
    spare_inputs((json_file, pdf_file, html_file), case, branding_file)
    answer = _advise(case, pdf_file, html_file, branding_file, quick=quick, short=short)
    if json_file is not None:
        from tankful import service

        write_json(json_file, service.answer_as_json(answer))
        if is_stdout(json_file):
            return
    from tankful.cli.show_answer import show_answer

    show_answer(answer, all_sources=all_sources, bills=bills, reasons=reasons)


def _advise(
    case: Path,
    pdf: Path | None,
    html: Path | None,
    branding: Path | None,
    *,
    quick: bool,
    short: bool,
) -> Answer:
    """The answer; the report is written on the way when it is asked for."""
    from tankful import reporting, service
    from tankful.cli.progress import progress

    with progress("Simulating a year of every option") as step:
        if pdf is None and html is None:
            return service.advise(case, progress=step)
        brand = reporting.read_branding(branding)  # its faults are told before the long work
        found = service.study(case, progress=step)
    with progress("Writing the report") as step:
        reporting.write_report(
            found, pdf=pdf, html=html, branding=brand, quick=quick, short=short, progress=step
        )
    return found.answer
