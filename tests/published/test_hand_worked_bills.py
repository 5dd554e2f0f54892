"""Bills settled exactly to the cent against arithmetic written out by hand.

Dates: the 2027 calendar (1 January is a Friday). Public holidays: 1 January and 26 January,
Holidays Act 1983 (Qld), from memory. Daylight saving in Sydney: first Sunday of October to
first Sunday of April, Standard Time Act 1987 (NSW), from memory; in 2027 until 4 April and
from 3 October.
"""

from __future__ import annotations

import numpy as np

from tankful.clock import FloatArray, YearClock, dates_of_year, year_clock
from tankful.model.result import Bill
from tankful.model.tariff import (
    Block,
    ControlledLoad,
    ElectricityTariff,
    FeedIn,
    UsageCharge,
)
from tankful.model.window import Window
from tankful.money.settle import electricity_bill, price_year

BRISBANE = year_clock(2027, "Australia/Brisbane", 30, "AU", "QLD")
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


def settle(
    tariff: ElectricityTariff,
    clock: YearClock,
    imported: FloatArray,
    exported: FloatArray | None = None,
    controlled: FloatArray | None = None,
) -> Bill:
    return electricity_bill(
        imported,
        nothing(clock) if exported is None else exported,
        nothing(clock) if controlled is None else controlled,
        price_year(tariff, clock),
    )


def test_time_of_use_bill_knows_weekends_and_holidays() -> None:
    tariff = ElectricityTariff(
        supply_per_day=1.10,
        usage=(
            UsageCharge(
                name="peak", start="15:00", end="21:00", days="weekday", price_per_kwh=0.50
            ),
            UsageCharge(
                name="shoulder", start="07:00", end="15:00", days="weekday", price_per_kwh=0.30
            ),
            UsageCharge(name="off-peak", price_per_kwh=0.20),
        ),
    )
    imported = nothing(BRISBANE)
    imported[: 31 * 48] = 0.5  # 1 kW through January, nothing after
    bill = settle(tariff, BRISBANE, imported)
    # January 2027: 31 days; Saturdays and Sundays 2 3 9 10 16 17 23 24 30 31 are 10 days;
    # holidays Friday 1 and Tuesday 26; so 31 - 12 = 19 working days.
    # peak      19 days x 6 h             = 114 kWh x 0.50 =  57.00
    # shoulder  19 days x 8 h             = 152 kWh x 0.30 =  45.60
    # off-peak  31 x 24 - 114 - 152       = 478 kWh x 0.20 =  95.60
    # supply    365 x 1.10                                 = 401.50
    assert cents(bill) == {
        "supply charge": 401.50,
        "peak": 57.00,
        "shoulder": 45.60,
        "off-peak": 95.60,
    }
    assert [round(line.quantity, 9) for line in bill.lines] == [365, 114, 152, 478]
    assert round(bill.total, 2) == 599.70
    # January: 31 x 1.10 + 198.20 = 232.30; February: 28 x 1.10 = 30.80
    assert [round(month, 2) for month in bill.months[:2]] == [232.30, 30.80]


def test_time_of_use_bill_follows_the_clock_through_daylight_saving() -> None:
    tariff = ElectricityTariff(
        supply_per_day=1.00,
        usage=(
            UsageCharge(name="peak", start="14:00", end="20:00", price_per_kwh=0.60),
            UsageCharge(name="off-peak", price_per_kwh=0.25),
        ),
    )
    imported = nothing(SYDNEY).reshape(365, 48)
    imported[:, 38:40] = 0.5  # 1 kWh from 19:00 to 20:00 standard time every day
    bill = settle(tariff, SYDNEY, imported.ravel())
    # Under daylight saving the clock shows 20:00 to 21:00, off-peak.
    # 1 January to 3 April: 31 + 28 + 31 + 3 = 93 days; on 4 April the clock is back by 19:00.
    # 3 October to 31 December: 29 + 30 + 31 = 90 days.
    # off-peak 183 x 0.25 = 45.75; peak 365 - 183 = 182 x 0.60 = 109.20; supply 365.00
    assert cents(bill) == {"supply charge": 365.00, "peak": 109.20, "off-peak": 45.75}
    assert round(bill.total, 2) == 519.95


def test_the_night_the_clock_changes_is_billed_by_what_the_clock_showed() -> None:
    tariff = ElectricityTariff(
        supply_per_day=0.0,
        usage=(
            UsageCharge(name="night", start="02:00", end="03:00", price_per_kwh=1.00),
            UsageCharge(name="rest", price_per_kwh=0.10),
        ),
    )
    imported = nothing(SYDNEY).reshape(365, 48)
    imported[:, 0:8] = 0.5  # 4 kWh from 00:00 to 04:00 standard time every day
    bill = settle(tariff, SYDNEY, imported.ravel())
    # 02:00-03:00 on the clock is shown once on every day but two: on 4 April it is shown
    # twice (summer and standard time), on 3 October not at all (02:00 becomes 03:00).
    # Each showing lies inside 00:00-04:00 standard: 01:00-02:00 in summer, 02:00-03:00 else.
    # night 363 + 2 + 0 = 365 kWh x 1.00; rest 4 x 365 - 365 = 1095 x 0.10 = 109.50
    assert cents(bill) == {"supply charge": 0.00, "night": 365.00, "rest": 109.50}
    # By month: April 29 + 2 = 31, October 30 + 0 = 30.
    assert round(bill.lines[1].months[3], 2) == 31.00
    assert round(bill.lines[1].months[9], 2) == 30.00


