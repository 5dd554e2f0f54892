"""``tankful map``: which option is the cheapest over two inputs."""

from __future__ import annotations

from pathlib import Path

import click


@click.command(short_help="Map which option is the cheapest over two inputs.")
@click.argument("case", type=click.Path(path_type=Path))
@click.option("--x", help="Input along the page, such as feed-in.")
@click.option("--y", help="Input up the page, such as price:heat_pump.")
@click.option("--x-range", nargs=2, type=float, help="Its ends; without, all that is reasonable.")
@click.option("--y-range", nargs=2, type=float, help="The same for the other.")
@click.option("--cells", default=60, show_default=True, help="Values of each input.")
@click.option("--inputs", is_flag=True, help="List the inputs of this home and stop.")
@click.option(
    "--picture",
    type=click.Path(path_type=Path),
    help="Draw the map to this file: .svg, .png or .pdf.",
)
@click.option(
    "--json", "json_file", type=click.Path(path_type=Path), help="Write the map to this file."
)
def command(
    case: Path,
    x: str | None,
    y: str | None,
    x_range: tuple[float, float] | None,
    y_range: tuple[float, float] | None,
    cells: int,
    inputs: bool,
    picture: Path | None,
    json_file: Path | None,
) -> None:
    """Map which option is the cheapest for the home described in CASE over two inputs.

    Prints the map in letters, small where the two cheapest are within the tie margin. Prices are
    settled, physics is simulated at some values with straight lines between.
    """
    from tankful import reporting
    from tankful.cli.output import is_stdout, spare_inputs, write_json
    from tankful.cli.progress import progress
    from tankful.cli.show_map import show_inputs, show_map
    from tankful.service import what_if

    if inputs:
        show_inputs(what_if.inputs(case))
        return
    if x is None or y is None:
        raise click.UsageError("a map needs --x and --y; --inputs lists what they can be")
    spare_inputs((json_file, picture), case)
    if picture is not None:
        reporting.check_picture(picture)
    with progress("Settling every pair") as step:
        found = what_if.decision_map(
            case, x, y, cells=cells, x_range=x_range, y_range=y_range, progress=step
        )
    if picture is not None:
        reporting.draw_map(found, picture)
    if json_file is not None:
        write_json(json_file, what_if.map_as_json(found))
    if json_file is None or not is_stdout(json_file):
        show_map(found)
