"""Water heaters of a home: today's as the case describes it, and new ones of each kind."""

from __future__ import annotations

from dataclasses import replace

from tankful.casefile.filling import Filling
from tankful.casefile.heat_pumps import heat_pump_rating
from tankful.casefile.mends import section
from tankful.casefile.properties import Properties
from tankful.casefile.solar import collector_of
from tankful.errors import CaseError, Fault
from tankful.model.case import (
    BURNER_IN_TANK,
    BURNS_GAS,
    INLINE_BOOSTED,
    SOLAR_THERMAL,
    HeaterKind,
    HeaterToday,
    Quote,
)
from tankful.model.kinds import BackupElement
from tankful.model.system import Circuit, Control, InlineBooster, WaterHeater
from tankful.model.tariff import ElectricityTariff


def new_heater(
    filling: Filling, kind: HeaterKind, quote: Quote | None, *, southern: bool, path: str
) -> WaterHeater:
    """A new heater of a kind, by its quote where it says so; what is assumed stands below
    ``path``."""
    grade = (quote.grade if quote else None) or "good"
    properties = Properties(filling, kind, path, grade)
    heater = _heater(
        properties,
        kind,
        tank_l=quote.tank_l if quote else None,
        element_kw=quote.element_kw if quote else None,
        indoors=filling.case.heater.indoors,
    )
    if quote is not None and quote.two_elements:
        heater = _with_second_element(heater, properties)
    return _with_source(heater, properties, quote, quote, southern=southern)


def _heater(
    properties: Properties,
    kind: HeaterKind,
    *,
    tank_l: float | None = None,
    element_kw: float | None = None,
    setpoint_c: float | None = None,
    efficiency: float | None = None,
    indoors: bool = False,
) -> WaterHeater:
    """A heater without its source of heat; what is not given is shipped.

    The power of a booster heats the water behind the tank, not in it.
    """
    volume_l = properties.tank_l(tank_l)
    share = properties.number("efficiency", efficiency)
    element_w = properties.number("element_kw", element_kw) * 1000.0
    burner_w = properties.number("burner_kw") * 1000.0
    return WaterHeater(
        kind=kind,
        control=Control("always"),
        tank_l=volume_l,
        setpoint_c=properties.number("setpoint_c", setpoint_c),
        deadband_k=properties.number("deadband_k"),
        loss_w_per_k=properties.loss_w_per_k(volume_l, share),
        element_w=0.0 if kind == "solar_inline" else element_w,
        burner_w=burner_w if kind in BURNER_IN_TANK else 0.0,
        efficiency=share,
        heater_height=properties.number("heater_height"),
        booster=_booster(properties, kind, share, burner_w or element_w),
        standby_w=properties.number("standby_w"),
        indoors=indoors and kind != "heat_pump",
    )


def _booster(
    properties: Properties, kind: HeaterKind, efficiency: float, rated_w: float
) -> InlineBooster | None:
    if kind not in INLINE_BOOSTED:
        return None
    return InlineBooster(
        fuel="gas" if kind in BURNS_GAS else "electricity",
        efficiency=efficiency,
        start_loss_j=properties.number("start_loss_kj") * 1000.0,
        heat_w=rated_w * efficiency,
    )


def _with_second_element(heater: WaterHeater, properties: Properties) -> WaterHeater:
    """An element high up in the tank that catches up in place of the main one."""
    return replace(
        heater,
        boost_element_w=properties.number("boost_element_kw") * 1000.0,
        boost_height=properties.number("boost_height"),
    )


def _with_source(
    heater: WaterHeater,
    properties: Properties,
    quote: Quote | None,
    given: Quote | HeaterToday | None,
    *,
    southern: bool,
) -> WaterHeater:
    """The heater with its heat pump or its collectors; without a pump the tank is on the roof.

    ``given`` is what the case tells of the heater: its quote or today's.
    """
    if heater.kind == "heat_pump":
        return _with_heat_pump(heater, properties, quote, given.backup_element if given else None)
    if heater.kind in SOLAR_THERMAL:
        circulation = given.circulation if given else None
        collector = collector_of(properties, quote, circulation, southern=southern)
        on_the_roof = circulation == "thermosiphon"
        indoors = heater.indoors and not on_the_roof
        return replace(heater, collector=collector, indoors=indoors)
    return heater


def _with_heat_pump(
    heater: WaterHeater, properties: Properties, quote: Quote | None, given: BackupElement | None
) -> WaterHeater:
    """The heater with its heat pump, and without an element where it has none."""
    usual: BackupElement = "cold_air"
    backup = properties.word("backup_element", given, usual, "common-practice")
    mark_c = properties.number("backup_below_c") if backup == "cold_tank" else None
    pump = heat_pump_rating(properties, quote, heater.standby_w)
    return replace(
        heater,
        heat_pump=replace(pump, backup_below_c=mark_c),
        element_w=0.0 if backup == "none" else heater.element_w,
    )


def heater_today(
    filling: Filling, tariff: ElectricityTariff | None, *, southern: bool
) -> WaterHeater:
    """Today's heater with its control. CaseError when it needs hours that the plan lacks."""
    given = filling.case.heater
    if given.kind == "none":
        return WaterHeater(kind="none", control=Control("always"))
    named = given.model_fields_set
    properties = Properties(filling, given.kind, "heater")
    element_given = given.kind == "electric_storage" or "element_kw" in named
    setpoint_given = given.kind not in INLINE_BOOSTED or "setpoint_c" in named
    heater = _heater(
        properties,
        given.kind,
        tank_l=given.tank_l,
        element_kw=given.element_kw if element_given else None,
        setpoint_c=given.setpoint_c if setpoint_given else None,
        efficiency=given.efficiency,
        indoors=given.indoors,
    )
    if given.two_elements:
        heater = _with_second_element(heater, properties)
    heater = _with_source(heater, properties, None, given, southern=southern)
    control, circuit = _control_today(filling, tariff)
    return replace(heater, control=control, circuit=circuit)


def _control_today(filling: Filling, tariff: ElectricityTariff | None) -> tuple[Control, Circuit]:
    given = filling.case.heater
    if given.control == "hours":
        return Control("hours", windows=given.hours), "general"
    if given.control == "always" or tariff is None:
        return Control("always"), "general"
    if tariff.controlled_load is None:
        fault = Fault(
            "heater.control",
            "the default plan of this place has no `controlled load|off-peak circuit`",
            '`"off_peak"`',
            mend=f"give the plan with {section('electricity.tariff.controlled_load')}",
        )
        raise CaseError("Today's heater cannot be run.", [fault])
    return Control("off_peak", windows=tariff.controlled_load.hours), "controlled"
