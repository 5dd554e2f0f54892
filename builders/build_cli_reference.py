"""Write docs/cli.md from the help texts of the command line, or check that it is up to date.

python builders/build_cli_reference.py           writes the file
python builders/build_cli_reference.py --check   exits 1 when it differs
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import click

from tankful.cli.main import COMMANDS, cli
from tankful.errors import TankfulError

TARGET = Path(__file__).parent.parent / "docs" / "cli.md"
WIDTH = 78
"""What click leaves of a terminal of 80 columns."""
REMEDY = "run `make docs` and commit docs/cli.md"


def help_text(command: click.Command, parent: click.Context | None, name: str) -> str:
    """Help of one command as a terminal of 80 columns shows it."""
    settings = {**command.context_settings, "terminal_width": WIDTH, "max_content_width": WIDTH}
    with click.Context(command, parent=parent, info_name=name, **settings) as context:
        return command.get_help(context).rstrip()


def chapter(command: click.Command, parent: click.Context, name: str) -> Iterator[str]:
    """Heading and help of a command, then of the commands below it."""
    context = click.Context(command, parent=parent, info_name=name)
    yield f"## {context.command_path}"
    yield f"```text\n{help_text(command, parent, name)}\n```"
    if isinstance(command, click.Group):
        for below in command.list_commands(context):
            part = command.get_command(context, below)
            assert part is not None
            yield from chapter(part, context, below)


def exit_codes() -> Iterator[str]:
    """Rows of the exit code table, from the error tree."""
    yield "| 0 | the command did what was asked |"
    yield "| 1 | something the program did not foresee, or for `proof` a check that fails |"
    codes: dict[int, list[str]] = {2: ["The command line itself is wrong."]}
    for error in TankfulError.__subclasses__():
        codes.setdefault(error.exit_code, []).append((error.__doc__ or "").strip())
    for code, reasons in sorted(codes.items()):
        yield f"| {code} | {' '.join(reasons)} |"


def reference() -> str:
    """The whole document."""
    root = click.Context(cli, info_name="tankful", **cli.context_settings)
    parts = [
        "# Commands",
        "Made from the program's own help by `make docs`; do not edit.",
        f"```text\n{help_text(cli, None, 'tankful')}\n```",
    ]
    for name in COMMANDS:
        command = cli.get_command(root, name)
        assert command is not None
        parts.extend(chapter(command, root, name))
    parts.append("## Exit codes")
    parts.append("\n".join(["| code | meaning |", "|---|---|", *exit_codes()]))
    return "\n\n".join(parts) + "\n"


def main(arguments: list[str]) -> int:
    text = reference()
    if arguments == ["--check"]:
        found = TARGET.read_text(encoding="utf-8") if TARGET.exists() else ""
        if found == text:
            print("docs/cli.md is up to date")
            return 0
        print(f"docs/cli.md is not what the program says of itself: {REMEDY}", file=sys.stderr)
        return 1
    if arguments:
        print(__doc__, file=sys.stderr)
        return 2
    TARGET.parent.mkdir(exist_ok=True)
    TARGET.write_text(text, encoding="utf-8")
    print(f"{len(text.splitlines())} lines written to docs/cli.md")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