def test_energy_after_clock_midnight_belongs_to_the_next_month() -> None:
    tariff = ElectricityTariff(supply_per_day=0.0, usage=(UsageCharge(price_per_kwh=0.30),))
    imported = nothing(SYDNEY)
    put(imported, SYDNEY, 1, 31, 23.5, 10.0)  # the clock shows 00:30 on 1 February
    put(imported, SYDNEY, 6, 30, 23.5, 20.0)  # winter: still 30 June
    bill = settle(tariff, SYDNEY, imported)
    # February 10 x 0.30 = 3.00; June 20 x 0.30 = 6.00
    assert [round(m, 2) for m in bill.months] == [0, 3.00, 0, 0, 0, 6.00, 0, 0, 0, 0, 0, 0]


def test_blocks_and_tiers_are_daily_averages_over_the_month() -> None:
    tariff = ElectricityTariff(
        supply_per_day=0.95,
        usage=(
            UsageCharge(
                blocks=(
                    Block(up_to_kwh_per_day=10.0, price_per_kwh=0.28),
                    Block(up_to_kwh_per_day=20.0, price_per_kwh=0.32),
                    Block(price_per_kwh=0.40),
                )
            ),
        ),
        controlled_load=ControlledLoad(
            supply_per_day=0.06, price_per_kwh=0.18, hours=(Window(start="22:00", end="07:00"),)
        ),
        feed_in=(
            FeedIn(
                tiers=(
                    Block(up_to_kwh_per_day=8.0, price_per_kwh=0.12),
                    Block(price_per_kwh=0.04),
                )
            ),
        ),
    )
    imported, exported, controlled = (nothing(BRISBANE) for _ in range(3))
    put(imported, BRISBANE, 1, 17, 18.0, 372.0)  # all on one evening: the average counts
    put(imported, BRISBANE, 2, 1, 9.0, 300.0)
    put(imported, BRISBANE, 2, 28, 20.0, 400.0)
    put(imported, BRISBANE, 3, 5, 6.0, 155.0)
    put(exported, BRISBANE, 1, 3, 12.0, 434.0)
    put(exported, BRISBANE, 2, 9, 12.0, 100.0)
    put(controlled, BRISBANE, 6, 9, 23.0, 90.0)
    bill = settle(tariff, BRISBANE, imported, exported, controlled)
    # January 372 (12 a day): 310 x 0.28 = 86.80; 62 x 0.32 = 19.84
    # February 700 (25 a day): 280 x 0.28 = 78.40; 280 x 0.32 = 89.60; 140 x 0.40 = 56.00
    # March 155 (5 a day): 155 x 0.28 = 43.40
    # first block 86.80 + 78.40 + 43.40 = 208.60; second 109.44; last 56.00; usage 374.04
    # feed-in January 434 (14 a day): 248 x 0.12 = 29.76; 186 x 0.04 = 7.44
    # feed-in February 100 (3.6 a day): 100 x 0.12 = 12.00
    # controlled 90 x 0.18 = 16.20 and 365 x 0.06 = 21.90; supply 365 x 0.95 = 346.75
    # total 346.75 + 374.04 + 21.90 + 16.20 - 41.76 - 7.44 = 709.69
    assert cents(bill) == {
        "supply charge": 346.75,
        "usage up to 10 kWh/day": 208.60,
        "usage up to 20 kWh/day": 109.44,
        "usage above 20 kWh/day": 56.00,
        "controlled load supply": 21.90,
        "controlled load": 16.20,
        "feed-in up to 8 kWh/day": -41.76,
        "feed-in above 8 kWh/day": -7.44,
    }
    assert round(bill.total, 2) == 709.69


def test_each_charge_keeps_its_own_block_allowance() -> None:
    def blocks(first: float, rest: float) -> tuple[Block, ...]:
        return (
            Block(up_to_kwh_per_day=2.0, price_per_kwh=first),
            Block(price_per_kwh=rest),
        )

    tariff = ElectricityTariff(
        supply_per_day=0.0,
        usage=(
            UsageCharge(name="evening", start="17:00", end="22:00", blocks=blocks(0.40, 0.60)),
            UsageCharge(name="other", blocks=blocks(0.20, 0.30)),
        ),
    )
    imported = nothing(BRISBANE)
    put(imported, BRISBANE, 4, 10, 18.0, 100.0)
    put(imported, BRISBANE, 4, 10, 9.0, 50.0)
    bill = settle(tariff, BRISBANE, imported)
    # April has 30 days, so 60 kWh of each charge are in its first block.
    # evening 60 x 0.40 + 40 x 0.60 = 24.00 + 24.00; other 50 x 0.20 = 10.00 (allowance of
    # the evening not touched, own 10 kWh left over)
    assert cents(bill) == {
        "supply charge": 0.0,
        "evening up to 2 kWh/day": 24.00,
        "evening above 2 kWh/day": 24.00,
        "other up to 2 kWh/day": 10.00,
        "other above 2 kWh/day": 0.00,
    }


def test_controlled_use_after_clock_midnight_belongs_to_the_next_month() -> None:
    tariff = ElectricityTariff(
        supply_per_day=0.0,
        usage=(UsageCharge(price_per_kwh=0.30),),
        controlled_load=ControlledLoad(price_per_kwh=0.20, hours=(Window(),)),
    )
    controlled = nothing(SYDNEY)
    put(controlled, SYDNEY, 1, 31, 23.0, 5.0)  # the clock shows 00:00 on 1 February
    bill = settle(tariff, SYDNEY, nothing(SYDNEY), controlled=controlled)
    # February 5 x 0.20 = 1.00
    assert [round(m, 2) for m in bill.months[:3]] == [0.0, 1.00, 0.0]
