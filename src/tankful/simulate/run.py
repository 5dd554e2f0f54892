"""One water heater, one year: heater and control in, flows and yearly sums out."""

from __future__ import annotations

import numpy as np

from tankful.clock import FloatArray
from tankful.model.result import Flows, YearSums
from tankful.model.system import WaterHeater
from tankful.simulate import ledger
from tankful.simulate.comfort import (
    cold_events,
    cold_litres,
    felt_draws,
    longest_gap_h,
    night_run_h,
    stagnation_h,
)
from tankful.simulate.control import allowed_input_w
from tankful.simulate.drive import HomeYear
from tankful.simulate.kernel import fresh_state, simulate_year
from tankful.simulate.params import Drive, Record, build_plant, empty_record
from tankful.units import J_PER_KWH, J_PER_MJ, WATER_CP_J_PER_KG_K
from tankful.use.draws import heat_within_j

INDOOR_C = 20.0
"""Air around a tank that stands inside (EU 812/2013 test room, from memory)."""


def simulate(heater: WaterHeater, year: HomeYear) -> Flows:
    """Simulate one year of ``heater`` in the home.

    Raises ModelError when the heat or the electricity ledger does not close.
    """
    if heater.kind == "none":
        record, stored_j = _no_heater(year), 0.0
    elif heater.tank_l == 0.0:
        record, stored_j = _boosted(heater, year, _no_heater(year)), 0.0
    else:
        record, stored_j = _storage(heater, year)
        record = _boosted(heater, year, record)
    return _with_grid(heater, year, record, stored_j)


def _storage(heater: WaterHeater, year: HomeYear) -> tuple[Record, float]:
    """A tank heater's record and the change of its stored heat [J]."""
    plant = build_plant(heater, layers=year.layers, step_s=year.clock.step_s)
    drive = drive_of(heater, year)
    temps_c = np.full(year.layers, float(heater.setpoint_c))
    record = empty_record(year.clock.n_steps)
    simulate_year(plant, drive, temps_c, fresh_state(), record)
    stored_j = float((temps_c - heater.setpoint_c).sum()) * plant.layer_heat_j_per_k
    return record, stored_j


def drive_of(heater: WaterHeater, year: HomeYear) -> Drive:
    """What acts on a tank heater in this home, its control among it."""
    quiet = year.quiet if heater.kind == "heat_pump" else None
    allowed_w, catch_up_w = allowed_input_w(heater, year.clock, year.surplus_w, quiet)
    return Drive(
        air_c=year.air_c,
        wet_bulb_c=year.wet_bulb_c,
        around_c=np.full(year.clock.n_steps, INDOOR_C) if heater.indoors else year.air_c,
        cold_c=year.cold_c,
        draw_kg=year.draws.mixed_kg,
        wanted_c=year.draws.wanted_c,
        allowed_w=allowed_w,
        catch_up_w=catch_up_w,
        absorbed_w_per_m2=_absorbed_w_per_m2(heater, year),
        direct_w=_direct_w(heater, year),
    )


def _wanted_heat_w(year: HomeYear) -> FloatArray:
    lift_k = np.maximum(0.0, year.draws.wanted_c - year.cold_c)
    return year.draws.mixed_kg * lift_k * WATER_CP_J_PER_KG_K / year.clock.step_s


def _absorbed_w_per_m2(heater: WaterHeater, year: HomeYear) -> FloatArray:
    if heater.collector is None:
        return np.zeros(year.clock.n_steps)
    return year.absorbed_w_per_m2[heater.collector]


def _direct_w(heater: WaterHeater, year: HomeYear) -> FloatArray:
    if not heater.has_direct_panels or year.direct_pv_w is None:
        return np.zeros(year.clock.n_steps)
    return year.direct_pv_w


