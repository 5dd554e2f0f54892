"""``tankful proof``: the program's own checks against the outside world."""

from __future__ import annotations

import sys
from pathlib import Path

import click


@click.command()
@click.option(
    "--json", "json_file", type=click.Path(path_type=Path), help="Write every check to this file."
)
def command(json_file: Path | None) -> None:
    """Compare the program with published numbers and laws.

    Also with reference libraries. Every check names its source and what it rests on. The
    exit code is 1 when any check fails. With --json FILE everything goes to FILE; when FILE
    is /dev/stdout nothing else is printed there.
    """
    from tankful import __version__
    from tankful.cli.output import is_stdout, write_json
    from tankful.cli.progress import progress
    from tankful.proof.catalogue import all_claims

    claims = list(all_claims())
    checks = []
    with progress("Checking") as step:
        for done, (topic, claim) in enumerate(claims):
            step(done, len(claims), claim.id)
            checks.append((topic, claim.run()))
    if json_file is not None:
        rows = [check.as_json() for _, check in checks]
        write_json(json_file, {"checks": rows, "version": __version__})
    if json_file is None or not is_stdout(json_file):
        from tankful.cli.show_proof import show_proof

        show_proof(checks)
    if not all(check.passed for _, check in checks):
        sys.exit(1)
