"""``tankful advise``: simulate, settle and rank every option of a home."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.option(
    "--json", "json_file", type=click.Path(path_type=Path), help="Write everything to this file."
)
@click.option(
    "--all-sources", is_flag=True, help="List every assumption, not only those that weigh most."
)
@click.option("--reasons", is_flag=True, help="Tell reasons and cautions of every option in full.")
@click.option("--bills", is_flag=True, help="Also print the home's bills month by month.")
def command(
    case: Path, json_file: Path | None, all_sources: bool, reasons: bool, bills: bool
) -> None:
    """Rank every way to heat the water of the home described in CASE.

    Prints the ranking with costs, energy and reasons. With --json FILE everything goes to
    FILE; when FILE is /dev/stdout nothing else is printed there.
    """
    from tankful import service
    from tankful.cli.output import is_stdout, spare_input, write_json
    from tankful.cli.progress import progress

    spare_input(json_file, case)
    with progress("Simulating a year of every option") as step:
        answer = service.advise(case, progress=step)
    if json_file is not None:
        write_json(json_file, service.answer_as_json(answer))
        if is_stdout(json_file):
            return
    from tankful.cli.show_answer import show_answer

    show_answer(answer, all_sources=all_sources, bills=bills, reasons=reasons)