def _boosted(heater: WaterHeater, year: HomeYear, record: Record) -> Record:
    """Lift what comes too cold in a continuous heater, with a loss at each of its starts.

    It does so only while water runs, so that its power limits the lift at the flow of the draws
    themselves: what lacks then stays unmet.
    All water then passes the booster, so the tank's own sanitising rule does not apply (AS
    3498, from memory): ``low_c`` and ``since_hot_h`` become NaN.
    """
    booster = heater.booster
    if booster is None:
        return record
    draws = year.draws
    step_s = year.clock.step_s
    heat_w = heat_within_j(draws, record.unmet_w * step_s, booster.heat_w) / step_s
    runs = np.concatenate([[0], np.cumsum(heat_w > 0.0)])
    started = runs[draws.event_step_end + 1] > runs[draws.event_step_start]
    starts = np.bincount(draws.event_step_start[started], minlength=year.clock.n_steps)
    bought_w = heat_w / booster.efficiency + starts * booster.start_loss_j / step_s
    is_gas = booster.fuel == "gas"
    return record._replace(
        gas_w=record.gas_w + bought_w if is_gas else record.gas_w,
        electric_w=record.electric_w if is_gas else record.electric_w + bought_w,
        heat_w=record.heat_w + heat_w,
        delivered_w=record.delivered_w + heat_w,
        unmet_w=np.maximum(0.0, record.unmet_w - heat_w),
        low_c=np.full_like(heat_w, np.nan),
        on_share=record.on_share if is_gas else draws.drawn_share,
        since_hot_h=np.full_like(heat_w, np.nan),
    )


def _no_heater(year: HomeYear) -> Record:
    """No water is heated: every draw stays cold."""
    zeros = np.zeros(year.clock.n_steps)
    absent = np.full(year.clock.n_steps, np.nan)
    return Record(
        electric_w=zeros,
        gas_w=zeros,
        heat_w=zeros,
        delivered_w=zeros,
        unmet_w=_wanted_heat_w(year),
        loss_w=zeros,
        top_c=absent,
        mean_c=absent,
        low_c=absent,
        solar_w=zeros,
        pump_w=zeros,
        direct_w=zeros,
        collector_c=absent,
        on_share=zeros,
        since_hot_h=absent,
    )


def _with_grid(heater: WaterHeater, year: HomeYear, record: Record, stored_j: float) -> Flows:
    """Settle the general circuit against the panels and the export limit; close the ledgers.

    The pump of collectors runs by day, so it hangs on the general circuit in any case.
    """
    nothing_w = np.zeros_like(record.electric_w)
    if heater.circuit == "general":
        bursts_w, steady_w = record.electric_w, record.pump_w + heater.standby_w
        controlled_w = nothing_w
    else:
        bursts_w, steady_w = nothing_w, record.pump_w
        controlled_w = record.electric_w + heater.standby_w
    grid = year.grid.flows(year.house_w + steady_w, bursts_w, year.pv_w, record.on_share)
    flows = Flows(
        house_w=year.house_w,
        pv_w=year.pv_w,
        heater_w=bursts_w + steady_w,
        controlled_w=controlled_w,
        gas_w=record.gas_w,
        import_w=grid.import_w,
        export_w=grid.export_w,
        curtailed_w=grid.curtailed_w,
        battery_w=grid.battery_w,
        heat_w=record.heat_w,
        solar_w=record.solar_w,
        direct_w=record.direct_w,
        delivered_w=record.delivered_w,
        loss_w=record.loss_w,
        unmet_w=record.unmet_w,
        top_c=record.top_c,
        mean_c=record.mean_c,
        low_c=record.low_c,
        since_hot_h=record.since_hot_h,
        outlet_c=_outlet_c(year, record),
        collector_c=record.collector_c,
        stored_change_j=stored_j,
        step_s=year.clock.step_s,
    )
    ledger.close(f"heat of {heater.kind}", heat_residual(flows))
    ledger.close(f"electricity of {heater.kind}", power_residual(flows))
    return flows


