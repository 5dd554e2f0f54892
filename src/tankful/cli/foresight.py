"""``tankful foresight``: what the best settings miss against knowing the year ahead."""

from __future__ import annotations

from pathlib import Path

import click


@click.command(short_help="Show what the best settings save, and could save at most.")
@click.argument("case", type=click.Path(path_type=Path))
@click.option("--option", "option_id", help="Id of one option; all that can be timed otherwise.")
@click.option(
    "--json", "json_file", type=click.Path(path_type=Path), help="Write everything to this file."
)
def command(case: Path, option_id: str | None, json_file: Path | None) -> None:
    """Show what each option's best setting saves, and how much more was there to save.

    The bound is what nobody can beat: the same hot water, with the whole year's sun, weather,
    use and prices known ahead, in a tank and a heater that are kinder than real ones. With
    --json FILE everything goes to FILE; when FILE is /dev/stdout nothing else is printed there.
    """
    from tankful import service
    from tankful.cli.output import is_stdout, spare_input, write_json
    from tankful.cli.progress import progress

    spare_input(json_file, case)
    with progress("Looking ahead") as step:
        currency, found = service.foresight(case, option_id, progress=step)
    if json_file is not None:
        write_json(json_file, service.foresight_as_json(currency, found))
        if is_stdout(json_file):
            return
    from tankful.cli.show_foresight import show_foresight

    show_foresight(found, currency)
