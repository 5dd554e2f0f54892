"""What a heat pump's element costs when it is set to help whenever the tank is cold."""

from __future__ import annotations

from dataclasses import dataclass, replace

from tankful.advice.compare import Comparison
from tankful.advice.settle import year_one
from tankful.advice.wording import money
from tankful.casefile.defaults import equipment_values
from tankful.model.answer import OptionResult
from tankful.simulate.run import simulate, year_sums

LEAST_COST = 1.0
"""A year in which the setting costs less says nothing [money]."""


@dataclass(frozen=True)
class BackupCost:
    """What an element that helps whenever the tank is cold costs more than in cold air only."""

    option: OptionResult
    """The heat pump that ranks first, run as it is best run."""
    is_set_so: bool
    """The case says that its element helps so; else it is a trap to keep out of."""
    below_c: float
    kwh: float
    cost: float

    def words(self, currency: str) -> dict[str, str]:
        """What the cautions' texts quote."""
        return {
            "element_of": self.option.label,
            "element_below_c": f"{self.below_c:g}",
            "element_kwh": f"{self.kwh:,.0f}",
            "element_cost": money(self.cost, currency),
        }


def has_backup(option: OptionResult) -> bool:
    """A heat pump with an electric element."""
    return option.heater.heat_pump is not None and option.heater.element_w > 0.0


def backup_cost(comparison: Comparison, results: tuple[OptionResult, ...]) -> BackupCost | None:
    """The year of the best heat pump under the other setting of its element; ``None`` without a
    heat pump that has one, or where it costs next to nothing."""
    option = next((each for each in results if has_backup(each)), None)
    pump = option.heater.heat_pump if option else None
    if option is None or pump is None:
        return None
    is_set_so = pump.backup_below_c is not None
    below_c = pump.backup_below_c or equipment_values("heat_pump")["backup_below_c"].number
    other = replace(pump, backup_below_c=None if is_set_so else below_c)
    flows = simulate(replace(option.heater, heat_pump=other), comparison.year)
    paid = year_one(comparison.money.bills(flows, burns_gas=False), comparison.bills_without)
    more_kwh = year_sums(flows, comparison.year).purchased_kwh - option.sums.purchased_kwh
    more = paid.total - option.year_one.total
    sign = -1.0 if is_set_so else 1.0
    found = BackupCost(option, is_set_so, below_c, sign * more_kwh, sign * more)
    return found if found.cost >= LEAST_COST else None
