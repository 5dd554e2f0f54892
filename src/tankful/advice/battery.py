"""Battery and hot water share the same spare sun: what the other order would do to both."""

from __future__ import annotations

from dataclasses import replace

from tankful.advice.compare import Comparison
from tankful.advice.wording import money
from tankful.model.answer import OptionResult
from tankful.simulate.run import simulate, year_sums

FOLLOWS_SUN = ("diverter", "surplus_switch")


def battery_notes(
    comparison: Comparison, options: tuple[OptionResult, ...], currency: str
) -> tuple[str, ...]:
    """The best option that follows spare sun, as it is and with the other of the two served
    first under the same setting; nothing without a battery or such an option."""
    battery = comparison.home.case.electricity.battery
    option = next((o for o in options if o.choice.control.kind in FOLLOWS_SUN), None)
    if battery is None or option is None:
        return ()
    other = "battery" if battery.first == "water" else "water"
    grid = replace(comparison.year.grid, battery=battery.model_copy(update={"first": other}))
    year = replace(comparison.year, grid=grid)
    flows = simulate(option.heater, year)
    sums = year_sums(flows, year)
    dearer = (
        comparison.money.bills(flows, burns_gas=False).power.total - option.electricity_bill.total
    )
    return (
        f"{option.label}: with the {battery.first} first, hot water buys "
        f"{option.sums.purchased_kwh:,.0f} kWh a year and the battery gives the home "
        f"{option.sums.battery_kwh:,.0f} kWh; with the {other} first it would be "
        f"{sums.purchased_kwh:,.0f} and {sums.battery_kwh:,.0f} kWh, and the home's electricity "
        f"bill {money(abs(dearer), currency)} a year {'higher' if dearer >= 0 else 'lower'}.",
    )
