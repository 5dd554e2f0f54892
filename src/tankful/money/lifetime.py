"""An option's costs over the years compared, in today's (real) money.

Year 0 is the installation; year k is the time from k - 1 to k, and its energy and
maintenance are paid at its end. Textbook interest arithmetic is in ``finance``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

from tankful.model.result import YearCost
from tankful.money.finance import first_zero, levelised_cost, present_value

TIME_TOLERANCE_YEARS = 1e-9
"""Replacement times this close to a year's end count as that end."""

HALF_A_CENT = 0.005
"""Cumulative costs this close count as equal, so that rounding is no debt."""


@dataclass(frozen=True)
class EquipmentCost:
    """One piece of equipment over the years [money, years].

    ``upfront`` is paid in year 0, after certificates and rebates; ``replacement`` at
    ``first_replacement_year`` and then every ``life_years``. Keeping what is there is
    ``upfront`` 0 with the years left as ``first_replacement_year``. ``one_off`` is paid in
    year 0 and leaves nothing to sell, such as leaving the gas network.
    """

    upfront: float
    replacement: float
    life_years: float
    first_replacement_year: float
    maintenance_per_year: float
    one_off: float = 0.0

    def __post_init__(self) -> None:
        if not (self.life_years > 0.0 and self.first_replacement_year >= 0.0):
            raise ValueError("life must be above 0 and the first replacement not in the past")


@dataclass(frozen=True)
class YearOneEnergy:
    """What the water heater adds to the first year's bills [money/year].

    Each is the home's bill with the heater less the bill without one; ``feed_in_lost`` is
    the feed-in payment given up. ``feed_in_later`` says what is given up [money/year] from
    some moments on [years from now, rising], when a feed-in contract ends.
    """

    electricity: float
    feed_in_lost: float
    gas: float
    feed_in_later: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class Finance:
    """How the years are weighed: rates above inflation, as fractions a year."""

    horizon_years: int
    discount_rate_real: float
    electricity_growth_real: float = 0.0
    feed_in_growth_real: float = 0.0
    gas_growth_real: float = 0.0

    def __post_init__(self) -> None:
        if self.horizon_years < 1:
            raise ValueError("at least one year must be compared")


def lifetime_costs(
    equipment: EquipmentCost, energy: YearOneEnergy, finance: Finance
) -> tuple[YearCost, ...]:
    """Costs of years 0 to the horizon.

    Energy prices grow from the second year on. A replacement stands in the year that holds
    its moment but is discounted from the moment itself; none is bought at the horizon's very
    end. The last year credits the unused life of the last unit on a straight line.
    """
    bought = replacement_times(equipment, finance.horizon_years)
    rate = finance.discount_rate_real
    years = []
    for year in range(finance.horizon_years + 1):
        moments = [time for time in bought if _year_of(time) == year]
        parts = _running_costs(year, equipment, energy, finance)
        equipment_cost = equipment.replacement * len(moments)
        discounted = sum(present_value(equipment.replacement, rate, time) for time in moments)
        if year == 0:
            equipment_cost += equipment.upfront + equipment.one_off
            discounted += equipment.upfront + equipment.one_off
        residual = 0.0
        if year == finance.horizon_years:
            residual = 0.0 - residual_value(equipment, finance.horizon_years)
        at_year_end = sum(parts.values()) + residual
        years.append(
            YearCost(
                year=year,
                equipment=equipment_cost,
                residual=residual,
                total=equipment_cost + at_year_end,
                discounted=discounted + present_value(at_year_end, rate, year),
                **parts,
            )
        )
    return tuple(years)


def replacement_times(equipment: EquipmentCost, horizon_years: int) -> tuple[float, ...]:
    """Moments of replacement before the horizon's end [years from now]."""
    times = []
    time = equipment.first_replacement_year
    while time < horizon_years - TIME_TOLERANCE_YEARS:
        times.append(time)
        time = equipment.first_replacement_year + len(times) * equipment.life_years
    return tuple(times)


def residual_value(equipment: EquipmentCost, horizon_years: int) -> float:
    """Worth at the horizon of the unused life of the last unit, on a straight line."""
    bought = replacement_times(equipment, horizon_years)
    if bought:
        price, end = equipment.replacement, bought[-1] + equipment.life_years
    else:  # what is kept cost nothing now, but is worth what a new one would be
        price = equipment.upfront or equipment.replacement
        end = equipment.first_replacement_year
    unused = min(end - horizon_years, equipment.life_years)
    return price * unused / equipment.life_years if unused > TIME_TOLERANCE_YEARS else 0.0


def add_costs(*parts: tuple[YearCost, ...]) -> tuple[YearCost, ...]:
    """Costs of several pieces of equipment with the same horizon, year by year."""
    return tuple(
        YearCost(
            year=rows[0].year,
            **{
                name: sum(getattr(row, name) for row in rows)
                for name in YearCost.__dataclass_fields__
                if name != "year"
            },
        )
        for rows in zip(*parts, strict=True)
    )


