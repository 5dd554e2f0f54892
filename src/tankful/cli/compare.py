"""``tankful compare``: two cases and their answers beside each other."""

from __future__ import annotations

from pathlib import Path

import click

FILE = click.Path(path_type=Path)


@click.command()
@click.argument("first", type=FILE)
@click.argument("second", type=FILE)
@click.option("--json", "json_file", type=FILE, help="Write the comparison to this file.")
def command(first: Path, second: Path, json_file: Path | None) -> None:
    """Compare the homes described in the cases FIRST and SECOND.

    For a home before and after a quote, with and without a battery, or two homes: whether the
    best changes, what the cases say otherwise, and what each option costs in both. With --json
    FILE the comparison goes to FILE; when FILE is /dev/stdout nothing else is printed there.
    """
    from tankful.cli.output import is_stdout, spare_inputs, write_json
    from tankful.cli.progress import progress
    from tankful.service import versus

    spare_inputs((json_file,), first, second)
    with progress("Comparing") as step:
        found = versus.compare_cases(first, second, progress=step)
    if json_file is not None:
        write_json(json_file, versus.compared_as_json(found))
        if is_stdout(json_file):
            return
    from tankful.cli.show_versus import show_versus

    show_versus(found)
