"""``tankful flips``: what another value of each input would change."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.option(
    "--json", "json_file", type=click.Path(path_type=Path), help="Write the flips to this file."
)
def command(case: Path, json_file: Path | None) -> None:
    """Find where the answer for the home described in CASE flips.

    For each input that may matter, all else as it is: the nearest value at which another option
    is the cheapest, or that there is none within reason. Prices are settled again, with the
    setting that is then best; use, panels and heat pump yield are simulated and advised anew on
    both sides of a flip.
    """
    from tankful.cli.output import is_stdout, spare_input, write_json
    from tankful.cli.progress import progress
    from tankful.service import what_if

    spare_input(json_file, case)
    with progress("Turning every input") as step:
        found = what_if.flips(case, progress=step)
    if json_file is not None:
        write_json(json_file, what_if.flips_as_json(found))
        if is_stdout(json_file):
            return
    from tankful.cli.show_what_if import show_flips

    show_flips(found)
