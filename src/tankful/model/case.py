"""The case: one home as the adviser writes it down.

Everything but the place may be left out. What is left out takes the default declared
here, or, where the default depends on the home, is filled in by ``casefile.resolve``;
either way it stays marked as a default.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from tankful.model.fields import Table, UnfitError, Words, field
from tankful.model.tariff import ElectricityTariff, GasTariff
from tankful.model.window import Windows

HeaterKind = Literal[
    "electric_storage",
    "electric_continuous",
    "heat_pump",
    "solar_flat",
    "solar_tube",
    "solar_gas",
    "gas_storage",
    "gas_continuous",
    "none",
]
"""``solar_flat`` and ``solar_tube`` are collectors on a tank with an electric element;
``solar_gas`` is a flat plate preheating the water of a gas continuous heater."""

BURNS_GAS: frozenset[str] = frozenset({"gas_storage", "gas_continuous", "solar_gas"})
CONTINUOUS: frozenset[str] = frozenset({"electric_continuous", "gas_continuous"})
SOLAR_THERMAL: frozenset[str] = frozenset({"solar_flat", "solar_tube", "solar_gas"})
HAS_ELEMENT: frozenset[str] = frozenset(
    {"electric_storage", "heat_pump", "solar_flat", "solar_tube"}
)
ControlKind = Literal["always", "hours", "off_peak", "diverter", "surplus_switch", "reserve"]
Family = Literal[
    "electric_storage",
    "heat_pump",
    "gas_storage",
    "gas_continuous",
    "electric_continuous",
    "solar_flat",
    "solar_tube",
    "solar_gas",
    "diverter",
    "dedicated_panels",
    "timer",
    "off_peak_connection",
    "surplus_switch",
    "electric_circuit",
]
"""Heaters, then add-ons; ``electric_circuit`` is the wiring a tank needs where gas was."""
ColdWater = Annotated[float, Field(ge=0, le=40)]
Twelve = Annotated[tuple[ColdWater, ...], Field(strict=False, min_length=12, max_length=12)]


class PlaceInput(Table):
    """Where the home is: an Australian postcode, or coordinates with a weather file."""

    postcode: str | None = field(
        None,
        about="Australian postcode, in quotes",
        pattern=r"^[0-9]{4}$",
        allowed="four digits in quotes",
        when_absent="not given",
    )
    country: str = field(
        "AU",
        about="ISO country code of two letters",
        pattern=r"^[A-Z]{2}$",
        allowed="two capital letters in quotes",
    )
    latitude: float | None = field(
        None, about="north positive", unit="degrees", ge=-66, le=66, when_absent="from the postcode"
    )
    longitude: float | None = field(
        None,
        about="east positive",
        unit="degrees",
        ge=-180,
        le=180,
        when_absent="from the postcode",
    )
    elevation_m: float | None = field(
        None, about="height above sea", unit="m", ge=-430, le=5000, when_absent="from the place"
    )
    time_zone: Words | None = field(
        None,
        about="zone name of the IANA list",
        allowed="a name such as Europe/Lisbon",
        when_absent="from the postcode",
    )
    weather_file: Words | None = field(
        None,
        about="EPW, TMY2, TMY3 or PVGIS file, relative to the case file",
        when_absent="typical year built from the monthly means of the nearest climate point",
    )
    cold_water_c: Twelve | None = field(
        None,
        about="cold water temperature from January to December",
        unit="degC",
        allowed="twelve numbers from 0 to 40",
        when_absent="table of the zone in Australia, correlation with air temperature elsewhere",
    )

    @model_validator(mode="after")
    def _somewhere(self) -> Self:
        if self.postcode is None:
            missing = [
                name
                for name in ("latitude", "longitude", "time_zone", "weather_file")
                if getattr(self, name) is None
            ]
            if missing:
                raise UnfitError(
                    f"without a postcode the place also needs {', '.join(missing)}",
                    "give a postcode in Australia; elsewhere give latitude, longitude, "
                    "time_zone and weather_file",
                )
        return self


class People(Table):
    """Who lives there and how they use hot water."""

    count: int = field(3, about="people living in the home", ge=1, le=20, source="judgement")
    hot_litres_per_person_per_day: float = field(
        50.0,
        about="hot water at 60 degC drawn with cold water at 15 degC",
        unit="L/day",
        ge=5,
        le=200,
        source="yourhome-hot-water",
    )
    pattern: Literal[
        "household",
        "EU-S",
        "EU-M",
        "EU-L",
        "EU-XL",
        "US-very-small",
        "US-low",
        "US-medium",
        "US-high",
    ] = field(
        "household",
        about="household draws at random, or a standard day repeated",
        source="judgement",
    )
    habits: Literal["mixed", "morning", "evening", "day"] = field(
        "mixed", about="when most showers are taken", source="judgement"
    )
    season: bool = field(
        True, about="people use more hot water in winter", source="sap-2012-table-1c"
    )
    seed: int = field(
        1, about="starting number of the random draws", ge=0, le=10_000_000, source="judgement"
    )
    vulnerable: bool = field(
        False,
        about="small children, elderly or disabled people in the home: limits taps to 45 degC",
        source="judgement",
    )


class HeaterToday(Table):
    """The water heater that is there now."""

    kind: HeaterKind = field(
        "electric_storage", about="what heats the water today", source="judgement"
    )
    age_years: float = field(8.0, about="age", unit="years", ge=0, le=60, source="judgement")
    tank_l: float | None = field(
        None, about="tank volume", unit="L", ge=20, le=700, when_absent="usual size for the people"
    )
    setpoint_c: float = field(
        60.0,
        about="thermostat setting",
        unit="degC",
        ge=45,
        le=80,
        source="qld-hot-water-2024",
    )
    element_kw: float = field(
        3.6, about="electric element", unit="kW", gt=0.5, le=12, source="common-practice"
    )
    efficiency: float | None = field(
        None,
        about="gas burner efficiency as a fraction",
        ge=0.4,
        le=0.99,
        when_absent="usual value of the kind",
    )
    control: Literal["always", "hours", "off_peak"] = field(
        "always", about="when an electric heater may run", source="judgement"
    )
    hours: Windows = field((), about="clock hours when control is hours")
    indoors: bool = field(
        False,
        about="tanks stand inside, in air of about 20 degC; a heat pump stands outside in any case",
        source="judgement",
    )
    in_meter_general: bool = field(
        True,
        about="an electric heater's use is inside the meter file's general import",
        source="judgement",
    )

    @model_validator(mode="after")
    def _hours_given(self) -> Self:
        if self.control == "hours" and not self.hours:
            raise UnfitError(
                "control is hours, but no hours are given",
                'add hours = [{ start = "22:00", end = "07:00" }]',
            )
        return self


class PvArray(Table):
    """Panels of one slope and direction."""

    kw: float = field(about="rated power of the panels", unit="kW", gt=0, le=100)
    tilt_deg: float = field(
        22.0, about="slope from level", unit="degrees", ge=0, le=90, source="common-practice"
    )
    azimuth_deg: float | None = field(
        None,
        about="direction faced, clockwise from north (90 is east)",
        unit="degrees",
        ge=0,
        le=360,
        when_absent="facing the equator",
    )
    shading: Twelve | None = field(
        None,
        about="share of the light lost to shade from January to December",
        when_absent="no shade",
    )
    loss_fraction: float = field(
        0.11,
        about="wiring, dirt, mismatch and ageing together",
        ge=0,
        le=0.6,
        source="pv-losses",
    )


class Battery(Table):
    """A home battery."""

    capacity_kwh: float = field(about="usable when new", unit="kWh", gt=0, le=200)
    power_kw: float = field(
        5.0, about="most it charges or discharges", unit="kW", gt=0, le=50, source="judgement"
    )
    round_trip_efficiency: float = field(
        0.88, about="energy out over energy in, as a fraction", ge=0.5, le=1, source="judgement"
    )
    reserve_fraction: float = field(
        0.05, about="share that is never used", ge=0, le=0.9, source="judgement"
    )
    first: Literal["water", "battery"] = field(
        "water", about="who gets spare sun first", source="judgement"
    )


class CarCharging(Table):
    """An electric car to be charged at home by the clock, on top of the house's use."""

    kwh_per_day: float = field(about="charged on an average day", unit="kWh/day", gt=0, le=100)
    hours: Windows = field(about="clock hours of charging", min_length=1)


