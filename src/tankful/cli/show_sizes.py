"""Tanks, why they have their size and how they cope, on a terminal of 80 columns."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from tankful.advice.size_words import size_lines, week_sentence
from tankful.model.answer import Answer


def show_sizes(out: Console, answer: Answer) -> None:
    """Print what the hardest week asks, then each tank once, under its best option's setting."""
    sized = next((option.sizing for option in answer.options if option.sizing), None)
    if sized is None:
        return
    out.print(Text("\nSizes", style="bold"))
    out.print(Padding(week_sentence(sized.week), (0, 0, 0, 2)))
    for label, sentence in size_lines(answer.options, answer.currency):
        out.print(Padding(f"{label}: {sentence}", (0, 0, 0, 2)))
