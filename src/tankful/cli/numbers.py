"""Numbers that people type on the command line."""

from __future__ import annotations

import math
from typing import Any

import click


class NumberBetween(click.FloatRange):
    """A number in a range; click's own lets "nan" pass, which lies in none."""

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        number = float(super().convert(value, param, ctx))
        if math.isnan(number):
            self.fail(f"{value!r} is not a number.", param, ctx)
        return number
