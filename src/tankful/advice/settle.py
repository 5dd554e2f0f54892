"""What hot water costs this home in a year: the bills with the heater, less those without."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tankful.clock import FloatArray
from tankful.model.answer import YearOne
from tankful.model.case import BURNS_GAS
from tankful.model.home import Home
from tankful.model.result import Bill, Flows
from tankful.money.gas import SUPPLY_LINE, gas_bill
from tankful.money.settle import PricedYear, electricity_bill, electricity_cost, price_year
from tankful.simulate.drive import HomeYear
from tankful.units import J_PER_KWH, J_PER_MJ


@dataclass(frozen=True, eq=False)
class HomeMoney:
    """The home's plans priced on one clock, and its electricity without water heating."""

    home: Home
    year: HomeYear
    priced: PricedYear
    import_without_kwh: FloatArray
    export_without_kwh: FloatArray
    other_gas_mj: FloatArray
    """Gas for other uses, per step (spread evenly over the year)."""

    @classmethod
    def of(cls, home: Home, year: HomeYear) -> HomeMoney:
        kwh = year.clock.step_s / J_PER_KWH
        without = year.without_heater
        n = year.clock.n_steps
        return cls(
            home=home,
            year=year,
            priced=price_year(home.electricity_tariff, year.clock),
            import_without_kwh=without.import_w * kwh,
            export_without_kwh=without.export_w * kwh,
            other_gas_mj=np.full(n, home.case.gas.other_use_mj / n),
        )

    @property
    def keeps_gas_anyway(self) -> bool:
        """Gas stays connected whatever heats the water."""
        asked = self.home.case.constraints.keep_gas or self.home.case.gas.other_use_mj > 0
        return self.home.gas_connected and asked

    def leaves_gas(self, burns_gas: bool) -> bool:
        """Whether an option ends the home's last use of gas.

        Where nothing burns gas today, an idle connection is not for hot water to leave.
        """
        last_use = self.home.heater_today.kind in BURNS_GAS and not self.keeps_gas_anyway
        return self.home.gas_connected and last_use and not burns_gas

    def cost(self, flows: Flows) -> float:
        """Money of the year for comparing controls of one heater: energy only."""
        kwh = flows.step_s / J_PER_KWH
        return electricity_cost(
            flows.import_w * kwh, flows.export_w * kwh, flows.controlled_w * kwh, self.priced
        )

    def bill(self, flows: Flows) -> Bill:
        """The home's whole electricity bill with this option."""
        kwh = flows.step_s / J_PER_KWH
        return electricity_bill(
            flows.import_w * kwh,
            flows.export_w * kwh,
            flows.controlled_w * kwh,
            self.priced,
            with_controlled_circuit=bool(flows.controlled_w.any()),
        )

    def bill_without(self) -> Bill:
        """The home's electricity bill without any water heater."""
        nothing = np.zeros_like(self.import_without_kwh)
        return electricity_bill(
            self.import_without_kwh,
            self.export_without_kwh,
            nothing,
            self.priced,
            with_controlled_circuit=False,
        )

    def gas_bill(self, flows: Flows, burns_gas: bool) -> Bill:
        """The home's gas bill with this option; empty when it and the home need no gas."""
        needed = burns_gas or self.keeps_gas_anyway
        if not needed or self.home.gas_tariff is None:
            return Bill()
        gas_mj = flows.gas_w * flows.step_s / J_PER_MJ + self.other_gas_mj
        return gas_bill(gas_mj, self.home.gas_tariff, self.year.clock)

    def gas_bill_without(self) -> Bill:
        """The gas bill of the other uses alone; empty when nothing else burns gas."""
        if not self.keeps_gas_anyway or self.home.gas_tariff is None:
            return Bill()
        return gas_bill(self.other_gas_mj, self.home.gas_tariff, self.year.clock)


def year_one(power: Bill, power_without: Bill, gas: Bill, gas_without: Bill) -> YearOne:
    """First-year money of hot water from the bills with and without it."""
    exported, exported_without = _exported(power), _exported(power_without)
    supply, supply_without = _supply(gas), _supply(gas_without)
    return YearOne(
        electricity=(power.total - exported) - (power_without.total - exported_without),
        feed_in_lost=exported - exported_without,
        gas_use=(gas.total - supply) - (gas_without.total - supply_without),
        gas_supply=supply - supply_without,
    )


def _exported(bill: Bill) -> float:
    return sum(line.amount for line in bill.lines if line.exported)


def _supply(bill: Bill) -> float:
    return sum(line.amount for line in bill.lines if line.name == SUPPLY_LINE)
