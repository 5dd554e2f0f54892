"""``tankful flows``: the per-step series of one option, for whoever wants to look inside."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.option(
    "--option",
    "option_id",
    required=True,
    help="Id of the option, such as heat-pump-timed; a wrong one lists those of the home.",
)
@click.option(
    "--out",
    required=True,
    type=click.Path(path_type=Path),
    help="File to write; .parquet for Parquet, CSV otherwise.",
)
def command(case: Path, option_id: str, out: Path) -> None:
    """Write one simulated year of an option, step by step.

    Columns are named with their units. Time is given twice: local standard time, in which
    the physics runs, and the time on the clock, in which people and tariffs live.
    """
    from tankful import service
    from tankful.cli.output import is_stdout, spare_input, write_frame
    from tankful.cli.progress import progress

    spare_input(out, case)
    with progress("Simulating"):
        frame = service.flows_frame(case, option_id)
    write_frame(out, frame)
    if not is_stdout(out):
        click.echo(f"{len(frame):,} steps of {option_id} written to {out}", err=True)
