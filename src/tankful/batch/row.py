"""A weighed home as a row of a table."""

from __future__ import annotations

import numpy as np

from tankful.advice.compare import Comparison
from tankful.clock import FloatArray
from tankful.model.answer import OptionResult
from tankful.model.home import Home
from tankful.model.table import HomeRow, OptionRow
from tankful.model.tariff import FeedIn, UsageCharge
from tankful.money.priced import first_match
from tankful.units import J_PER_KWH, MJ_PER_KWH


def home_row(
    labels: tuple[str, ...], comparison: Comparison, results: tuple[OptionResult, ...]
) -> HomeRow:
    """What a table keeps of a home and its options, cheapest first."""
    home = comparison.home
    kwh = home.clock.step_s / J_PER_KWH
    spare_w = np.maximum(0.0, home.pv_w - home.house_w)
    tariff, gas = home.electricity_tariff, home.gas_tariff
    load = tariff.controlled_load
    return HomeRow(
        labels=labels,
        place=home.place.name,
        postcode=home.place.postcode,
        state=home.place.state,
        latitude=home.place.latitude,
        people=home.case.people.count,
        air_c=float(home.temp_air_c.mean()),
        panels_kw=sum(array.kw for array in home.case.electricity.arrays),
        panels_kwh=float(home.pv_w.sum()) * kwh,
        house_kwh=float(home.house_w.sum()) * kwh,
        spare_kwh=float(spare_w.sum()) * kwh,
        usage_price=float(_usage_prices(home).mean()),
        off_peak_price=load.price_per_kwh if load and home.off_peak_circuit else None,
        feed_in_price=_mean(_feed_in_prices(home), spare_w),
        gas_price_per_kwh=gas.blocks[0].price_per_mj * MJ_PER_KWH if gas else None,
        margin=results[1].net_present_cost - results[0].net_present_cost if results[1:] else 0.0,
        tie_margin=home.case.wishes.tie_margin,
        options=tuple(_option_row(result) for result in results),
        plan=tariff.name,
    )


def _option_row(result: OptionResult) -> OptionRow:
    sums = result.sums
    return OptionRow(
        id=result.id,
        label=result.label,
        rank=result.rank,
        tied=result.tied_with_best,
        usable=result.choice.usable,
        upfront=result.upfront.total,
        first_year=result.year_one.total,
        cost=result.net_present_cost,
        payback_years=result.payback_years,
        bought_kwh=sums.purchased_kwh,
        electricity_kwh=sums.electricity_kwh,
        gas_kwh=sums.gas_kwh,
        sun_share=sums.solar_share,
        cold_showers=sums.cold_draws,
        emissions_kg=result.emissions_kg,
    )


def _usage_prices(home: Home) -> FloatArray:
    """Price of each step, of plans in blocks the first block's."""
    charges = home.electricity_tariff.usage
    prices = np.array([_first_price(charge) for charge in charges])
    return np.asarray(prices[first_match(charges, home.clock)], dtype=np.float64)


def _feed_in_prices(home: Home) -> FloatArray:
    """What each step pays for exports; hours that no entry covers pay nothing."""
    entries = home.electricity_tariff.feed_in
    prices = np.array([*(_first_price(entry) for entry in entries), 0.0])
    return np.asarray(prices[first_match(entries, home.clock)], dtype=np.float64)


def _first_price(charge: UsageCharge | FeedIn) -> float:
    if charge.price_per_kwh is not None:
        return charge.price_per_kwh
    blocks = charge.blocks if isinstance(charge, UsageCharge) else charge.tiers
    return blocks[0].price_per_kwh


def _mean(values: FloatArray, weights: FloatArray) -> float:
    return float(np.average(values, weights=weights if weights.any() else None))
