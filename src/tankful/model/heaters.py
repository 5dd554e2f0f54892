"""Water heaters as a case tells of them: today's, and those that somebody quoted for."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import model_validator

from tankful.model.fields import Horizon, Table, Title, UnfitError, field
from tankful.model.kinds import (
    BackupElement,
    Circulation,
    Family,
    FrostProtection,
    Grade,
    HeaterKind,
    HeatPumpModel,
)
from tankful.model.window import Windows


class HeaterToday(Table):
    """The water heater that is there now."""

    kind: HeaterKind = field(
        "electric_storage",
        about="what heats the water today; pipes in which hot water circulates all day, as in "
        "larger buildings, are not reckoned with",
        source="judgement",
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
        3.6,
        about="electric element of a tank (of a continuous heater 27 unless given)",
        unit="kW",
        gt=0.5,
        le=48,
        source="common-practice",
    )
    efficiency: float | None = field(
        None,
        about="gas burner efficiency as a fraction",
        ge=0.4,
        le=0.99,
        when_absent="usual value of the kind",
    )
    two_elements: bool | None = field(
        None,
        about="electric tank: a second element high up heats the top when hot water runs short",
        when_absent="one element",
    )
    circulation: Circulation | None = field(
        None,
        about="solar collectors: a pump, or warm water rising by itself to a tank above them",
        when_absent="pump",
    )
    backup_element: BackupElement | None = field(
        None,
        about="heat pump: its electric element helps in air too cold for it, or also whenever the "
        "tank is cold, or there is none",
        when_absent="cold_air",
    )
    control: Literal["always", "hours", "off_peak"] = field(
        "always",
        about="when an electric heater, or the electric boost of collectors, may run",
        source="judgement",
    )
    hours: Windows = field(
        (),
        about="clock hours in which it may run, `where control says hours|"
        "where it has hours of its own`",
    )
    indoors: bool = field(
        False,
        about="tanks stand inside, in air of about 20 degC; a heat pump stands outside in any case",
        source="judgement",
    )
    in_meter_general: bool = field(
        True,
        about="an electric heater's use is inside the meter file's general import or the "
        "electricity bills",
        source="judgement",
    )

    @model_validator(mode="after")
    def _hours_given(self) -> Self:
        if self.control == "hours" and not self.hours:
            raise UnfitError(
                "`control is hours|the element runs in hours of its own`, but no hours are given",
                '`add hours = [{ start = "22:00", end = "07:00" }]|'
                "give the hours, such as 22:00 to 07:00`",
            )
        return self


class Quote(Table):
    """A quoted price or a known property of one kind of equipment; it overrides the default.
    Several of one kind are compared."""

    family: Family = field(about="what the quote is for")
    label: Title | None = field(
        None,
        about="name of the quote; tells several of one kind apart",
        max_length=40,
        allowed='a few words` in quotes|`, such as `"Quote A, 315 L"|Quote A, 315 L`',
        when_absent="quote 1, quote 2 and so on, where there are several of one kind",
    )
    installed_price: float | None = field(
        None,
        about="price installed before certificates and rebates",
        unit="money",
        ge=0,
        le=100_000,
        when_absent="typical installed price",
    )
    includes_wiring: bool | None = field(
        None,
        about="the price holds the circuit that an electric heater needs where there is none",
        when_absent="no: the usual price of a circuit is added",
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
        about="heat pump: heat per unit of electricity in its test report",
        ge=1.5,
        le=7,
        when_absent="usual value of its class",
    )
    cop_air_c: float | None = field(
        None,
        about="heat pump: air temperature of that test",
        unit="degC",
        ge=-15,
        le=45,
        when_absent="19.7",
    )
    cop_wet_bulb_c: float | None = field(
        None,
        about="heat pump: wet bulb temperature of that test",
        unit="degC",
        ge=-15,
        le=35,
        when_absent="that of the standard tests: 13.6 at 19.7, 1 K below the air up to 14",
    )
    cop_water_from_c: float | None = field(
        None,
        about="heat pump: water temperature at the start of that test",
        unit="degC",
        ge=1,
        le=65,
        when_absent="15",
    )
    cop_water_to_c: float | None = field(
        None,
        about="heat pump: water temperature at its end; the same for a single point",
        unit="degC",
        ge=20,
        le=75,
        when_absent="60",
    )
    heat_kw: float | None = field(
        None,
        about="heat pump: heating power at about 20 degC air",
        unit="kW",
        ge=0.5,
        le=20,
        when_absent="usual value of its class",
    )
    grade: Grade | None = field(
        None,
        about="heat pump: how good a unit to take where its COP or heating power is not known",
        when_absent="good",
    )
    cop_model: HeatPumpModel | None = field(
        None,
        about="heat pump: measured curve of small units, or a constant share of the ideal COP",
        when_absent="lab_curve",
    )
    variable_speed: bool | None = field(
        None, about="heat pump: its power can follow spare sun", when_absent="no"
    )
    backup_element: BackupElement | None = field(
        None,
        about="heat pump: its electric element helps in air too cold for it, or also whenever the "
        "tank is cold, or there is none",
        when_absent="cold_air",
    )
    two_elements: bool | None = field(
        None,
        about="electric tank: a second element high up heats the top when hot water runs short",
        when_absent="one element",
    )
    element_kw: float | None = field(
        None,
        about="electric element, or the rated power of an electric continuous heater",
        unit="kW",
        ge=0.5,
        le=48,
        when_absent="3.6 kW; continuous 27 kW; backup of a heat pump 1.5 kW",
    )
    collector_m2: float | None = field(
        None,
        about="solar collectors: the area their efficiency was measured for",
        unit="m2",
        ge=0.5,
        le=50,
        when_absent="usual area",
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
    circulation: Circulation | None = field(
        None,
        about="solar collectors: a pump, or warm water rising by itself to a tank above them",
        when_absent="pump",
    )
    frost_protection: FrostProtection | None = field(
        None,
        about="solar collectors: warm water is circulated on frosty nights, or the loop cannot "
        "freeze",
        when_absent="circulate with a pump, antifreeze without",
    )


class Roof(Table):
    """Where solar thermal collectors, or panels wired straight to an element, would lie."""

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
    horizon_deg: Horizon | None = field(
        None,
        about="height above the level of what hides the sun from this roof, at even steps "
        "clockwise from north (four are north, east, south, west)",
        unit="degrees",
        allowed="4 to 360 numbers from 0 to 90",
        when_absent="open all round",
    )