def _outlet_c(year: HomeYear, record: Record) -> FloatArray:
    """Mixed temperature at the tap; NaN without a draw."""
    drawn = year.draws.drawn
    heat_j = record.delivered_w[drawn] * year.clock.step_s
    kg = year.draws.mixed_kg[drawn]
    outlet_c = np.full(year.clock.n_steps, np.nan)
    outlet_c[drawn] = year.cold_c[drawn] + heat_j / (kg * WATER_CP_J_PER_KG_K)
    return outlet_c


def heat_residual(flows: Flows) -> float:
    """Residual of the year's heat ledger [-]."""
    series = (flows.heat_w, flows.solar_w, flows.delivered_w, flows.loss_w)
    heat_j, solar_j, delivered_j, loss_j = (float(w.sum()) * flows.step_s for w in series)
    return ledger.heat_residual(heat_j + solar_j, delivered_j, loss_j, flows.stored_change_j)


def power_residual(flows: Flows) -> float:
    """Residual of the year's electricity ledger on the general circuit [-]."""
    used = (flows.house_w, flows.heater_w, flows.battery_w)
    series = (flows.pv_w, flows.import_w, *used, flows.export_w, flows.curtailed_w)
    pv_j, import_j, *used_j, export_j, curtailed_j = (float(w.sum()) * flows.step_s for w in series)
    return ledger.power_residual(pv_j, import_j, sum(used_j), export_j, curtailed_j)


def year_sums(flows: Flows, year: HomeYear) -> YearSums:
    """Yearly sums of one option's flows."""
    kwh = flows.step_s / J_PER_KWH
    without_w = year.without_heater.import_w
    bought_kwh = float((flows.import_w - without_w).sum()) * kwh
    controlled_kwh = float(flows.controlled_w.sum()) * kwh
    general_kwh = float(flows.heater_w.sum()) * kwh
    direct_kwh = float(flows.direct_w.sum()) * kwh
    own_sun_kwh = max(0.0, general_kwh - bought_kwh) + direct_kwh
    gas_kwh = float(flows.gas_w.sum()) * kwh
    solar_kwh = float(flows.solar_w.sum()) * kwh
    electricity_kwh = general_kwh + controlled_kwh + direct_kwh
    energy_kwh = electricity_kwh + gas_kwh + max(0.0, solar_kwh)
    return YearSums(
        purchased_kwh=bought_kwh + controlled_kwh,
        controlled_kwh=controlled_kwh,
        own_sun_kwh=own_sun_kwh,
        direct_kwh=direct_kwh,
        battery_kwh=_backwards_kwh(flows.battery_w, flows.step_s),
        electricity_kwh=electricity_kwh,
        gas_mj=float(flows.gas_w.sum()) * flows.step_s / J_PER_MJ,
        gas_kwh=gas_kwh,
        heat_kwh=float(flows.heat_w.sum()) * kwh,
        heat_delivered_kwh=float(flows.delivered_w.sum()) * kwh,
        standing_loss_kwh=float(flows.loss_w.sum()) * kwh,
        unmet_kwh=float(flows.unmet_w.sum()) * kwh,
        mixed_l=float(year.draws.mixed_kg.sum()),
        cold_draws=cold_events(flows.outlet_c, year.draws),
        cold_litres=cold_litres(flows.outlet_c, year.draws),
        draws=felt_draws(year.draws),
        collector_kwh=solar_kwh,
        frost_kwh=_backwards_kwh(flows.solar_w, flows.step_s),
        stagnation_h=stagnation_h(flows.collector_c, step_s=flows.step_s),
        solar_share=(own_sun_kwh + max(0.0, solar_kwh)) / energy_kwh if energy_kwh else 0.0,
        ledger_residual=heat_residual(flows),
        longest_below_60_h=longest_gap_h(flows.since_hot_h),
        night_run_h=night_run_h(flows.heat_w, year.clock),
    )


def _backwards_kwh(power_w: FloatArray, step_s: float) -> float:
    """Energy of the steps at which a flow runs backwards."""
    return abs(float(np.minimum(power_w, 0.0).sum())) * step_s / J_PER_KWH