class ExportLimit(Window):
    """A limit of its own at some hours; the first whose window fits takes the hour."""

    kw: float = field(about="most that may flow to the grid then", unit="kW", ge=0, le=100)


class Electricity(Table):
    """Supply, plan, panels and what the house uses besides hot water."""

    annual_use_kwh: float | None = field(
        None,
        about="yearly use of the house without water heating, before panels",
        unit="kWh",
        ge=0,
        le=100_000,
        when_absent="from the meter file, or by people",
    )
    meter_file: Words | None = field(
        None,
        about="NEM12 or plain CSV file of interval readings, relative to the case file",
        when_absent="no meter file: the published daily shape is used",
    )
    tariff: ElectricityTariff | None = field(
        None, about="electricity plan", when_absent="regulated or typical offer of the state"
    )
    arrays: Annotated[tuple[PvArray, ...], Field(strict=False, max_length=50)] = field(
        (), about="solar panels on the roof", source="judgement"
    )
    inverter_kw: float | None = field(
        None,
        about="inverter rating on the alternating-current side",
        unit="kW",
        gt=0,
        le=100,
        when_absent="panel power divided by 1.2",
    )
    export_limit_kw: float | None = field(
        None,
        about="most that may flow to the grid",
        unit="kW",
        ge=0,
        le=100,
        when_absent="no limit",
    )
    export_limits: Annotated[tuple[ExportLimit, ...], Field(strict=False)] = field(
        (), about="limits by hour, before export_limit_kw"
    )
    metering: Literal["net", "each_phase"] = field(
        "net",
        about="three phases may be metered together (net) or each by itself; one phase is net",
        source="judgement",
    )
    battery: Battery | None = field(None, about="home battery", when_absent="no battery")
    car: CarCharging | None = field(None, about="car charging", when_absent="no car")
    off_peak_circuit: bool | None = field(
        None,
        about="a controlled-load circuit for the water heater exists or can be had",
        when_absent="yes when the plan has a controlled load",
    )


