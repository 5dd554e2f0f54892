"""What hot water costs this home in a year: the bills with the heater, less those without."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tankful.clock import FloatArray
from tankful.model.answer import YearOne
from tankful.model.home import Home
from tankful.model.result import Bill, Flows
from tankful.money.gas import gas_bill
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
        """Whether an option is the one that lets the home leave gas."""
        return self.home.gas_connected and not burns_gas and not self.keeps_gas_anyway

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
        """The home's gas bill with this option; empty when the home leaves gas or has none."""
        connected = self.home.gas_connected and not self.leaves_gas(burns_gas)
        if not connected or self.home.gas_tariff is None:
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
    with_feed_in, with_rest = _split(power, "feed-in")
    without_feed_in, without_rest = _split(power_without, "feed-in")
    with_supply, with_gas = _split(gas, "gas supply")
    without_supply, without_gas = _split(gas_without, "gas supply")
    return YearOne(
        electricity=with_rest - without_rest,
        feed_in_lost=with_feed_in - without_feed_in,
        gas_use=with_gas - without_gas,
        gas_supply=with_supply - without_supply,
    )


def _split(bill: Bill, name: str) -> tuple[float, float]:
    """Sum of the lines whose name starts with ``name``, and of the others."""
    named = sum(line.amount for line in bill.lines if line.name.startswith(name))
    return named, bill.total - named
