"""Water heaters of a home: today's as the case describes it, and new ones of each kind."""

from __future__ import annotations

from dataclasses import replace

from tankful.casefile.defaults import Value, equipment_values, tank_loss_w_per_k, usual_tank_l
from tankful.casefile.filling import Filling
from tankful.errors import CaseError, Fault
from tankful.model.case import BURNS_GAS, CONTINUOUS, SOLAR_THERMAL, HeaterKind, Quote
from tankful.model.system import (
    Circuit,
    Collector,
    Control,
    HeatPumpRating,
    InlineBooster,
    WaterHeater,
)
from tankful.model.tariff import ElectricityTariff
from tankful.physics.heat_pump import RATING_AIR_C, heat_up_mean_factor
from tankful.units import J_PER_MJ

MAINTENANCE_RISE_K = 45.0
"""Water above air in the maintenance-rate test of gas storage heaters (AS 4552, from memory)."""

INLINE_BOOSTED = CONTINUOUS | {"solar_gas"}
"""Kinds in which a continuous heater does the last step to the tap."""

FROST_GUARD_C = 4.0
"""Collector temperature at which warm water is circulated against frost (common practice)."""


class Properties:
    """The numbers of one heater: given ones first, shipped ones noted as assumptions."""

    def __init__(self, filling: Filling, kind: HeaterKind, path: str, grade: str = "good") -> None:
        self._filling = filling
        self._kind = kind
        self._path = path
        self._shipped = equipment_values(kind, grade) if kind != "none" else {}

    def number(self, item: str, given: float | None = None) -> float:
        """The given value, or the shipped one; 0 for an item that this kind lacks."""
        if given is not None:
            return given
        value = self._shipped.get(item)
        if value is None:
            return 0.0
        self._note(item, value)
        return value.number

    def tank_l(self, given: float | None) -> float:
        """The given volume, or the usual one for the people."""
        if given is not None or self._kind in CONTINUOUS:
            return given or 0.0
        value = usual_tank_l(self._kind, self._filling.case.people.count)
        self._note("tank_l", value)
        return value.number

    def loss_w_per_k(self, tank_l: float, efficiency: float) -> float:
        """Standing loss: from the gas it takes to keep a tank hot, or from the standard's limit."""
        if self._kind in CONTINUOUS:
            return 0.0
        if self._kind == "gas_storage":
            rate = self._shipped["maintenance_rate_mj_per_h"]
            heat_w = rate.number * J_PER_MJ / 3600.0 * efficiency
            value = Value(heat_w / MAINTENANCE_RISE_K, "W/K", rate.source_id)
        else:
            value = tank_loss_w_per_k(tank_l)
        self._note("loss_w_per_k", value)
        return value.number

    def _note(self, name: str, value: Value) -> None:
        unit = "" if value.unit == "-" else value.unit
        path = f"{self._path}.{name}"
        self._filling.assume(path, round(value.number, 3), unit, value.source_id)


def new_heater(
    filling: Filling, kind: HeaterKind, quote: Quote | None, *, southern: bool
) -> WaterHeater:
    """A new heater of a kind, by its quote where it says so."""
    properties = Properties(filling, kind, f"quotes[{kind}]", quote.grade if quote else "good")
    heater = _heater(
        properties,
        kind,
        tank_l=quote.tank_l if quote else None,
        element_kw=quote.element_kw if quote else None,
        indoors=filling.case.heater.indoors,
    )
    if kind == "electric_storage" and quote is not None and quote.two_elements:
        return replace(
            heater,
            boost_element_w=properties.number("boost_element_kw") * 1000.0,
            boost_height=properties.number("boost_height"),
        )
    if kind in SOLAR_THERMAL:
        return replace(heater, collector=_collector(filling, properties, quote, southern))
    if kind == "heat_pump":
        return replace(heater, heat_pump=_pump(properties, quote, heater.standby_w))
    return heater


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
    volume_l = properties.tank_l(tank_l)
    share = properties.number("efficiency", efficiency)
    return WaterHeater(
        kind=kind,
        control=Control("always"),
        tank_l=volume_l,
        setpoint_c=properties.number("setpoint_c", setpoint_c),
        deadband_k=properties.number("deadband_k"),
        loss_w_per_k=properties.loss_w_per_k(volume_l, share),
        element_w=properties.number("element_kw", element_kw) * 1000.0,
        burner_w=properties.number("burner_kw") * 1000.0 if kind == "gas_storage" else 0.0,
        efficiency=share,
        heater_height=properties.number("heater_height"),
        booster=_booster(properties, kind, share),
        standby_w=properties.number("standby_w"),
        indoors=indoors and kind != "heat_pump",
    )


