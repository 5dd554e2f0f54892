"""How far the best setting of an option is from what perfect foresight could reach."""

from __future__ import annotations

from tankful.advice.cheapest_heat import cheapest_heat
from tankful.advice.compare import Comparison
from tankful.advice.foresight_supply import battery_of, cost_at_rest, supply_of
from tankful.advice.foresight_year import store_of
from tankful.advice.option import Option
from tankful.advice.settle import bills
from tankful.model.answer import Foresight
from tankful.model.case import BURNS_GAS, CONTINUOUS, INLINE_BOOSTED
from tankful.simulate.run import simulate


def why_no_bound(comparison: Comparison, option: Option) -> str:
    """Why foresight is not reckoned for an option; empty when it can be."""
    kind = option.heater.kind
    if kind in CONTINUOUS or option.heater.tank_l == 0.0:
        return "it has no tank, so there is nothing to time"
    if kind in INLINE_BOOSTED - BURNS_GAS:
        return "its electricity heats the water as it flows, so there is nothing to time"
    if kind in BURNS_GAS:
        return "a gas price does not change with the hour, so there is nothing to time"
    if comparison.year.grid.battery is not None and comparison.home.electricity_tariff.demand:
        return "a battery under a demand charge is not reckoned with foresight"
    return ""


def foresee(comparison: Comparison, option: Option) -> Foresight:
    """The option's year always on, under its best setting, and at the least it could ever cost.

    ValueError for an option that ``why_no_bound`` names.
    """
    if why := why_no_bound(comparison, option):
        raise ValueError(f"{option.id}: {why}")
    year, money = comparison.year, comparison.money
    found = comparison.search(option)
    heater = found.best.heater
    flows = simulate(heater, year)
    plan = cheapest_heat(
        store_of(option, heater, flows, year),
        supply_of(heater, year, money),
        battery_of(year, money, heater),
    )
    without = comparison.bills_without.power.total
    always = bills(comparison.home, found.always.meters, option.burns_gas).power.total
    best = money.bills(flows, option.burns_gas).power.total
    return Foresight(
        option_id=option.id,
        label=option.label,
        control=heater.control,
        always_cost=always - without,
        best_cost=best - without,
        bound_cost=cost_at_rest(heater, year, money) + plan.money - without,
    )