class BottledGas(Table):
    """Liquefied petroleum gas in bottles."""

    price_per_kg: float = field(
        about="price of the gas; one litre is about half a kilogram",
        unit="money/kg",
        gt=0,
        le=10_000,
    )
    rent_per_year: float = field(
        0.0, about="rent of the bottles", unit="money/year", ge=0, le=10_000
    )


class Gas(Table):
    """Gas supply."""

    bottles: BottledGas | None = field(
        None, about="gas from bottles instead of the network", when_absent="network gas"
    )

    connected: bool | None = field(
        None, about="the home has gas", when_absent="yes when today's heater burns gas"
    )
    tariff: GasTariff | None = field(
        None, about="gas plan", when_absent="typical offer of the state"
    )
    other_use_mj: float = field(
        0.0,
        about="yearly gas for cooking and heating; 0 means hot water is the last use",
        unit="MJ/year",
        ge=0,
        le=500_000,
        source="judgement",
    )
    leaving_cost: float | None = field(
        None,
        about="charge for leaving the gas network",
        unit="money",
        ge=0,
        le=20_000,
        when_absent="charge of the state's network where known",
    )


class Quote(Table):
    """A quoted price or a known property of one kind of equipment; it overrides the default."""

    family: Family = field(about="what the quote is for")
    installed_price: float | None = field(
        None,
        about="price installed before certificates and rebates",
        unit="money",
        ge=0,
        le=100_000,
        when_absent="typical installed price",
    )
    certificates: int | None = field(
        None,
        about="small-scale certificates of this model here and now",
        ge=0,
        le=200,
        when_absent="estimated",
    )
    rebate: float = field(
        0.0, about="other rebate on top", unit="money", ge=0, le=20_000, source="judgement"
    )
    life_years: float | None = field(
        None, about="life", unit="years", ge=1, le=50, when_absent="typical life"
    )
    maintenance_per_year: float | None = field(
        None,
        about="yearly maintenance",
        unit="money/year",
        ge=0,
        le=5000,
        when_absent="typical maintenance",
    )
    tank_l: float | None = field(
        None, about="tank volume", unit="L", ge=20, le=700, when_absent="by people"
    )
    cop: float | None = field(
        None,
        about="heat pump: heat per unit of electricity at 19 to 20 degC air, water heated to 55-60",
        ge=1.5,
        le=7,
        when_absent="generic value",
    )
    grade: Literal["entry", "good", "best"] = field(
        "good",
        about="heat pump: generic class where cop and heat_kw are not given",
        source="judgement",
    )
    cop_model: Literal["lab_curve", "carnot"] = field(
        "lab_curve",
        about="heat pump: measured curve of small units, or a constant share of the ideal COP",
        source="judgement",
    )
    variable_speed: bool = field(
        False, about="heat pump: its power can follow spare sun", source="judgement"
    )
    two_elements: bool = field(
        False, about="electric tank: a second element high up catches up", source="judgement"
    )
    heat_kw: float | None = field(
        None,
        about="heat pump: heating power at about 20 degC air",
        unit="kW",
        ge=0.5,
        le=20,
        when_absent="generic value",
    )
    element_kw: float | None = field(
        None, about="electric element", unit="kW", ge=0.5, le=12, when_absent="3.6 kW"
    )
    collector_m2: float | None = field(
        None,
        about="solar collectors: the area their efficiency was measured for",
        unit="m2",
        ge=0.5,
        le=50,
        when_absent="usual area for a family",
    )
    collector_eta0: float | None = field(
        None,
        about="solar collectors: efficiency without heat loss",
        ge=0.3,
        le=0.95,
        when_absent="generic value",
    )
    collector_a1: float | None = field(
        None,
        about="solar collectors: linear heat loss",
        unit="W/m2K",
        ge=0.2,
        le=25,
        when_absent="generic value",
    )
    collector_a2: float | None = field(
        None,
        about="solar collectors: quadratic heat loss",
        unit="W/m2K2",
        ge=0,
        le=0.1,
        when_absent="generic value",
    )
    frost_protection: Literal["circulate", "antifreeze"] = field(
        "circulate",
        about="solar collectors: warm water is circulated on frosty nights, or the loop cannot "
        "freeze",
        source="common-practice",
    )