def net_present_cost(costs: Sequence[YearCost]) -> float:
    """All years' costs as worth today."""
    return sum(year.discounted for year in costs)


def payback_years(option_costs: Sequence[YearCost], base_costs: Sequence[YearCost]) -> float | None:
    """Simple payback of an option against a base [years].

    The option's cumulative cost, not discounted and without residual value, rises above the
    base's and later falls back to it: that moment, linear within a year. A later renewal of its
    own may put it behind again; what was first bought has then been paid back all the same. Where
    its running costs put it behind again (having met the base's renewal on the way, say), the next
    time counts. 0.0 when it never rises above; ``None`` when it stays above, when it is behind at
    the horizon also with the residual values counted, or when its net present cost is higher:
    what is dearer in the end is not paid back.
    """
    if net_present_cost(option_costs) > net_present_cost(base_costs) + HALF_A_CENT:
        return None
    with_residuals = sum(base.total for base in base_costs) - sum(c.total for c in option_costs)
    ahead, ever_behind, met = 0.0, False, None
    for year, (option, base) in enumerate(zip(option_costs, base_costs, strict=True)):
        before = ahead
        ahead += (base.total - base.residual) - (option.total - option.residual)
        was_behind, is_behind = before < -HALF_A_CENT, ahead < -HALF_A_CENT
        ever_behind = ever_behind or is_behind
        if was_behind and not is_behind and met is None:
            crossed = first_zero((before, ahead))
            met = float(year) if crossed is None else year - 1 + crossed
        elif is_behind and not was_behind:
            renewed = option.equipment - base.equipment
            if ahead + max(0.0, renewed) < -HALF_A_CENT:
                met = None
    if not ever_behind:
        return 0.0
    return None if ahead < -HALF_A_CENT and with_residuals < -HALF_A_CENT else met


def levelised_per_kl(
    costs: Sequence[YearCost], finance: Finance, *, hot_water_kl_per_year: float
) -> float:
    """Net present cost as an equal yearly payment, per kilolitre at the tap [money/kL]."""
    return _levelised(costs, finance, hot_water_kl_per_year)


def levelised_per_kwh(
    costs: Sequence[YearCost], finance: Finance, *, heat_kwh_per_year: float
) -> float:
    """Net present cost as an equal yearly payment, per kWh of delivered heat [money/kWh]."""
    return _levelised(costs, finance, heat_kwh_per_year)


def _levelised(costs: Sequence[YearCost], finance: Finance, output_per_year: float) -> float:
    return levelised_cost(
        net_present_cost(costs),
        finance.discount_rate_real,
        finance.horizon_years,
        cost_per_year=0.0,
        output_per_year=output_per_year,
    )


def _running_costs(
    year: int, equipment: EquipmentCost, energy: YearOneEnergy, finance: Finance
) -> dict[str, float]:
    """Energy and maintenance paid at the end of ``year``; nothing in year 0."""
    if year == 0:
        return {"electricity": 0.0, "feed_in_lost": 0.0, "gas": 0.0, "maintenance": 0.0}
    grown = year - 1
    return {
        "electricity": energy.electricity * (1.0 + finance.electricity_growth_real) ** grown,
        "feed_in_lost": _feed_in_lost(year, energy) * (1.0 + finance.feed_in_growth_real) ** grown,
        "gas": energy.gas * (1.0 + finance.gas_growth_real) ** grown,
        "maintenance": equipment.maintenance_per_year,
    }


def _feed_in_lost(year: int, energy: YearOneEnergy) -> float:
    """Feed-in given up in ``year`` at the first year's prices: the mean of its parts by time."""
    moments = [moment for moment, _ in energy.feed_in_later]
    amounts = (energy.feed_in_lost, *(amount for _, amount in energy.feed_in_later))
    return sum(
        amount * share for amount, share in zip(amounts, shares_of_year(year, moments), strict=True)
    )


def shares_of_year(year: int, moments: Sequence[float]) -> tuple[float, ...]:
    """Shares of ``year`` (from year - 1 to year) before the first of the rising ``moments``
    [years from now], between each and the next, and after the last; they sum to one."""
    edges = [float(year - 1), *(min(max(m, year - 1.0), float(year)) for m in moments), float(year)]
    return tuple(after - before for before, after in pairwise(edges))


def present_shares(moments: Sequence[float], finance: Finance) -> tuple[float, ...]:
    """How much of all years' feed-in money, as worth today, falls before the first of the
    rising ``moments``, between each and the next, and after the last; they sum to one."""
    growth, rate = 1.0 + finance.feed_in_growth_real, finance.discount_rate_real
    worth = [0.0] * (len(moments) + 1)
    for year in range(1, finance.horizon_years + 1):
        value = present_value(growth ** (year - 1), rate, year)
        for i, share in enumerate(shares_of_year(year, moments)):
            worth[i] += value * share
    return tuple(part / sum(worth) for part in worth)


def _year_of(time: float) -> int:
    """The year that holds a moment: (k - 1, k] is year k."""
    return ceil(time - TIME_TOLERANCE_YEARS)
