"""An option carried over the years compared: each part with its own life."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from tankful.advice.certificates import certificate_value
from tankful.advice.option import Option, remaining_life_years
from tankful.advice.reasons import PresentParts
from tankful.model.answer import Upfront, YearOne
from tankful.model.case import ONE_OFF, Wishes
from tankful.model.home import Home
from tankful.model.result import YearCost
from tankful.money.lifetime import (
    EquipmentCost,
    Finance,
    YearOneEnergy,
    add_costs,
    levelised_per_kl,
    levelised_per_kwh,
    lifetime_costs,
    net_present_cost,
    present_shares,
)


@dataclass(frozen=True)
class Life:
    """Costs year by year, and the present value of their parts."""

    costs: tuple[YearCost, ...]
    parts: PresentParts
    finance: Finance

    @property
    def net_present_cost(self) -> float:
        return net_present_cost(self.costs)

    def per_kwh(self, heat_kwh_per_year: float) -> float:
        """Levelised cost of the heat delivered [money/kWh]; infinite where there is none."""
        if heat_kwh_per_year <= 0.0:
            return math.inf
        return levelised_per_kwh(self.costs, self.finance, heat_kwh_per_year=heat_kwh_per_year)

    def per_kl(self, hot_water_kl_per_year: float) -> float:
        """Levelised cost of the water at the tap [money/kL]."""
        return levelised_per_kl(
            self.costs, self.finance, hot_water_kl_per_year=hot_water_kl_per_year
        )


def finance_of(wishes: Wishes) -> Finance:
    """The case's wishes as rates and years."""
    return Finance(
        horizon_years=wishes.horizon_years,
        discount_rate_real=wishes.discount_rate_real,
        electricity_growth_real=wishes.electricity_growth_real,
        feed_in_growth_real=wishes.feed_in_growth_real,
        gas_growth_real=wishes.gas_growth_real,
    )


def life_of(home: Home, option: Option, upfront: Upfront, year_one: YearOne) -> Life:
    """Carry one option over the horizon."""
    finance = finance_of(home.case.wishes)
    equipment = _equipment_costs(home, option)
    one_off = _one_off(home, option)

    def present(
        electricity: float = 0.0,
        feed_in: float = 0.0,
        gas: float = 0.0,
        fixed: float = 0.0,
        later: tuple[tuple[float, float], ...] = (),
    ) -> tuple[YearCost, ...]:
        nothing = EquipmentCost(0.0, 0.0, 1.0, 0.0, 0.0, one_off=fixed)
        return lifetime_costs(nothing, YearOneEnergy(electricity, feed_in, gas, later), finance)

    none = YearOneEnergy(0.0, 0.0, 0.0)
    bought = add_costs(present(), *(lifetime_costs(part, none, finance) for part in equipment))
    upkeep = sum(part.maintenance_per_year for part in equipment)
    upkeep_only = lifetime_costs(EquipmentCost(0.0, 0.0, 1.0, 0.0, upkeep), none, finance)
    streams = {
        "electricity": present(electricity=year_one.electricity - year_one.circuit_supply),
        "circuit_supply": present(electricity=year_one.circuit_supply),
        "export": present(feed_in=year_one.feed_in_lost, later=year_one.feed_in_later),
        "gas": present(gas=year_one.gas_use),
        "gas_supply": present(gas=year_one.gas_supply),
        "leaving_gas": present(fixed=upfront.leaving_gas),
    }
    worth = {name: net_present_cost(costs) for name, costs in streams.items()}
    maintenance = net_present_cost(upkeep_only)
    at_start = sum(part.upfront for part in equipment)
    return Life(
        costs=add_costs(bought, present(fixed=one_off), *streams.values()),
        parts=PresentParts(
            energy=worth.pop("electricity") + worth.pop("gas"),
            purchase=upfront.installed,
            credits=-upfront.certificate_value - upfront.rebate,
            renewal=net_present_cost(bought) - maintenance - at_start,
            upkeep=maintenance,
            **worth,
        ),
        finance=finance,
    )


def bought_present_cost(home: Home, option: Option, leaving_gas: float) -> float:
    """Net present cost of an option without its energy [money]: what ``life_of`` adds to it."""
    finance = finance_of(home.case.wishes)
    parts = (_present_cost(part, finance) for part in _equipment_costs(home, option))
    return sum(parts) + _one_off(home, option) + leaving_gas


@lru_cache(maxsize=256)
def _present_cost(part: EquipmentCost, finance: Finance) -> float:
    """Net present cost of a part without any energy [money]; many options share one."""
    return net_present_cost(lifetime_costs(part, YearOneEnergy(0.0, 0.0, 0.0), finance))


def energy_present_weights(home: Home) -> tuple[float, float, float]:
    """Present value of one unit of money a year of electricity, feed-in and gas [-]."""
    finance = finance_of(home.case.wishes)
    nothing = EquipmentCost(0.0, 0.0, 1.0, 0.0, 0.0)
    units = (YearOneEnergy(1, 0, 0), YearOneEnergy(0, 1, 0), YearOneEnergy(0, 0, 1))
    electricity, feed_in, gas = (
        net_present_cost(lifetime_costs(nothing, unit, finance)) for unit in units
    )
    return electricity, feed_in, gas


def mean_feed_in_lost(home: Home, year_one: YearOne) -> float:
    """Export payment given up in the mean of the years, as these weigh today [money/year]."""
    if not year_one.feed_in_later:
        return year_one.feed_in_lost
    moments = [moment for moment, _ in year_one.feed_in_later]
    shares = present_shares(moments, finance_of(home.case.wishes))
    lost = (year_one.feed_in_lost, *(amount for _, amount in year_one.feed_in_later))
    return sum(share * amount for share, amount in zip(shares, lost, strict=True))


def _equipment_costs(home: Home, option: Option) -> list[EquipmentCost]:
    """What is bought, and today's heater where it is kept."""
    equipment = [_part_cost(home, name) for name in option.parts]
    if option.of_today:
        equipment.append(_kept_cost(home, option))
    return equipment


def _one_off(home: Home, option: Option) -> float:
    """What is paid once and never again."""
    return sum(_paid(home, name) for name in option.parts if name in ONE_OFF)


def _paid(home: Home, name: str) -> float:
    """What a part costs now, after rebate and certificates."""
    part = home.equipment[name]
    return part.installed_price - part.rebate - certificate_value(home, name)


def _part_cost(home: Home, name: str) -> EquipmentCost:
    """A part bought now, renewed after each of its lives; of a one-off part only the upkeep."""
    part = home.equipment[name]
    if name in ONE_OFF:
        return EquipmentCost(0.0, 0.0, 1.0, 0.0, part.maintenance_per_year)
    return EquipmentCost(
        upfront=_paid(home, name),
        replacement=part.replacement_price,
        life_years=part.life_years,
        first_replacement_year=part.life_years,
        maintenance_per_year=part.maintenance_per_year,
    )


def _kept_cost(home: Home, option: Option) -> EquipmentCost:
    """Today's heater: nothing now, a new one of its kind when it fails."""
    part = home.equipment[option.family]
    return EquipmentCost(
        upfront=0.0,
        replacement=part.replacement_price,
        life_years=part.life_years,
        first_replacement_year=remaining_life_years(home, option.family),
        maintenance_per_year=part.maintenance_per_year,
    )
