"""A day and a year of one option in few numbers, for pictures."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

Season = Literal["summer", "winter"]
Series = tuple[float, ...]


@dataclass(frozen=True)
class DayPicture:
    """One day of the home on the wall clock, as means over equal parts of the day.

    All series have the length of ``minute``, the minutes after midnight at which the parts
    begin. Power in kW, temperature in degC at the part's end (NaN without a tank), hot
    water at the tap in litres of the part.
    """

    date: date
    season: Season | None
    """``None`` for a day that stands for no season."""
    minute: tuple[int, ...]
    sun_kw: Series
    """What the panels could make."""
    house_kw: Series
    """The house without its water heater."""
    electric_kw: Series
    """Electricity of the water heater, both circuits."""
    bought_kw: Series
    """Part of it from the grid."""
    gas_kw: Series
    collector_kw: Series
    """Heat from collectors on the roof."""
    tank_c: Series
    drawn_l: Series
    air_mean_c: float

    @property
    def hours(self) -> float:
        """Length of one part of the day."""
        return 24.0 / len(self.minute)


@dataclass(frozen=True)
class YearPicture:
    """Where the energy of hot water comes from, January to December [kWh]."""

    grid_kwh: Series
    own_sun_kwh: Series
    gas_kwh: Series
    collector_kwh: Series
    tap_kwh: Series
    """Useful heat at the tap."""
