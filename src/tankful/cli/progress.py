"""Progress on long work: on a terminal only, and never among the results."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

Step = Callable[[int, int, str], None]


@contextmanager
def progress(title: str) -> Iterator[Step]:
    """Yield a function to call with (done, total, what); draws a bar on a terminal's stderr."""
    if not sys.stderr.isatty():
        yield lambda done, total, what: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    columns = (TextColumn("{task.description}"), BarColumn(24), MofNCompleteColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(title, total=None)

        def step(done: int, total: int, what: str) -> None:
            bar.update(task, completed=done, total=total, description=f"{title}: {what}"[:48])

        yield step
