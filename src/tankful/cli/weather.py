"""``tankful weather``: fetch a year of weather when online, and look at a weather file."""

from __future__ import annotations

from pathlib import Path

import click

from tankful.cli.numbers import NumberBetween


@click.group()
def command() -> None:
    """Fetch a year of weather when online, or look at a weather file."""


@command.command()
@click.option(
    "--from",
    "service_name",
    type=click.Choice(["pvgis", "nasa_power"]),
    default="pvgis",
    show_default=True,
    help="Public service to ask.",
)
@click.option("--latitude", type=NumberBetween(-66, 66), required=True, help="North positive.")
@click.option("--longitude", type=NumberBetween(-180, 180), required=True, help="East positive.")
@click.option("--out", type=click.Path(path_type=Path), help="Also copy the file here.")
def fetch(service_name: str, latitude: float, longitude: float, out: Path | None) -> None:
    """Fetch a year of hourly weather for a place into your cache.

    Prints the name of the file, to be given as weather_file in a case.
    """
    from tankful import service
    from tankful.cli.output import write_text

    path = service.fetch_weather_file(service_name, latitude, longitude)
    if out is not None:
        write_text(out, path.read_text(encoding="utf-8"))
    click.echo(out or path)


@command.command()
@click.argument("file", type=click.Path(path_type=Path))
def show(file: Path) -> None:
    """Say what is in a weather FILE.

    Its place, yearly sun, temperatures and remarks.
    """
    from tankful import service
    from tankful.casefile.read import printable

    for line in service.weather_summary(file):
        click.echo(printable(line))
