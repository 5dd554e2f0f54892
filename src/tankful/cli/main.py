"""The command ``tankful``: starts fast, loads a command only when it is called."""

from __future__ import annotations

import errno
import io
import sys
import textwrap
from importlib import import_module
from typing import Any

import click

from tankful import __version__
from tankful.errors import OutputError, TankfulError

COMMANDS = {
    "new": "tankful.cli.new",
    "check": "tankful.cli.check",
    "advise": "tankful.cli.advise",
    "compare": "tankful.cli.compare",
    "panels": "tankful.cli.panels",
    "flips": "tankful.cli.flips",
    "map": "tankful.cli.map",
    "futures": "tankful.cli.futures",
    "table": "tankful.cli.table",
    "rules": "tankful.cli.rules",
    "flows": "tankful.cli.flows",
    "foresight": "tankful.cli.foresight",
    "weather": "tankful.cli.weather",
    "proof": "tankful.cli.proof",
    "desk": "tankful.desk.command",
}
"""Name to module; each module holds a click command called ``command``. The desk is a face of its
own, known here by its name alone."""

WIDTH = 80


class CommandGroup(click.Group):
    """Imports the module of a command on demand, and turns user faults into messages."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = import_module(COMMANDS[cmd_name]).command
        return command

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except TankfulError as fault:
            click.echo(wrapped(str(fault)), err=True)
            ctx.exit(fault.exit_code)
        except OSError as error:
            if error.errno != errno.ENOSPC:
                raise
            click.echo("The result could not be written: no space is left.", err=True)
            ctx.exit(OutputError.exit_code)


def wrapped(text: str) -> str:
    """Text at 80 columns: words stay whole, and continued lines keep their indent.

    What a terminal would obey rather than show appears as an escape.
    """
    from tankful.casefile.read import printable

    lines = []
    for line in map(printable, text.split("\n")):
        indent = line[: len(line) - len(line.lstrip())]
        lines += textwrap.wrap(
            line,
            WIDTH,
            subsequent_indent=indent + "  ",
            break_long_words=False,
            break_on_hyphens=False,
        ) or [""]
    return "\n".join(lines)


@click.group(cls=CommandGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="tankful")
def cli() -> None:
    """How to heat a home's water with the sun.

    Simulates a year of every option on the home's own weather, hot water, house load and
    tariffs, settles the bills, ranks the options and says why. Start with: tankful new
    home.toml
    """


def main() -> None:
    """Entry point of the console script."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # what its encoding lacks appears as an escape
            stream.reconfigure(errors="backslashreplace")
    cli()
