"""The resolved home: a case with every open value filled in and every default marked."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from tankful.clock import FloatArray, YearClock
from tankful.model.calibration import Calibration
from tankful.model.case import Case, Family, Quote
from tankful.model.kinds import FAMILY_WORDS
from tankful.model.result import Assumption
from tankful.model.system import Collector, WaterHeater
from tankful.model.tariff import ElectricityTariff, GasTariff
from tankful.site.place import Place
from tankful.use.draws import Draws


def part_id(family: Family, number: int) -> str:
    """The name of equipment within a home: its family, for a second quote ``heat_pump-2``."""
    return family if number == 1 else f"{family}-{number}"


@dataclass(frozen=True)
class Equipment:
    """Price, life and properties of one family of equipment for this home (quote or default).

    Where several were quoted for, each is equipment of its own, numbered from 1.
    """

    family: Family
    number: int
    name: str
    """What tells it from others of its family; empty where nothing needs to."""
    quote: Quote | None
    installed_price: float
    certificates: int | None
    """From the quote; ``None`` asks for an estimate."""
    rebate: float
    life_years: float
    maintenance_per_year: float
    replacement_price: float
    """Price of the next one, without certificates (they end in 2030)."""
    heater: WaterHeater | None
    """The heater with control ``always``; ``None`` for an add-on such as a diverter."""

    @property
    def is_priced(self) -> bool:
        """A quote says its price."""
        return self.quote is not None and self.quote.installed_price is not None

    @property
    def holds_wiring(self) -> bool:
        """A quote says that its price holds the circuit."""
        return self.quote is not None and bool(self.quote.includes_wiring)

    @property
    def id(self) -> str:
        return part_id(self.family, self.number)

    @property
    def words(self) -> str:
        """What people call it, without article."""
        return (
            f"{FAMILY_WORDS[self.family]} ({self.name})" if self.name else FAMILY_WORDS[self.family]
        )


@dataclass(frozen=True)
class NewArray:
    """New panels of one size with an inverter of their own, which is part of the price.

    ``installed_price`` is before certificates and rebate; ``inverter_price`` is that of the next
    inverter, which also clips what the panels make at ``inverter_kw``.
    """

    kw: float
    inverter_kw: float
    installed_price: float
    inverter_price: float


@dataclass(frozen=True, eq=False)
class PanelOffer:
    """New panels that the household could buy (quote or default).

    ``made_w_per_kw`` is what each kW of them makes before the clip, shape ``(n_steps,)``.
    """

    arrays: tuple[NewArray, ...]
    """By size, the smallest first."""
    made_w_per_kw: FloatArray
    rebate: float
    life_years: float
    inverter_life_years: float
    maintenance_per_year: float
    export_limit_kw: float | None
    """Of the whole home once they are there."""


@dataclass(frozen=True, eq=False)
class Home:
    """Everything the simulation and the settlement need, complete.

    Series have shape ``(n_steps,)`` on ``clock``: air and wet bulb [degC], cold water [degC],
    house load without water heating [W], what the panels could make [W], and what each
    collector would absorb [W/m2].
    """

    case: Case
    as_of: date
    place: Place
    clock: YearClock
    temp_air_c: FloatArray
    wet_bulb_c: FloatArray
    cold_water_c: FloatArray
    house_w: FloatArray
    pv_w: FloatArray
    direct_pv_w: FloatArray
    """Power of small panels wired straight to an element [W], should they be bought."""
    absorbed_w_per_m2: dict[Collector, FloatArray]
    draws: Draws
    electricity_tariff: ElectricityTariff
    gas_tariff: GasTariff | None
    gas_connected: bool
    gas_leaving_cost: float
    off_peak_circuit: bool
    heater_today: WaterHeater
    heater_age_years: float
    equipment: dict[str, Equipment]
    """By id."""
    assumptions: tuple[Assumption, ...]
    place_text: str
    """Place and climate point in one line."""
    weather_text: str
    """What the weather is and where it comes from."""
    load_text: str
    """Where the house load comes from."""
    panel_offer: PanelOffer | None = None
    """``None`` where the case rules out work on the roof."""
    notes: tuple[str, ...] = field(default=())
    """Warnings and remarks to show beside the answer."""
    calibration: Calibration | None = None
    """What the bills say; ``case`` and ``heater_today`` hold the estimates already."""