def _booster(properties: Properties, kind: HeaterKind, efficiency: float) -> InlineBooster | None:
    if kind not in INLINE_BOOSTED:
        return None
    return InlineBooster(
        fuel="gas" if kind in BURNS_GAS else "electricity",
        efficiency=efficiency,
        start_loss_j=properties.number("start_loss_kj") * 1000.0,
    )


def _collector(
    filling: Filling, properties: Properties, quote: Quote | None, southern: bool
) -> Collector:
    """Collectors of a solar heater, facing the equator unless the case says otherwise."""
    roof = filling.case.roof
    azimuth_deg = roof.azimuth_deg
    if azimuth_deg is None:
        azimuth_deg = 0.0 if southern else 180.0
        filling.assume(
            "roof.azimuth_deg", azimuth_deg, "degrees", "judgement", "facing the equator"
        )
    guarded = quote is None or quote.frost_protection == "circulate"
    return Collector(
        area_m2=properties.number("area_m2", quote.collector_m2 if quote else None),
        eta0=properties.number("eta0", quote.collector_eta0 if quote else None),
        a1_w_per_m2_k=properties.number("a1_w_per_m2_k", quote.collector_a1 if quote else None),
        a2_w_per_m2_k2=properties.number("a2_w_per_m2_k2", quote.collector_a2 if quote else None),
        iam_b0=properties.number("iam_b0"),
        iam_transversal_50=properties.number("iam_transversal_50"),
        tilt_deg=roof.tilt_deg,
        azimuth_deg=azimuth_deg,
        capacity_j_per_m2_k=properties.number("capacity_kj_per_m2_k") * 1000.0,
        flow_kg_per_s_m2=properties.number("flow_kg_per_s_m2"),
        pipe_loss_w_per_k=properties.number("pipe_loss_w_per_k"),
        pump_w=properties.number("pump_w"),
        max_tank_c=properties.number("max_tank_c"),
        frost_guard_c=FROST_GUARD_C if guarded else None,
    )


def _pump(properties: Properties, quote: Quote | None, standby_w: float) -> HeatPumpRating:
    """The heat pump's rating. A quoted COP is that of a whole heat-up, so it is brought to the
    rating point; quoted heating power is taken as it is (the two differ by about 6 %)."""
    quoted = quote.cop if quote else None
    model = quote.cop_model if quote else "lab_curve"
    heat_up = heat_up_mean_factor(carnot_air_c=RATING_AIR_C if model == "carnot" else None)
    return HeatPumpRating(
        heat_w=properties.number("heat_kw", quote.heat_kw if quote else None) * 1000.0,
        cop=properties.number("rating_cop", quoted / heat_up if quoted else None),
        standby_w=standby_w,
        cut_out_air_c=properties.number("cut_out_air_c"),
        frost_penalty=properties.number("frost_penalty"),
        model=model,
        min_share=properties.number("min_share") if quote and quote.variable_speed else 1.0,
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
    if given.kind == "heat_pump":
        heater = replace(heater, heat_pump=_pump(properties, None, heater.standby_w))
    if given.kind in SOLAR_THERMAL:
        collector = _collector(filling, properties, None, southern)
        heater = replace(heater, collector=collector)
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
            "the default plan of this place has no controlled load",
            '"off_peak"',
            mend="give the plan with a section [electricity.tariff.controlled_load]",
        )
        raise CaseError("Today's heater cannot be run.", [fault])
    return Control("off_peak", windows=tariff.controlled_load.hours), "controlled"
