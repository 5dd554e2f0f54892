"""Results: flows per step, yearly sums, and the answer. Frozen, and the same for every face."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from tankful.clock import FloatArray


@dataclass(frozen=True)
class Assumption:
    """One value the answer rests on that the case did not give."""

    path: str
    value: Any
    unit: str
    source: str
    """Citation, or how the value was worked out."""


@dataclass(frozen=True, eq=False)
class Flows:
    """One simulated year of one option. Mean power over each step [W], shape ``(n,)``.

    Temperatures are at the step's end [degC]; ``outlet_c`` is the mixed water at the tap,
    NaN without a draw.
    """

    house_w: FloatArray
    pv_w: FloatArray
    """What the panels could make, before the export limit."""
    heater_w: FloatArray
    """Electricity of the water heater on the general circuit."""
    controlled_w: FloatArray
    """Electricity of the water heater on the controlled circuit."""
    gas_w: FloatArray
    import_w: FloatArray
    export_w: FloatArray
    curtailed_w: FloatArray
    battery_w: FloatArray
    """Battery power: charging positive, discharging negative."""
    heat_w: FloatArray
    """Heat put into the water by element, heat pump and burner."""
    solar_w: FloatArray
    """Heat from collectors into the tank; negative while they are kept from freezing."""
    direct_w: FloatArray
    """Part of the heat that comes from panels wired straight to the element."""
    delivered_w: FloatArray
    """Useful heat at the tap above cold water."""
    loss_w: FloatArray
    unmet_w: FloatArray
    """Heat missing from draws that came too cold."""
    top_c: FloatArray
    mean_c: FloatArray
    low_c: FloatArray
    """Tank temperature at a tenth of its height, or of that above the boost."""
    since_hot_h: FloatArray
    """Hours since the sanitising rule was last met; NaN where it does not apply."""
    outlet_c: FloatArray
    collector_c: FloatArray
    """Collector temperature; NaN without a tank."""
    stored_change_j: float
    step_s: float


@dataclass(frozen=True)
class YearSums:
    """Sums of a year."""

    purchased_kwh: float
    """Grid electricity that the water heater caused (general and controlled)."""
    controlled_kwh: float
    own_sun_kwh: float
    """Electricity of the water heater met by own panels, at once or through the battery."""
    direct_kwh: float
    """Part of it from panels wired straight to the element."""
    battery_kwh: float
    """What the battery gives back to the home."""
    electricity_kwh: float
    gas_mj: float
    gas_kwh: float
    heat_kwh: float
    heat_delivered_kwh: float
    standing_loss_kwh: float
    unmet_kwh: float
    mixed_l: float
    """Mixed water drawn at the taps."""
    collector_kwh: float
    """Heat that solar collectors brought into the tank, less what frost took."""
    frost_kwh: float
    """Heat of the tank circulated to keep collectors from freezing."""
    stagnation_h: float
    """Hours in which the collectors stood without flow, above 120 degC."""
    cold_draws: int
    """Showers and baths that came more than 2 K too cold."""
    cold_litres: float
    """Litres of them that came so."""
    draws: int
    """Showers and baths of the year."""
    solar_share: float
    """Own sun, panels and collectors, as a share of the energy bought or used for hot water."""
    ledger_residual: float
    longest_below_60_h: float
    """Longest time without 90 % of the tank at 60 degC for 32 minutes: the sanitising rule."""
    night_run_h: float
    """Hours in which it heats between 22:00 and 07:00 by the clock, when neighbours sleep."""


@dataclass(frozen=True)
class BillLine:
    """One charge of a bill for a year, with its twelve months."""

    name: str
    amount: float
    months: tuple[float, ...]
    quantity: float = 0.0
    unit: str = ""
    exported: bool = False
    """Paid to the home for what it exports."""


@dataclass(frozen=True)
class Bill:
    """A year's bill. Credits are negative."""

    lines: tuple[BillLine, ...] = ()

    @property
    def total(self) -> float:
        return sum(line.amount for line in self.lines)

    @property
    def months(self) -> tuple[float, ...]:
        return tuple(
            sum(values) for values in zip(*(line.months for line in self.lines), strict=True)
        )


def monthly(*bills: Bill) -> tuple[float, ...]:
    """Twelve monthly totals of several bills together; an empty bill counts nothing."""
    months = [bill.months for bill in bills if bill.lines]
    return tuple(sum(values) for values in zip(*months, strict=True)) if months else (0.0,) * 12


@dataclass(frozen=True)
class YearCost:
    """One year of an option's costs in today's money; ``year`` 0 is the installation."""

    year: int
    equipment: float
    electricity: float
    feed_in_lost: float
    gas: float
    maintenance: float
    residual: float
    total: float
    discounted: float


StepKey = Literal[
    "heat",
    "tank_loss",
    "efficiency",
    "own_sun",
    "energy_price",
    "export",
    "gas_supply",
    "bottle_rent",
    "circuit_supply",
    "purchase",
    "credits",
    "leaving_gas",
    "upkeep",
    "renewal",
]
"""What can set two options apart. ``credits`` are certificates and rebates, ``bottle_rent``
stands for ``gas_supply`` where gas comes in bottles, ``circuit_supply`` is the supply charge of
an off-peak circuit, ``renewal`` later units less what is left of the last at the end."""

StepUnit = Literal["kWh/year", "kWh/kWh", "share", "money/kWh", "money"]


@dataclass(frozen=True)
class WaterfallStep:
    """One thing in which an option differs, and what that moves.

    ``amount_cents`` is the effect on net present cost in whole cents, negative is cheaper.
    ``before`` and ``after`` are the figure with the option compared with and with this one:
    of "money" the worth today over the horizon, of "money/kWh" the mean of the first year;
    ``None`` where an option buys too little energy to have a price.
    """

    key: StepKey
    amount_cents: int
    before: float | None
    after: float | None
    unit: StepUnit

    @property
    def amount(self) -> float:
        return self.amount_cents / 100.0


@dataclass(frozen=True)
class Waterfall:
    """The way from one option's net present cost to another's: start + steps = end, to the cent."""

    base_id: str
    base_name: str
    """What the base is called inside a sentence."""
    start_cents: int
    steps: tuple[WaterfallStep, ...]
    """Always the same steps in the same order, those that move nothing included."""
    end_cents: int

    @property
    def start(self) -> float:
        return self.start_cents / 100.0

    @property
    def end(self) -> float:
        return self.end_cents / 100.0

    @property
    def gap(self) -> float:
        """Net present cost of the option less the base's; negative is cheaper."""
        return (self.end_cents - self.start_cents) / 100.0

    def step(self, key: StepKey) -> WaterfallStep | None:
        """The step of this key; ``None`` for the one of gas supply and bottles that is not here."""
        return next((step for step in self.steps if step.key == key), None)
