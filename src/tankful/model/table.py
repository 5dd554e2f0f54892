"""A table of homes: the same home varied, and what every option costs in each."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class OptionRow:
    """One option of one home: costs in the table's currency, energy of a year."""

    id: str
    label: str
    rank: int
    tied: bool
    """Within the tie margin of the best, which is then tied too."""
    usable: bool
    """False with so many cold showers that it stands behind the others."""
    upfront: float
    first_year: float
    cost: float
    """Net present cost over the horizon."""
    payback_years: float | None
    bought_kwh: float
    electricity_kwh: float
    gas_kwh: float
    sun_share: float
    cold_showers: int
    emissions_kg: float | None


@dataclass(frozen=True)
class HomeRow:
    """One home of a table. ``labels`` say how it differs, one for each variation.

    Prices are means over the year: of electricity by the hour, of feed-in by the sun that the
    house leaves over (by the hour where it leaves none); of plans in blocks the first block.
    ``None`` where the home has no such price.
    """

    labels: tuple[str, ...]
    place: str
    postcode: str | None
    state: str | None
    latitude: float
    people: int
    air_c: float
    panels_kw: float
    panels_kwh: float
    house_kwh: float
    spare_kwh: float
    """Sun that the house leaves over before water is heated."""
    usage_price: float
    off_peak_price: float | None
    feed_in_price: float
    gas_price_per_kwh: float | None
    margin: float
    tie_margin: float
    options: tuple[OptionRow, ...]
    """Cheapest first."""
    plan: str = ""
    """Name of the electricity plan."""

    @property
    def best(self) -> OptionRow:
        return self.options[0]


@dataclass(frozen=True)
class HomesTable:
    """Homes in the order of the variations; ``heads`` name these."""

    name: str
    currency: str
    horizon_years: int | None
    """``None`` where it differs between homes."""
    heads: tuple[str, ...]
    homes: tuple[HomeRow, ...]
    quick: bool
    """Made on a longer step with fewer settings."""
