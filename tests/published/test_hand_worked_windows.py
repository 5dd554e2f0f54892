"""Free hours, demand and feed-in hours, exact to the cent against arithmetic by hand.

Dates: the 2027 calendar. Daylight saving in Sydney as in the Standard Time Act 1987 (NSW),
from memory: in January the clock is an hour ahead of standard time.
"""

from __future__ import annotations

import numpy as np
import pytest

from tankful.clock import FloatArray, YearClock, dates_of_year, year_clock
from tankful.model.result import Bill
from tankful.model.tariff import (
    DemandCharge,
    ElectricityTariff,
    FeedIn,
    FreeWindow,
    UsageCharge,
)
from tankful.money.settle import electricity_bill, price_year

BRISBANE = year_clock(2027, "Australia/Brisbane", 5, "AU", "QLD")
SYDNEY = year_clock(2027, "Australia/Sydney", 30, "AU", "NSW")


def put(
    series: FloatArray, clock: YearClock, month: int, day: int, hour: float, kwh: float
) -> None:
    """Add energy to the step that starts at this standard time."""
    index = next(i for i, d in enumerate(dates_of_year(2027)) if (d.month, d.day) == (month, day))
    series[index * clock.steps_per_day + round(hour * 60 / clock.step_min)] += kwh


def nothing(clock: YearClock) -> FloatArray:
    return np.zeros(clock.n_steps)


def cents(bill: Bill) -> dict[str, float]:
    return {line.name: round(line.amount, 2) for line in bill.lines}


def settle(tariff: ElectricityTariff, clock: YearClock, imported: FloatArray) -> Bill:
    zero = nothing(clock)
    return electricity_bill(imported, zero, zero, price_year(tariff, clock))


def test_free_hours_stop_at_the_daily_cap() -> None:
    tariff = ElectricityTariff(
        supply_per_day=1.20,
        usage=(
            UsageCharge(name="peak", start="13:00", end="20:00", price_per_kwh=0.50),
            UsageCharge(name="other", price_per_kwh=0.30),
        ),
        # Window and cap of the free midday offer in NSW, AER, from 1 July 2026 (transcribed).
        free_window=FreeWindow(start="11:00", end="14:00", cap_kwh_per_day=24.0),
    )
    imported = nothing(SYDNEY)
    for hour in (10.0, 11.0, 12.0):  # 11:00, 12:00 and 13:00 on the summer clock
        put(imported, SYDNEY, 1, 10, hour, 12.0)
    put(imported, SYDNEY, 7, 10, 10.0, 10.0)
    put(imported, SYDNEY, 7, 10, 12.0, 5.0)
    put(imported, SYDNEY, 7, 11, 11.5, 30.0)
    bill = settle(tariff, SYDNEY, imported)
    # 10 January: 36 kWh in the window, the first 24 free; the 12 from 13:00 pay 0.50 = 6.00
    # 10 July: 10 kWh at 10:00 pay 0.30 = 3.00; 5 kWh at 12:00 free
    # 11 July: 24 of 30 free (what 10 July left is lost), 6 x 0.30 = 1.80
    # supply 365 x 1.20 = 438.00; total 438.00 + 6.00 + 3.00 + 1.80 = 448.80
    assert cents(bill) == {
        "supply charge": 438.00,
        "peak": 6.00,
        "other": 4.80,
        "free hours": 0.00,
    }
    assert bill.lines[3].quantity == pytest.approx(24 + 5 + 24, abs=1e-9)
    assert round(bill.total, 2) == 448.80


