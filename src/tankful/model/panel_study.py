"""New panels beside each water heater: what each account bears, size by size."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class PanelsAlone:
    """New panels of one size, as a house without any water heater would have them.

    ``net_present_cost`` is their price, renewals and upkeep less what they save and earn that
    house; negative where they pay by themselves. None of it is credited to hot water.
    """

    kw: float
    inverter_kw: float
    installed: float
    certificates: int
    certificate_value: float
    rebate: float
    upfront: float
    """Price after certificates and rebate."""
    made_kwh: float
    """What the panels could make in a year."""
    year_one: float
    """Change of that house's bill in the first year; negative is a saving."""
    net_present_cost: float


@dataclass(frozen=True)
class HotWater:
    """One water heater beside new panels of one size.

    ``year_one`` and ``net_present_cost`` are those of hot water: the home's bills with the heater
    less those of the same house, panels included, without one. ``total`` adds the panels' own
    ``net_present_cost``.
    """

    kw: float
    option_id: str
    label: str
    control_text: str
    usable: bool
    """False with more than one cold shower a week beyond those of always on."""
    year_one: float
    net_present_cost: float
    total: float
    electricity_kwh: float
    purchased_kwh: float
    sun_share: float
    cold_draws: int


@dataclass(frozen=True)
class Step:
    """From one size to the next, for each kW [money over the years compared]."""

    from_kw: float
    to_kw: float
    house_cost_per_kw: float
    """What a kW costs the house beyond what it saves it."""
    hot_water_saving_per_kw: float
    """What a kW takes off the cost of hot water."""


@dataclass(frozen=True)
class HeaterBySize:
    """The cheapest option of one kind of water heater beside each size."""

    key: str
    label: str
    sizes: tuple[HotWater, ...]
    """From no new panels on; later where the heater needs panels and there are none."""
    steps: tuple[Step, ...]
    best_kw: float
    """New panels with which panels and hot water together cost least."""
    deserved_kw: float
    """How much more that is than what suits the house alone best."""

    @property
    def best(self) -> HotWater:
        return next(row for row in self.sizes if row.kw == self.best_kw)


@dataclass(frozen=True)
class PanelStudy:
    """New panels of each size, alone and beside each water heater."""

    currency: str
    horizon_years: int
    tie_margin: float
    today_kw: float
    """Panels there already."""
    export_limit_kw: float | None
    """Most that may flow to the grid once the new panels are there."""
    feed_in_contract: bool
    """Adding panels is taken to end a feed-in contract that today's home has."""
    alone: tuple[PanelsAlone, ...]
    """By size, from none on."""
    alone_best_kw: float
    heaters: tuple[HeaterBySize, ...]
    today_label: str
    """The best option without new panels, and its net present cost."""
    today_cost: float
    best: HotWater
    """The cheapest of all with new panels."""
    gain: float
    """What it saves against the best without new panels; negative where it costs more."""
    covering_kw: float | None
    """New panels that make in a year what house and diverted tank use, with those of today;
    ``None`` without such a tank."""

    def panels(self, kw: float) -> PanelsAlone:
        """The panels of one size. StopIteration for a size that was not tried."""
        return next(row for row in self.alone if row.kw == kw)
