"""Write the sample home's answer into README.md: head and table of costs, and the first reasons.

Run ``python builders/build_readme_answer.py`` after numbers moved.
"""

from __future__ import annotations

import re
from io import StringIO
from pathlib import Path

from rich.console import Console

from tankful import service
from tankful.cli.show_answer import show_answer
from tankful.cli.tables import WIDTH
from tankful.model.answer import Answer

ROOT = Path(__file__).parents[1]
README = ROOT / "README.md"
SAMPLE = ROOT / "examples" / "01-sample-home.toml"
COSTS = re.compile(r"(?<=```\n)Sample home: how to heat the water\n.*?(?=```)", re.DOTALL)
REASONS = re.compile(r"(?<=```\n)1=? +[^\n]*\n    \$.*?(?=```)", re.DOTALL)


def printed(answer: Answer) -> str:
    """What ``tankful advise`` prints, without trailing blanks."""
    out = StringIO()
    show_answer(answer, console=Console(file=out, width=WIDTH, highlight=False, markup=False))
    return "".join(f"{line.rstrip()}\n" for line in out.getvalue().splitlines())


def costs(text: str) -> str:
    """Head, table of costs and the notes below it."""
    return text[: re.search(r"\n\n[^\n]*\n[^\n]*Energy a year", text).start() + 1]


def reasons(text: str) -> str:
    """The best option, step by step."""
    start = text.index("\nWhy\n") + len("\nWhy\n")
    return text[start : re.search(r"\n2 ", text[start:]).start() + start + 1]


def main() -> None:
    text = README.read_text(encoding="utf-8")
    answer = printed(service.advise(SAMPLE))
    for block, part in ((COSTS, costs), (REASONS, reasons)):
        fresh = part(answer)
        text, count = block.subn(lambda _, fresh=fresh: fresh, text)
        assert count == 1, f"README.md has {count} places for {part.__name__}"
    README.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
