"""Settling a simulated year again under another plan."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from measure import Figure, Section, interleaved, median_ms, median_ratio
from tankful.clock import FloatArray, YearClock
from tankful.model.home import Home
from tankful.model.system import Control
from tankful.model.tariff import (
    Block,
    ControlledLoad,
    DemandCharge,
    ElectricityTariff,
    FeedIn,
    FreeWindow,
    UsageCharge,
)
from tankful.model.window import Window
from tankful.money.settle import bill_metered, electricity_bill, meter_year, price_year
from tankful.simulate.drive import home_year
from tankful.simulate.run import simulate
from tankful.units import J_PER_KWH

TARGET_MS = 20.0


def invented_plan() -> ElectricityTariff:
    """A plan with every kind of charge, made up for the purpose."""
    return ElectricityTariff(
        name="every kind of charge",
        supply_per_day=1.1,
        usage=(
            UsageCharge(name="peak", start="15:00", end="21:00", days="weekday", price_per_kwh=0.5),
            UsageCharge(name="noon", start="10:00", end="15:00", price_per_kwh=0.12),
            UsageCharge(
                name="rest",
                blocks=(
                    Block(up_to_kwh_per_day=8.0, price_per_kwh=0.27),
                    Block(price_per_kwh=0.31),
                ),
            ),
        ),
        controlled_load=ControlledLoad(
            price_per_kwh=0.18, hours=(Window(start="22:00", end="07:00"),)
        ),
        feed_in=(
            FeedIn(
                start="10:00",
                end="14:00",
                tiers=(
                    Block(up_to_kwh_per_day=5.0, price_per_kwh=0.04),
                    Block(price_per_kwh=0.01),
                ),
            ),
            FeedIn(price_per_kwh=0.08),
        ),
        free_window=FreeWindow(start="11:00", end="13:00", cap_kwh_per_day=6.0),
        demand=(DemandCharge(start="16:00", end="20:00", price_per_kw_per_day=0.2),),
    )


def _by_hand(
    import_kwh: FloatArray, export_kwh: FloatArray, clock: YearClock
) -> tuple[float, float]:
    """A flat plan step by step in plain Python: what settling costs without arrays."""
    bought = sold = 0.0
    months = [0.0] * 12
    month = clock.clock_month.tolist()
    for i, (kwh, back) in enumerate(zip(import_kwh.tolist(), export_kwh.tolist(), strict=True)):
        bought += 0.3 * kwh
        sold += 0.05 * back
        months[month[i] - 1] += kwh
    return bought, sold


def measure_bills(home: Home) -> Section:
    """Time a settlement from flows to a bill, and from metered months to a bill."""
    year = home_year(home)
    heater = home.equipment["electric_storage"].heater
    assert heater is not None
    flows = simulate(replace(heater, control=Control("always")), year)
    kwh = year.clock.step_s / J_PER_KWH
    import_kwh, export_kwh = flows.import_w * kwh, flows.export_w * kwh
    controlled_kwh = np.zeros_like(import_kwh)
    plan = invented_plan()
    priced = price_year(plan, year.clock)
    metered = meter_year(import_kwh, export_kwh, controlled_kwh, priced)
    seconds = interleaved(
        {
            "new": lambda: electricity_bill(
                import_kwh, export_kwh, controlled_kwh, price_year(plan, year.clock)
            ),
            "same": lambda: electricity_bill(import_kwh, export_kwh, controlled_kwh, priced),
            "prices": lambda: bill_metered(metered, plan),
            "plain": lambda: _by_hand(import_kwh, export_kwh, year.clock),
        }
    )
    reference = f"a flat plan step by step in plain Python, {median_ms(seconds['plain']):.3g} ms"

    def figure(what: str, name: str, most: float | None) -> Figure:
        ratio = median_ratio(seconds[name], seconds["plain"])
        return Figure(what, median_ms(seconds[name]), "ms", reference, ratio, most)

    return Section(
        "Settlement of a simulated year",
        [
            figure("a new plan: laid over the year, metered, billed", "new", TARGET_MS),
            figure("the same hours again for other flows", "same", TARGET_MS),
            figure("other prices for the same hours and flows", "prices", TARGET_MS),
        ],
        [
            f"{year.clock.n_steps:,} steps; an invented plan with three usage windows, blocks, "
            "tiered feed-in, capped free hours and a demand charge."
        ],
    )
