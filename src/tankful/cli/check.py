"""``tankful check``: every fault of a case, or what was understood of it."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

import click

from tankful.errors import TankfulError


@click.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.option(
    "--json", "json_file", type=click.Path(path_type=Path), help="Write the findings to this file."
)
@click.option(
    "--all-sources", is_flag=True, help="List every default, not only those that weigh most."
)
def command(case: Path, json_file: Path | None, all_sources: bool) -> None:
    """Check the home described in CASE without simulating it.

    Prints every fault with its line and how to mend it; or, for a sound case, what was
    understood and what the case leaves to defaults, those that weigh most with their
    sources. With --json FILE all findings go to FILE; when FILE is /dev/stdout nothing else
    is printed there.
    """
    from tankful.casefile.load import load_case
    from tankful.casefile.resolve import list_defaults, resolve
    from tankful.casefile.summary import summary
    from tankful.cli.output import is_stdout, spare_input, write_json

    spare_input(json_file, case)
    try:
        loaded = load_case(case)
        home = resolve(loaded)
    except TankfulError as error:
        if json_file is not None:
            faults = [vars(fault) for fault in error.faults]
            write_json(json_file, {"sound": False, "message": error.message, "faults": faults})
        raise
    understood, assumed = summary(home), list_defaults(loaded, home)
    if json_file is not None:
        record = {
            "sound": True,
            "name": home.case.name,
            "as_of": home.as_of,
            "understood": understood,
            "calibration": home.calibration and asdict(home.calibration),
            "notes": home.notes,
            "assumptions": [vars(item) for item in assumed],
        }
        write_json(json_file, record)
        if is_stdout(json_file):
            return
    from tankful.cli.show_check import show_check

    show_check(home.case.name, understood, home.notes, assumed, all_sources=all_sources)
