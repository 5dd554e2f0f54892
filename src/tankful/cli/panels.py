"""``tankful panels``: new or more solar panels beside each water heater."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.option(
    "--json", "json_file", type=click.Path(path_type=Path), help="Write the study to this file."
)
def command(case: Path, json_file: Path | None) -> None:
    """Weigh new or more solar panels for the home described in CASE.

    Prices each size of new panels by itself and beside each water heater. What the panels save
    the house anyway is not credited to hot water. Prices, sizes and limits are those of the
    section more_panels of the case. With --json FILE the study goes to FILE; when FILE is
    /dev/stdout nothing else is printed there.
    """
    from dataclasses import asdict

    from tankful import service
    from tankful.cli.output import is_stdout, spare_input, write_json
    from tankful.cli.progress import progress

    spare_input(json_file, case)
    with progress("Weighing new panels") as step:
        name, study, assumed = service.study_panels(case, progress=step)
    if json_file is not None:
        record = {"case_name": name, **asdict(study), "assumptions": [vars(a) for a in assumed]}
        write_json(json_file, record)
        if is_stdout(json_file):
            return
    from tankful.cli.show_panels import show_panels

    show_panels(name, study, assumed)
