"""The home with new panels on it: what they cost and save it, and hot water beside them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from tankful.advice.compare import Comparison, upfront_of
from tankful.advice.feed_in import LaterFeedIn
from tankful.advice.life import finance_of, life_of
from tankful.advice.option import Option
from tankful.advice.settle import Bills, HomeMoney, leaves_gas, year_one
from tankful.model.answer import YearOne
from tankful.model.home import Home, NewArray, PanelOffer
from tankful.model.panel_study import PanelsAlone
from tankful.model.result import YearSums
from tankful.model.system import WaterHeater
from tankful.money.certificates import pv_certificates
from tankful.money.lifetime import (
    EquipmentCost,
    YearOneEnergy,
    add_costs,
    lifetime_costs,
    net_present_cost,
)
from tankful.simulate.drive import HomeYear, grid_side
from tankful.simulate.run import simulate, year_sums
from tankful.units import J_PER_KWH

NO_PANELS = PanelsAlone(0.0, 0.0, 0.0, 0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


@dataclass(frozen=True, eq=False)
class PaneledHome:
    """The home with new panels of one size, its year and its money."""

    home: Home
    year: HomeYear
    money: HomeMoney
    bills_without: Bills
    """Its bills without any water heater."""
    alone: PanelsAlone


@dataclass(frozen=True)
class HotWaterYear:
    """Hot water of one heater for a year: the home's bills with it less those of the same home,
    panels included, without any."""

    heater: WaterHeater
    sums: YearSums
    year_one: YearOne
    usable: bool = True
    """False with more than one cold shower a week beyond those of always on."""


def home_with(home: Home, offer: PanelOffer, array: NewArray) -> Home:
    """The same home with ``array`` beside today's panels; its feed-in contract is over."""
    plan = home.electricity_tariff.on(date.max)
    power = home.case.electricity.model_copy(update={"export_limit_kw": offer.export_limit_kw})
    made_w = np.minimum(array.kw * offer.made_w_per_kw, array.inverter_kw * 1000.0)
    case = home.case.model_copy(update={"electricity": power})
    return replace(home, case=case, electricity_tariff=plan, pv_w=home.pv_w + made_w)


def paneled(comparison: Comparison, offer: PanelOffer, array: NewArray) -> PaneledHome:
    """The home of a comparison with ``array``, on the steps of its year."""
    home = home_with(comparison.home, offer, array)
    year = replace(
        comparison.year,
        pv_w=np.ascontiguousarray(home.pv_w, dtype=np.float64),
        grid=grid_side(home.case.electricity, comparison.year.clock),
    )
    money = replace(comparison.money, home=home, year=year)
    bills_without = money.bills_without()
    change = year_one(_in_time(bills_without, comparison.bills_without), comparison.bills_without)
    made_w = home.pv_w - comparison.home.pv_w
    made_kwh = float(made_w.sum()) * home.clock.step_s / J_PER_KWH
    alone = panels_alone(comparison.home, offer, array, change, made_kwh)
    return PaneledHome(home, year, money, bills_without, alone)


def _in_time(bills: Bills, today: Bills) -> Bills:
    """Bills whose exports earn the same all the years, told at the moments at which ``today``'s
    earnings change."""
    later = tuple(LaterFeedIn(part.from_year, bills.exports_earn) for part in today.later)
    return bills._replace(later=later)


def panels_alone(
    home: Home, offer: PanelOffer, array: NewArray, change: YearOne, made_kwh: float
) -> PanelsAlone:
    """New panels over the years, for a house whose bill they change by ``change``.

    The first inverter is part of the price, but has its own life.
    """
    certificates = array_certificates(home, array.kw)
    value = certificates * home.case.wishes.certificate_price
    upfront = array.installed_price - value - offer.rebate
    inverter_part = min(array.inverter_price, max(0.0, upfront))
    panels = EquipmentCost(
        upfront=upfront - inverter_part,
        replacement=array.installed_price - min(array.inverter_price, array.installed_price),
        life_years=offer.life_years,
        first_replacement_year=offer.life_years,
        maintenance_per_year=offer.maintenance_per_year,
    )
    inverter = EquipmentCost(
        upfront=inverter_part,
        replacement=array.inverter_price,
        life_years=offer.inverter_life_years,
        first_replacement_year=offer.inverter_life_years,
        maintenance_per_year=0.0,
    )
    finance = finance_of(home.case.wishes)
    energy = YearOneEnergy(change.electricity, change.feed_in_lost, 0.0, change.feed_in_later)
    nothing = YearOneEnergy(0.0, 0.0, 0.0)
    costs = add_costs(
        lifetime_costs(panels, energy, finance), lifetime_costs(inverter, nothing, finance)
    )
    return PanelsAlone(
        kw=array.kw,
        inverter_kw=array.inverter_kw,
        installed=array.installed_price,
        certificates=certificates,
        certificate_value=value,
        rebate=offer.rebate,
        upfront=upfront,
        made_kwh=made_kwh,
        year_one=change.total,
        net_present_cost=net_present_cost(costs),
    )


def array_certificates(home: Home, kw: float) -> int:
    """Certificates of new panels on the day of advice; none outside Australia, nor where they
    make the home a power station."""
    zone = home.place.pv_zone
    today_kw = sum(array.kw for array in home.case.electricity.arrays)
    if zone is None or not pv_certificates(today_kw + kw, zone, home.as_of.year):
        return 0
    return pv_certificates(kw, zone, home.as_of.year)


def hot_water_year(place: PaneledHome, option: Option, heater: WaterHeater) -> HotWaterYear:
    """Simulate and settle one heater beside the panels."""
    flows = simulate(heater, place.year)
    bills = place.money.bills(flows, option.burns_gas)
    sums = year_sums(flows, place.year)
    return HotWaterYear(heater, sums, year_one(bills, place.bills_without))


def hot_water_cost(home: Home, option: Option, first_year: YearOne) -> float:
    """Net present cost of hot water, as in the plain answer."""
    leaving = home.gas_leaving_cost if leaves_gas(home, option.burns_gas) else 0.0
    upfront = upfront_of(home, option, leaving)
    return life_of(home, option, upfront, first_year).net_present_cost
