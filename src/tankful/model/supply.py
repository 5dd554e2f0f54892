"""Electricity and gas as a case tells of them: plans, panels, battery, car and bottles."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from tankful.model.bills import GasBills, OffPeakBills, UseBills
from tankful.model.fields import Horizon, Table, UnfitError, Words, field
from tankful.model.tariff import ElectricityTariff, GasTariff
from tankful.model.window import Window, Windows
from tankful.units import LPG_MJ_PER_KG, LPG_MJ_PER_L

Share = Annotated[float, Field(ge=0, le=1)]
TwelveShares = Annotated[tuple[Share, ...], Field(strict=False, min_length=12, max_length=12)]


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
    shading: TwelveShares | None = field(
        None,
        about="share of the light lost to shade from January to December, besides what the horizon "
        "hides",
        allowed="twelve fractions from 0 to 1",
        when_absent="no shade",
    )
    horizon_deg: Horizon | None = field(
        None,
        about="height above the level of what hides the sun from the panels, at even steps "
        "clockwise from north (four are north, east, south, west)",
        unit="degrees",
        allowed="4 to 360 numbers from 0 to 90",
        when_absent="open all round",
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
    """A limit of its own at some hours; where several fit an hour, the first counts."""

    kw: float = field(about="most that may flow to the grid then", unit="kW", ge=0, le=100)


class Electricity(Table):
    """Supply, plan, panels and what the house uses besides hot water."""

    annual_use_kwh: float | None = field(
        None,
        about="yearly use of the house without water heating, before panels",
        unit="kWh",
        ge=0,
        le=100_000,
        when_absent="from bills or the meter file, or by people",
    )
    bills: UseBills = field(
        (),
        about="electricity bought by bill, with the panels named here: what the house uses is "
        "estimated from it",
    )
    meter_file: Words | None = field(
        None,
        about="NEM12 or plain CSV file of interval readings`, relative to the case file|`",
        when_absent="no meter file: the published daily shape is used",
    )
    tariff: ElectricityTariff | None = field(
        None, about="electricity plan", when_absent="regulated or typical offer of the state"
    )
    usage_price_per_kwh: float | None = field(
        None,
        about="price of grid electricity where no plan is given, in place of the default plan's",
        unit="money/kWh",
        ge=0,
        le=10_000,
        when_absent="that of the plan",
    )
    off_peak_price_per_kwh: float | None = field(
        None,
        about="price on the off-peak circuit where no plan is given, in place of the default "
        "plan's",
        unit="money/kWh",
        ge=0,
        le=10_000,
        when_absent="that of the plan",
    )
    feed_in_price_per_kwh: float | None = field(
        None,
        about="paid for each exported kWh where no plan is given, or where the plan names no "
        "payment for exports",
        unit="money/kWh",
        ge=-1,
        le=5,
        when_absent="that of the plan",
    )
    arrays: Annotated[tuple[PvArray, ...], Field(strict=False, max_length=50)] = field(
        (), about="solar panels on the roof", source="judgement"
    )
    inverter_kw: float | None = field(
        None,
        about="most that the inverter gives out",
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
    export_limits: Annotated[tuple[ExportLimit, ...], Field(strict=False, max_length=50)] = field(
        (), about="limits at some hours, which come before `export_limit_kw`"
    )
    metering: Literal["net", "each_phase"] = field(
        "net",
        about="three phases may be metered together` (net)|` or each by itself; one phase is "
        "`net|the first`",
        source="judgement",
    )
    battery: Battery | None = field(None, about="home battery", when_absent="no battery")
    car: CarCharging | None = field(None, about="car charging", when_absent="no car")
    off_peak_circuit: bool | None = field(
        None,
        about="an off-peak (controlled-load) circuit for the water heater exists or can be had",
        when_absent="yes where the plan has such a circuit",
    )
    off_peak_bills: OffPeakBills = field(
        (), about="use of the off-peak circuit by bill: litres and losses are estimated from it"
    )


class BottledGas(Table):
    """Liquefied petroleum gas in bottles, priced by weight or by volume."""

    price_per_kg: float | None = field(
        None,
        about="price of the gas by weight",
        unit="money/kg",
        gt=0,
        le=10_000,
        when_absent="`price_per_l is given|priced by the litre`",
    )
    price_per_l: float | None = field(
        None,
        about="price of the gas by volume; a litre of liquid weighs about half a kilogram",
        unit="money/L",
        gt=0,
        le=10_000,
        when_absent="`price_per_kg is given|priced by the kilogram`",
    )
    rent_per_year: float = field(
        0.0,
        about="rent of the bottles",
        unit="money/year",
        ge=0,
        le=10_000,
        source="judgement",
    )

    @model_validator(mode="after")
    def _one_price(self) -> Self:
        if (self.price_per_kg is None) == (self.price_per_l is None):
            raise UnfitError(
                "bottled gas needs `price_per_kg` or `price_per_l`, not both or neither",
                "keep one of the two",
            )
        return self

    @property
    def price_per_mj(self) -> float:
        """The same price by energy [money/MJ]."""
        if self.price_per_kg is not None:
            return self.price_per_kg / LPG_MJ_PER_KG
        assert self.price_per_l is not None  # the table's own rule
        return self.price_per_l / LPG_MJ_PER_L


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
    price_per_mj: float | None = field(
        None,
        about="price of gas where no plan is given, in place of the default plan's",
        unit="money/MJ",
        ge=0,
        le=1_000,
        when_absent="that of the plan",
    )
    bills: GasBills = field(
        (), about="gas used by bill: litres and today's losses are estimated from it"
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
