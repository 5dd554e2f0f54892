"""``tankful futures``: how sure the answer is."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.option("--draws", default=200, show_default=True, help="How many futures to draw.")
@click.option("--seed", default=1, show_default=True, help="Starting number of the draws.")
@click.option(
    "--json", "json_file", type=click.Path(path_type=Path), help="Write everything to this file."
)
def command(case: Path, draws: int, seed: int, json_file: Path | None) -> None:
    """Draw many futures for the home described in CASE.

    Prices and their growth, quotes, lives, use, weather and performance are drawn together; every
    option meets the same draws. Prints how often each is the cheapest, what the best saves, and
    what that hangs on.
    """
    from tankful.cli.output import is_stdout, spare_input, write_json
    from tankful.cli.progress import progress
    from tankful.service import what_if

    spare_input(json_file, case)
    with progress("Drawing futures") as step:
        found = what_if.futures(case, draws=draws, seed=seed, progress=step)
    if json_file is not None:
        write_json(json_file, what_if.futures_as_json(found))
        if is_stdout(json_file):
            return
    from tankful.cli.show_what_if import show_futures

    show_futures(found)