def test_demand_is_the_highest_half_hour_inside_the_window() -> None:
    clock = BRISBANE
    tariff = ElectricityTariff(
        supply_per_day=1.00,
        usage=(UsageCharge(price_per_kwh=0.20),),
        demand=(
            DemandCharge(start="15:00", end="21:00", days="weekday", price_per_kw_per_day=0.20),
        ),
    )
    imported = nothing(clock)
    put(imported, clock, 1, 4, 17.0, 1.0)  # Monday: a five-minute spike of 12 kW ...
    for step in range(1, 6):
        put(imported, clock, 1, 4, 17.0 + step / 12, 0.3)  # ... then 3.6 kW
    put(imported, clock, 1, 5, 21.0, 4.0)  # Tuesday after the window
    put(imported, clock, 1, 9, 17.0, 5.0)  # Saturday
    put(imported, clock, 2, 3, 18.5, 1.5)
    put(imported, clock, 2, 4, 18.0 + 25 / 60, 1.0)  # two halves of one spike, in two
    put(imported, clock, 2, 4, 18.5, 1.0)  # half hours: 2 kW each, not 4
    bill = settle(tariff, clock, imported)
    # 4 January 17:00-17:30: 1.0 + 5 x 0.3 = 2.5 kWh in half an hour = 5 kW
    # 3 February 18:30-19:00: 1.5 kWh = 3 kW
    # demand 5 x 31 x 0.20 = 31.00 and 3 x 28 x 0.20 = 16.80, together 47.80
    # usage 2.5 + 4 + 5 + 1.5 + 2 = 15 kWh x 0.20 = 3.00; supply 365.00; total 415.80
    assert cents(bill) == {"supply charge": 365.00, "usage": 3.00, "demand charge": 47.80}
    assert [round(m, 2) for m in bill.lines[2].months[:3]] == [31.00, 16.80, 0.00]
    assert round(bill.total, 2) == 415.80


def test_feed_in_by_hours_pays_nothing_outside_them() -> None:
    tariff = ElectricityTariff(
        supply_per_day=0.0,
        usage=(UsageCharge(price_per_kwh=0.30),),
        feed_in=(
            FeedIn(start="16:00", end="21:00", price_per_kwh=0.10),
            FeedIn(start="10:00", end="16:00", price_per_kwh=0.02),
        ),
    )
    exported = nothing(BRISBANE)
    put(exported, BRISBANE, 5, 1, 17.0, 30.0)
    put(exported, BRISBANE, 5, 1, 12.0, 100.0)
    put(exported, BRISBANE, 5, 1, 8.0, 50.0)
    bill = electricity_bill(
        nothing(BRISBANE), exported, nothing(BRISBANE), price_year(tariff, BRISBANE)
    )
    # 30 x 0.10 = 3.00; 100 x 0.02 = 2.00; the 50 kWh at 08:00 are paid nothing
    assert round(bill.total, 2) == -5.00


def test_the_free_cap_starts_anew_at_clock_midnight() -> None:
    tariff = ElectricityTariff(
        supply_per_day=0.0,
        usage=(UsageCharge(price_per_kwh=0.30),),
        free_window=FreeWindow(cap_kwh_per_day=10.0),
    )
    imported = nothing(SYDNEY)
    put(imported, SYDNEY, 1, 10, 22.0, 12.0)  # the clock shows 23:00 on 10 January
    put(imported, SYDNEY, 1, 10, 23.0, 9.0)  # and 00:00 on 11 January
    # 10 January: 2 kWh beyond the cap x 0.30 = 0.60; 11 January: all free
    assert cents(settle(tariff, SYDNEY, imported))["usage"] == 0.60


def test_a_demand_window_inside_a_half_hour_counts_that_half_hour() -> None:
    tariff = ElectricityTariff(
        supply_per_day=0.0,
        usage=(UsageCharge(price_per_kwh=0.0),),
        demand=(DemandCharge(start="15:10", end="15:20", price_per_kw_per_day=0.50),),
    )
    imported = nothing(BRISBANE)
    put(imported, BRISBANE, 6, 1, 15.0, 1.0)
    put(imported, BRISBANE, 6, 1, 15.5, 3.0)
    # June: 1 kWh from 15:00 to 15:30 = 2 kW x 30 x 0.50 = 30.00
    assert cents(settle(tariff, BRISBANE, imported))["demand charge"] == 30.00