class Roof(Table):
    """Where solar thermal collectors would lie."""

    tilt_deg: float = field(
        22.0, about="slope from level", unit="degrees", ge=0, le=90, source="common-practice"
    )
    azimuth_deg: float | None = field(
        None,
        about="direction faced, clockwise from north (90 is east)",
        unit="degrees",
        ge=0,
        le=360,
        when_absent="facing the equator",
    )


class Wishes(Table):
    """How money is weighed."""

    currency: str = field(
        "AUD",
        about="currency of every price",
        pattern=r"^[A-Z]{3}$",
        allowed="three capital letters",
    )
    horizon_years: int = field(
        15, about="years compared", unit="years", ge=1, le=40, source="judgement"
    )
    discount_rate_real: float = field(
        0.04,
        about="interest above inflation, as a fraction",
        ge=-0.05,
        le=0.3,
        source="judgement",
    )
    electricity_growth_real: float = field(
        0.0, about="yearly growth above inflation", ge=-0.2, le=0.2, source="judgement"
    )
    feed_in_growth_real: float = field(
        0.0, about="yearly growth of the feed-in payment", ge=-0.5, le=0.2, source="judgement"
    )
    gas_growth_real: float = field(
        0.0, about="yearly growth above inflation", ge=-0.2, le=0.2, source="judgement"
    )
    certificate_price: float = field(
        38.0,
        about="paid to the household for one certificate",
        unit="money",
        ge=0,
        le=100,
        source="stc-price",
    )
    tie_margin: float = field(
        300.0,
        about="options this close in net present cost are called a tie",
        unit="money",
        ge=0,
        le=10_000,
        source="judgement",
    )


class Constraints(Table):
    """What the home rules out."""

    no_heat_pump: bool = field(
        False, about="no room or no leave for a heat pump outside", source="judgement"
    )
    no_roof_work: bool = field(False, about="no collectors on the roof", source="judgement")
    no_gas: bool = field(False, about="the household wants no gas", source="judgement")
    keep_gas: bool = field(
        False, about="gas stays connected for other uses whatever is chosen", source="judgement"
    )
    quiet_hours: Windows = field(
        (), about="hours when a heat pump must not run because of neighbours", source="judgement"
    )


class Simulation(Table):
    """How finely the year is simulated."""

    year: int | None = field(
        None, about="calendar year", ge=2000, le=2100, when_absent="the coming year"
    )
    step_min: Literal[1, 2, 3, 4, 5, 6, 10, 12, 15, 20, 30, 60] = field(
        5, about="step", unit="minutes", source="judgement"
    )
    nodes: int = field(12, about="layers of the tank", ge=1, le=60, source="judgement")


class Case(Table):
    """One home and its wishes."""

    name: Words = field("Home", about="name on the report", max_length=120)
    as_of: date | None = field(
        None,
        about="day of the advice: prices and certificates are of this day",
        ge=date(2000, 1, 1),
        le=date(2099, 12, 31),
        when_absent="today",
    )
    place: PlaceInput = field(about="where the home is")
    people: People = field(default_factory=People, about="people and habits")
    heater: HeaterToday = field(default_factory=HeaterToday, about="today's water heater")
    electricity: Electricity = field(default_factory=Electricity, about="electricity")
    roof: Roof = field(default_factory=Roof, about="the roof for solar collectors")
    gas: Gas = field(default_factory=Gas, about="gas")
    quotes: Annotated[tuple[Quote, ...], Field(strict=False)] = field((), about="quotes")
    wishes: Wishes = field(default_factory=Wishes, about="money")
    constraints: Constraints = field(default_factory=Constraints, about="what is ruled out")
    simulation: Simulation = field(default_factory=Simulation, about="fineness")

    @model_validator(mode="after")
    def _one_quote_a_family(self) -> Self:
        families = [quote.family for quote in self.quotes]
        double = sorted({name for name in families if families.count(name) > 1})
        if double:
            raise UnfitError(f"more than one quote for {', '.join(double)}", "keep one of each")
        return self
