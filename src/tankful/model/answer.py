"""The answer: options ranked, with what they cost, why, and what was assumed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from tankful.model.calibration import Calibration
from tankful.model.panel_study import PanelStudy
from tankful.model.quotes import QuotesCompared
from tankful.model.result import Assumption, Bill, Waterfall, YearCost, YearSums
from tankful.model.sizing import Sizing
from tankful.model.system import Control, WaterHeater


@dataclass(frozen=True)
class YearOne:
    """Money of the first year that hot water causes, against the same house without it."""

    electricity: float
    """Grid electricity, with the supply charge of an off-peak circuit."""
    feed_in_lost: float
    gas_use: float
    gas_supply: float
    circuit_supply: float
    """The part of ``electricity`` that is the supply charge of an off-peak circuit."""
    feed_in_later: tuple[tuple[float, float], ...] = ()
    """Feed-in lost a year from some moments on (years from now), when a contract ends."""

    @property
    def total(self) -> float:
        return self.electricity + self.feed_in_lost + self.gas_use + self.gas_supply


@dataclass(frozen=True)
class Upfront:
    """What is paid at the start. Certificates and rebate are credits, counted positive."""

    installed: float
    certificates: int
    certificate_value: float
    rebate: float
    leaving_gas: float
    quoted: float = 0.0
    """Part of ``installed`` that quotes say."""
    wiring: float = 0.0
    """Part of it that is a circuit or a connection at its usual price, which no quote says."""

    @property
    def total(self) -> float:
        return self.installed - self.certificate_value - self.rebate + self.leaving_gas


@dataclass(frozen=True)
class ControlChoice:
    """The control found by search and what it is worth against running always on."""

    control: Control
    tried: int
    always_year_one: float
    """First-year cost of the same heater always on."""
    saving_per_year: float
    """What the setting saves a year against always on, at the mean of the feed-in prices of the
    years compared."""
    comfort_kept: bool
    """False when every control tried leaves clearly more cold draws than always on."""
    usable: bool
    """False when that is more than a shower a week: such an option stands behind the others."""


@dataclass(frozen=True)
class Foresight:
    """Electricity that hot water adds to the home's first year under three ways to run an
    option: always on, the best setting found, and at the least that anybody who knew sun,
    weather, use and prices of the whole year ahead could reach (a lower bound)."""

    option_id: str
    label: str
    control: Control
    always_cost: float
    best_cost: float
    bound_cost: float

    @property
    def reached(self) -> float | None:
        """Share of the possible saving that the best setting reaches; ``None`` where nothing
        can be saved."""
        possible = self.always_cost - self.bound_cost
        return (self.always_cost - self.best_cost) / possible if possible > 0.0 else None


@dataclass(frozen=True)
class OptionResult:
    """One option's year, bill and life."""

    id: str
    label: str
    rank: int
    tied_with_best: bool
    heater: WaterHeater
    choice: ControlChoice
    upfront: Upfront
    year_one: YearOne
    net_present_cost: float
    payback_years: float | None
    """Undiscounted, against keeping; ``None`` when not within the horizon, when dearer over it
    in today's money, or for keeping itself."""
    cost_per_kwh: float
    """Net present cost over the present value of the heat delivered (levelised)."""
    cost_per_kl: float
    """The same over the mixed water at the tap."""
    emissions_kg: float | None
    wait_water_l_per_day: float | None
    """Water that a continuous heater lets run to waste until it is warm; ``None`` where no
    figure is at hand. It is not part of the year."""
    sums: YearSums
    costs: tuple[YearCost, ...]
    electricity_bill: Bill
    gas_bill: Bill
    sizing: Sizing | None
    """How its tank copes; ``None`` without one."""
    waterfall: Waterfall
    """From keeping today's heater, or a plain tank always on where there is none."""
    waterfall_from_best: Waterfall


@dataclass(frozen=True)
class Excluded:
    """An option that does not fit the home, and why."""

    id: str
    label: str
    reason: str


@dataclass(frozen=True)
class Caution:
    """Something that can hurt, with its source."""

    topic: str
    text: str
    source: str
    options: tuple[str, ...]
    """Ids of the options it concerns, best first."""


@dataclass(frozen=True)
class LastGas:
    """That hot water is the home's last use of gas, which the case does not say and the best
    option's saving rests on."""

    bottled: bool
    """The rent of gas bottles ends, in place of a network's supply charge."""
    charge_worth: float
    """Present value of the charge that ends."""
    leaving_gas: float
    """What leaving the network costs, which is spared where gas stays."""
    saving: float
    """What the best option saves over the horizon against keeping today's heater."""
    saving_if_kept: float
    """The same where gas stays connected for other uses."""
    best_if_kept: str
    """Id of the option that then comes first."""
    label_if_kept: str


@dataclass(frozen=True)
class Answer:
    """Everything a face shows about one case."""

    case_name: str
    as_of: date
    currency: str
    horizon_years: int
    place_text: str
    weather_text: str
    options: tuple[OptionResult, ...]
    """Cheapest first."""
    excluded: tuple[Excluded, ...]
    margin: float
    """Net present cost of the runner-up less the best's; below 0 where it is the cheaper one but
    leaves showers cold."""
    tie_margin: float
    electricity_bill_without: Bill
    """The home's bill without any water heater; options carry the bill with theirs."""
    gas_bill_without: Bill
    """Gas of the other uses alone; empty when nothing else burns gas."""
    house_kwh: float
    pv_kwh: float
    surplus_kwh: float
    calibration: Calibration | None
    """What bills of today's heater say; ``None`` without bills."""
    cautions: tuple[Caution, ...]
    notes: tuple[str, ...]
    assumptions: tuple[Assumption, ...]
    versions: dict[str, str]
    last_gas: LastGas | None = None
    """Where the best option ends the gas supply, and nobody said that it is free to end."""
    panels: PanelStudy | None = None
    """New or more panels; ``None`` where nothing may go on the roof."""
    quotes: tuple[QuotesCompared, ...] = ()
    """Of each kind of equipment with several quotes."""

    @property
    def best(self) -> OptionResult:
        return self.options[0]

    def cautions_of(self, *option_ids: str) -> tuple[Caution, ...]:
        """The cautions that concern at least one of these options."""
        wanted = set(option_ids)
        return tuple(caution for caution in self.cautions if wanted & set(caution.options))

    @property
    def settings(self) -> dict[str, Control]:
        """The best control of each option, by its id."""
        return {option.id: option.choice.control for option in self.options}

    @property
    def tied(self) -> tuple[OptionResult, ...]:
        """The options that cannot be told apart from the best, itself included; empty
        without a tie."""
        return tuple(option for option in self.options if option.tied_with_best)
