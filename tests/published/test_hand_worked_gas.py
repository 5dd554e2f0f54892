"""Gas bills settled exactly to the cent against arithmetic written out by hand."""

from __future__ import annotations

import numpy as np

from tankful.clock import year_clock
from tankful.model.tariff import GasBlock, GasTariff
from tankful.money.gas import gas_bill

BRISBANE = year_clock(2027, "Australia/Brisbane", 30, "AU", "QLD")


def test_gas_bill_fills_blocks_by_the_month_and_hot_water_pays_the_margin() -> None:
    tariff = GasTariff(
        supply_per_day=0.80,
        blocks=(
            GasBlock(up_to_mj_per_day=50.0, price_per_mj=0.042),
            GasBlock(up_to_mj_per_day=100.0, price_per_mj=0.036),
            GasBlock(price_per_mj=0.030),
        ),
    )
    gas_mj = np.zeros(BRISBANE.n_steps)
    gas_mj[: 31 * 48] = 60.0 / 48
    gas_mj[31 * 48 : 59 * 48] = 70.0 / 48
    other = np.array([30.0 * 31, 80.0 * 28, *[0.0] * 10])
    bill = gas_bill(gas_mj, tariff, BRISBANE, other_use_mj_by_month=other)
    # January 60 + 30 = 90 a day: 1550 x 0.042 = 65.10; 1240 x 0.036 = 44.64
    # February 70 + 80 = 150 a day: 1400 x 0.042 = 58.80; 1400 x 0.036 = 50.40;
    #   1400 x 0.030 = 42.00
    # supply 365 x 0.80 = 292.00; total 292.00 + 109.74 + 151.20 = 552.94
    assert {line.name: round(line.amount, 2) for line in bill.lines} == {
        "gas supply charge": 292.00,
        "gas usage up to 50 MJ/day": 123.90,
        "gas usage up to 100 MJ/day": 95.04,
        "gas usage above 100 MJ/day": 42.00,
    }
    assert round(bill.total, 2) == 552.94
    # Without hot water: January 930 x 0.042 = 39.06; February 1400 x 0.042 + 840 x 0.036 =
    # 58.80 + 30.24 = 89.04. Hot water: 109.74 + 151.20 - 39.06 - 89.04 = 132.84
    without = gas_bill(np.zeros_like(gas_mj), tariff, BRISBANE, other_use_mj_by_month=other)
    assert round(bill.total - without.total, 2) == 132.84
    # As the last use of gas it carries the supply charge. January 1550 x 0.042 + 310 x 0.036
    # = 76.26; February 1400 x 0.042 + 560 x 0.036 = 78.96; 292.00 + 155.22 = 447.22
    assert round(gas_bill(gas_mj, tariff, BRISBANE).total, 2) == 447.22


def test_gas_after_clock_midnight_belongs_to_the_next_month() -> None:
    clock = year_clock(2027, "Australia/Sydney", 60, "AU", "NSW")
    tariff = GasTariff(supply_per_day=0.0, blocks=(GasBlock(price_per_mj=0.05),))
    gas_mj = np.zeros(clock.n_steps)
    gas_mj[30 * 24 + 23] = 40.0  # 31 January 23:00 standard: the clock shows 1 February
    # February 40 x 0.05 = 2.00
    assert [round(m, 2) for m in gas_bill(gas_mj, tariff, clock).months[:2]] == [0.0, 2.00]
