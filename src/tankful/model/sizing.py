"""Sizes: what a home asks of a tank in its hardest week, and how a tank copes. Frozen."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

SizeChooser = Literal["today", "quote", "people"]
Verdict = Literal["ample", "right", "small"]


@dataclass(frozen=True)
class WorstWeek:
    """The seven days in a row whose draws ask for most heat; the same for every option."""

    first: date
    last: date
    heat_kwh: float
    day_kwh: float
    """Its mean day."""
    cold_c: float
    """Its cold water."""
    peak_kwh: float
    """The most that draws of two hours ask for."""
    peak_l: float
    """Mixed water of those draws."""
    peak_showers: int
    """Showers and baths among them."""
    peak_start_s: float
    """Seconds of standard time from the start of the year."""
    first_day: int
    """Day of the year, 0 to 364."""


@dataclass(frozen=True)
class OtherSize:
    """The next tank up or down under the same setting."""

    tank_l: float
    cold_draws: int
    """Showers and baths a year that come too cold."""
    cold_draws_change: int
    year_one_change: float
    """Energy money a year against the size chosen; the price of the tank is not in it."""


@dataclass(frozen=True)
class Sizing:
    """How a tank and its heater were chosen, and how they cope, simulated on the best setting."""

    tank_l: float
    chosen_by: SizeChooser
    people: int
    bridges: Literal["peak", "day"]
    """What the tank must hold by the rule: the largest two hours, less what the heater adds in
    them, where it may heat at any time; a day where it waits for its hours or the sun."""
    rule_l: float
    """Litres that hold just that in the hardest week."""
    power_kw: float
    """Heat that it can put in, in the hardest week's mean air."""
    run_h_per_day: float | None
    """Hours a day that takes in that week; ``None`` where the tank itself is not heated."""
    collector_m2: float | None
    collector_share: float | None
    """Of that week's heat, from the collectors."""
    week: WorstWeek
    coverage: float
    """Share of that week's heat that comes warm enough."""
    cold_draws_week: int
    cold_draws: int
    recovery_h: float | None
    """From the end of the largest two hours until the tank is as hot as before them; ``None``
    when that takes more than a week."""
    verdict: Verdict
    other: OtherSize | None
    """The next size up of a small tank, or the next down of one that is larger than the rule
    asks by half."""
