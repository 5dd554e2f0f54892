"""What hot water costs this home in a year: the bills with the heater, less those without.

A year of flows becomes what the home's meters count (``Meters``), which knows hours but no
prices; bills follow from that and the plans of a home, and may be worked out again for the same
home under other prices.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from tankful.advice.feed_in import LaterFeedIn, later_feed_in, more_earned
from tankful.clock import FloatArray
from tankful.model.answer import YearOne
from tankful.model.case import BURNS_GAS
from tankful.model.home import Home
from tankful.model.result import Bill, Flows
from tankful.money.gas import SUPPLY_LINE, gas_bill_metered
from tankful.money.lines import month_sums
from tankful.money.settle import MeteredYear, PricedYear, bill_metered, meter_year, price_year
from tankful.simulate.drive import HomeYear
from tankful.units import DAYS_PER_YEAR, J_PER_KWH, J_PER_MJ


@dataclass(frozen=True, eq=False)
class Meters:
    """What the home's meters count in a year: electricity by charge and month, and all gas by
    month [MJ], shape ``(12,)``."""

    power: MeteredYear
    gas_mj: FloatArray


class Bills(NamedTuple):
    """The home's bills of a year. That of gas is empty where the home needs none."""

    power: Bill
    gas: Bill
    later: tuple[LaterFeedIn, ...] = ()
    """What exports earn when a feed-in contract has ended."""

    @property
    def total(self) -> float:
        return self.power.total + self.gas.total

    @property
    def exports_earn(self) -> float:
        """Payment for exports in the year [money]."""
        return -_exported(self.power)


@dataclass(frozen=True, eq=False)
class HomeMoney:
    """The home's plans laid over one clock."""

    home: Home
    year: HomeYear
    priced: PricedYear

    @classmethod
    def of(cls, home: Home, year: HomeYear) -> HomeMoney:
        return cls(home, year, price_year(home.electricity_tariff, year.clock))

    @cached_property
    def meters_without(self) -> Meters:
        """The home's meters without any water heater."""
        without = self.year.without_heater
        nothing = np.zeros_like(without.import_w)
        return self._count(without.import_w, without.export_w, nothing, nothing)

    def meters(self, flows: Flows) -> Meters:
        """The home's meters with one water heater."""
        return self._count(flows.import_w, flows.export_w, flows.controlled_w, flows.gas_w)

    def _count(
        self,
        import_w: FloatArray,
        export_w: FloatArray,
        controlled_w: FloatArray,
        gas_w: FloatArray,
    ) -> Meters:
        clock = self.year.clock
        kwh = clock.step_s / J_PER_KWH
        power = meter_year(import_w * kwh, export_w * kwh, controlled_w * kwh, self.priced)
        other_mj = self.home.case.gas.other_use_mj * power.days / DAYS_PER_YEAR
        return Meters(power, month_sums(gas_w, clock) * clock.step_s / J_PER_MJ + other_mj)

    def bills(self, flows: Flows, burns_gas: bool) -> Bills:
        """The home's bills with one water heater."""
        return bills(self.home, self.meters(flows), burns_gas)

    def bills_without(self) -> Bills:
        """The home's bills without any water heater."""
        return bills(self.home, self.meters_without, burns_gas=False)


def keeps_gas_anyway(home: Home) -> bool:
    """Gas stays connected whatever heats the water."""
    return home.gas_connected and (home.case.constraints.keep_gas or home.case.gas.other_use_mj > 0)


def leaves_gas(home: Home, burns_gas: bool) -> bool:
    """Whether an option ends the home's last use of gas.

    Where nothing burns gas today, an idle connection is not for hot water to leave.
    """
    last_use = home.heater_today.kind in BURNS_GAS and not keeps_gas_anyway(home)
    return home.gas_connected and last_use and not burns_gas


def bills(home: Home, meters: Meters, burns_gas: bool) -> Bills:
    """The home's bills with what its meters count.

    ``home`` may differ in prices from the one that was metered, not in the hours of its plan.
    The supply of the off-peak circuit is charged where anything flows there. Without a gas
    heater and other uses there is no gas bill.
    """
    with_circuit = bool(meters.power.controlled_kwh.any())
    power = bill_metered(
        meters.power, home.electricity_tariff, with_controlled_circuit=with_circuit
    )
    gas = Bill()
    if home.gas_tariff is not None and (burns_gas or keeps_gas_anyway(home)):
        gas = gas_bill_metered(meters.gas_mj, home.gas_tariff, meters.power.days)
    return Bills(power, gas, later_feed_in(home, meters.power))


def search_cost(home: Home, bills: Bills) -> float:
    """Money of a year by which controls are compared: the bills, at the mean of the feed-in
    prices of the years compared. It finds the best single setting for all of them."""
    return bills.total - more_earned(home, bills.exports_earn, bills.later)


def year_one(bills: Bills, without: Bills) -> YearOne:
    """First-year money of hot water from the bills with and without it."""
    exported, exported_without = _exported(bills.power), _exported(without.power)
    supply, supply_without = _supply(bills.gas), _supply(without.gas)
    return YearOne(
        electricity=(bills.power.total - exported) - (without.power.total - exported_without),
        feed_in_lost=exported - exported_without,
        gas_use=(bills.gas.total - supply) - (without.gas.total - supply_without),
        gas_supply=supply - supply_without,
        feed_in_later=tuple(
            (part.from_year, without_heater.earned - part.earned)
            for part, without_heater in zip(bills.later, without.later, strict=True)
        ),
        circuit_supply=_by_the_day(bills.power) - _by_the_day(without.power),
    )


def _exported(bill: Bill) -> float:
    return sum(line.amount for line in bill.lines if line.exported)


def _supply(bill: Bill) -> float:
    return sum(line.amount for line in bill.lines if line.name == SUPPLY_LINE)


def _by_the_day(bill: Bill) -> float:
    """Supply charges of a bill; only an off-peak circuit's depends on the water heater."""
    return sum(line.amount for line in bill.lines if line.unit == "day")
