"""Whether today's heater, simulated with what its bills say, meets those bills."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tankful.casefile.bill_words import MET_WITHIN
from tankful.model.calibration import Calibration
from tankful.model.home import Home
from tankful.simulate.drive import HomeYear
from tankful.simulate.run import simulate
from tankful.units import DAYS_PER_YEAR, J_PER_KWH, MJ_PER_KWH
from tankful.use.bill_fit import period_sums


def confirmed(home: Home, year: HomeYear) -> Calibration | None:
    """The estimate with each bill simulated, and a warning where all together miss what was
    billed; unchanged where nothing was taken from the bills."""
    found = home.calibration
    if found is None or not found.takes_losses:
        return found
    flows = simulate(home.heater_today, year)
    series_w = flows.gas_w if found.source == "gas bills" else flows.controlled_w
    daily = series_w.reshape(DAYS_PER_YEAR, -1).sum(axis=1) * flows.step_s / J_PER_KWH
    if found.unit == "MJ":
        daily = daily * MJ_PER_KWH
    if found.other_use_per_day is not None:
        daily = daily + found.other_use_per_day.value
    sums = period_sums(daily, [(bill.first, bill.last) for bill in found.bills])
    bills = tuple(
        replace(bill, simulated=float(amount))
        for bill, amount in zip(found.bills, sums, strict=True)
    )
    made = replace(found, bills=bills)
    used = np.array([bill.used for bill in bills])
    billed = sum(bill.measured for bill in found.used)
    miss = float(sums[used].sum()) / billed - 1.0
    if abs(miss) <= MET_WITHIN:
        return made
    words = (
        f"The simulation of today's heater misses these bills by {miss:+.0%}: check its setting, "
        "its hours and its size; the estimate is uncertain."
    )
    return replace(made, warnings=(*made.warnings, words))
