"""The case: one home as the adviser writes it down.

Everything but the place may be left out. What is left out takes the default declared
here, or, where the default depends on the home, is filled in by ``casefile.resolve``;
either way it stays marked as a default.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from tankful.model.constraints import Constraints
from tankful.model.fields import Table, Title, UnfitError, Words, field
from tankful.model.heaters import HeaterToday, Quote, Roof
from tankful.model.kinds import (
    BURNER_IN_TANK,
    BURNS_GAS,
    CONTINUOUS,
    ELECTRIC_INLINE,
    HAS_ELEMENT,
    INLINE_BOOSTED,
    ONE_OFF,
    SOLAR_THERMAL,
    ControlKind,
    Family,
    HeaterKind,
)
from tankful.model.more_panels import MorePanels
from tankful.model.supply import (
    Battery,
    BottledGas,
    CarCharging,
    Electricity,
    ExportLimit,
    Gas,
    PvArray,
)

__all__ = [
    "BURNER_IN_TANK",
    "BURNS_GAS",
    "CONTINUOUS",
    "ELECTRIC_INLINE",
    "HAS_ELEMENT",
    "INLINE_BOOSTED",
    "ONE_OFF",
    "SOLAR_THERMAL",
    "Battery",
    "BottledGas",
    "CarCharging",
    "Case",
    "Constraints",
    "ControlKind",
    "Electricity",
    "ExportLimit",
    "Family",
    "Gas",
    "HeaterKind",
    "HeaterToday",
    "MorePanels",
    "People",
    "PlaceInput",
    "PvArray",
    "Quote",
    "Roof",
    "Simulation",
    "Wishes",
]

ColdWater = Annotated[float, Field(ge=0, le=40)]
Twelve = Annotated[tuple[ColdWater, ...], Field(strict=False, min_length=12, max_length=12)]


class PlaceInput(Table):
    """Where the home is: an Australian postcode, or coordinates with a weather file."""

    postcode: str | None = field(
        None,
        about="Australian postcode",
        pattern=r"^[0-9]{4}$",
        allowed="four digits` in quotes|`",
        when_absent="not given",
    )
    country: str = field(
        "AU",
        about="ISO country code of two letters",
        pattern=r"^[A-Z]{2}$",
        allowed="two capital letters` in quotes|`",
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
        about="the time zone's usual name, as Continent/City",
        allowed="a name such as Europe/Lisbon",
        when_absent="from the postcode",
    )
    weather_file: Words | None = field(
        None,
        about="EPW, TMY2, TMY3 or PVGIS file`, relative to the case file|`",
        when_absent="typical year built from the monthly means of the nearest climate point",
    )
    cold_water_c: Twelve | None = field(
        None,
        about="cold water temperature from January to December",
        unit="degC",
        allowed="twelve numbers from 0 to 40",
        when_absent="table of the zone in Australia, by the air temperature elsewhere",
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
                names = ", ".join(f"`{name}`" for name in missing)
                raise UnfitError(
                    f"without a postcode the place also needs {names}",
                    "give a postcode in Australia; elsewhere give `latitude`, `longitude`, "
                    "`time_zone` and `weather_file`",
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
    cold_shower_cost: float = field(
        5.0,
        about="what it is worth to avoid one cold shower or bath; it weighs settings, not options",
        unit="money",
        ge=0,
        le=1000,
        source="judgement",
    )
    tie_margin: float = field(
        300.0,
        about="options this close in net present cost are called a tie",
        unit="money",
        ge=0,
        le=10_000,
        source="judgement",
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

    name: Title = field("Home", about="name on the report", max_length=120)
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
    more_panels: MorePanels = field(default_factory=MorePanels, about="new panels to weigh")
    gas: Gas = field(default_factory=Gas, about="gas")
    quotes: Annotated[tuple[Quote, ...], Field(strict=False)] = field((), about="quotes")
    wishes: Wishes = field(default_factory=Wishes, about="money")
    constraints: Constraints = field(default_factory=Constraints, about="what is ruled out")
    simulation: Simulation = field(default_factory=Simulation, about="fineness")
