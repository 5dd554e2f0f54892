"""Rules of panels, tariffs and money."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import numpy as np

from tankful.casefile.faults import shown
from tankful.casefile.mends import ADD_PANELS, add_section
from tankful.casefile.rule import Rule, rule
from tankful.errors import Fault
from tankful.model.case import Case
from tankful.model.window import Window

MOST_PANELS_PER_INVERTER = 1.5
"""Panels beyond this multiple of the inverter lose much of their midday power (judgement)."""

LAST_CERTIFICATE_YEAR = 2030
"""Certificates end with 2030 (Renewable Energy (Electricity) Act 2000, from memory)."""


@rule("electricity.meter_file", "electricity.annual_use_kwh", "electricity.bills")
def use_is_given_once(case: Case, folder: Path) -> Iterator[Fault]:
    power = case.electricity
    if power.meter_file is not None and power.bills:
        yield Fault(
            "electricity.bills",
            "the meter file already says how much is used",
            mend="keep one of the two, best the meter file",
        )
    if power.annual_use_kwh is not None and (power.meter_file is not None or power.bills):
        source = "meter file" if power.meter_file is not None else "bills"
        verb = "says" if power.meter_file is not None else "say"
        yield Fault(
            "electricity.annual_use_kwh",
            f"the {source} already {verb} how much is used",
            f"{power.annual_use_kwh:g}",
            mend="keep one of the two",
        )


@rule("place.postcode", "wishes.currency")
def australia_pays_in_dollars(case: Case, folder: Path) -> Iterator[Fault]:
    if case.place.postcode is not None and case.wishes.currency != "AUD":
        yield Fault(
            "wishes.currency",
            "default prices of an Australian home are Australian dollars",
            f'`"{case.wishes.currency}"|{case.wishes.currency}`',
            '`"AUD"|AUD` with a postcode',
            '`write currency = "AUD"`',
        )


@rule("electricity.off_peak_circuit", "electricity.tariff")
def circuit_has_a_price(case: Case, folder: Path) -> Iterator[Fault]:
    power = case.electricity
    if power.off_peak_circuit and power.tariff and power.tariff.controlled_load is None:
        yield Fault(
            "electricity.off_peak_circuit",
            "the electricity plan has no `controlled load|off-peak circuit`",
            shown(True),
            mend=f"{add_section('electricity.tariff.controlled_load')}, or "
            "`write false|choose “no”`",
        )


@rule("electricity", "gas.tariff", "gas.bottles", "gas.price_per_mj")
def prices_are_given_once(case: Case, folder: Path) -> Iterator[Fault]:
    """A single price replaces one of the default plan, so it says nothing beside a plan that has
    it. A plan without payment for exports takes the single one."""
    power, gas = case.electricity, case.gas
    plan = power.tariff
    beside = {
        "usage_price_per_kwh": plan is not None,
        "feed_in_price_per_kwh": plan is not None and bool(plan.feed_in),
        "off_peak_price_per_kwh": plan is not None and plan.controlled_load is not None,
    }
    for name, doubled in beside.items():
        price = getattr(power, name)
        if price is not None and doubled:
            yield _given_twice(f"electricity.{name}", price, "plan", "electricity.tariff")
    if gas.price_per_mj is not None and gas.bottles is not None:
        yield _given_twice("gas.price_per_mj", gas.price_per_mj, "gas plan", "gas.bottles")
    elif gas.price_per_mj is not None and gas.tariff is not None:
        yield _given_twice("gas.price_per_mj", gas.price_per_mj, "gas plan", "gas.tariff")


def _given_twice(path: str, price: float, plan: str, section: str) -> Fault:
    return Fault(
        path,
        f"the {plan} `in [{section}]|below` already says this price",
        f"{price:g}",
        mend="keep one of the two; a single price is for homes without a plan given",
    )


@rule("electricity.tariff", "electricity.off_peak_price_per_kwh")
def off_peak_price_has_its_hours(case: Case, folder: Path) -> Iterator[Fault]:
    price, plan = case.electricity.off_peak_price_per_kwh, case.electricity.tariff
    if price is not None and plan is not None and plan.controlled_load is None:
        yield Fault(
            "electricity.off_peak_price_per_kwh",
            "the electricity plan has no `controlled load|off-peak circuit`, so this price "
            "has no hours",
            f"{price:g}",
            mend="`remove it|leave this open`, and "
            f"{add_section('electricity.tariff.controlled_load')} with the price and its hours",
        )


@rule("electricity.tariff", "as_of")
def feed_in_contract_runs(case: Case, folder: Path) -> Iterator[Fault]:
    """A contract that ends is still running, and something is said of the time after."""
    feed_in = case.electricity.tariff.feed_in if case.electricity.tariff else ()
    for i, entry in enumerate(feed_in, start=1):
        if entry.until is None:
            continue
        if entry.until < (case.as_of or date.today()):
            yield Fault(
                f"electricity.tariff.feed_in[{i}].until",
                "this payment has ended already, so it does not count",
                entry.until.isoformat(),
                mend="check the year, or remove the entry",
            )
        elif entry.price_after_per_kwh is None:
            yield Fault(
                f"electricity.tariff.feed_in[{i}].until",
                "nothing is paid for exports after that day",
                entry.until.isoformat(),
                mend="add `price_after_per_kwh` with what the plan pays then",
            )


@rule("electricity.arrays", "electricity.inverter_kw")
def inverter_fits_the_panels(case: Case, folder: Path) -> Iterator[Fault]:
    power = case.electricity
    panels_kw = sum(array.kw for array in power.arrays)
    inverter_kw = power.inverter_kw
    if inverter_kw is not None and panels_kw > MOST_PANELS_PER_INVERTER * inverter_kw:
        yield Fault(
            "electricity.inverter_kw",
            f"small for {panels_kw:g} kW of panels: it cuts off their midday power",
            f"{inverter_kw:g}",
            mend="check both ratings",
        )


@rule("electricity.arrays", "electricity.inverter_kw", "electricity.export_limit_kw")
def panels_are_there(case: Case, folder: Path) -> Iterator[Fault]:
    power = case.electricity
    given = [name for name in ("inverter_kw", "export_limit_kw") if getattr(power, name)]
    if given and not power.arrays:
        yield Fault(
            f"electricity.{given[0]}",
            "given, but there are no panels",
            mend=f"{ADD_PANELS}, or `remove it|leave this open`",
        )


@rule("electricity.inverter_kw", "electricity.export_limit_kw")
def export_limit_can_bind(case: Case, folder: Path) -> Iterator[Fault]:
    power = case.electricity
    if power.inverter_kw and power.export_limit_kw and power.export_limit_kw > power.inverter_kw:
        yield Fault(
            "electricity.export_limit_kw",
            "above the inverter's rating, so it never limits anything",
            f"{power.export_limit_kw:g}",
            mend="check both ratings",
        )


@rule("electricity.arrays", "place.latitude", "place.country")
def panels_face_the_sun(case: Case, folder: Path) -> Iterator[Fault]:
    south = case.place.latitude < 0 if case.place.latitude is not None else True
    away = 180.0 if south else 0.0
    for i, array in enumerate(case.electricity.arrays, start=1):
        if array.azimuth_deg is None or array.tilt_deg < 10:
            continue
        if abs((array.azimuth_deg - away + 180) % 360 - 180) < 45:
            yield Fault(
                f"electricity.arrays[{i}].azimuth_deg",
                "these panels face away from the sun",
                f"{array.azimuth_deg:g}",
                mend="north is 0, east 90, south 180, west 270",
            )


@rule("electricity.tariff")
def every_usage_price_applies(case: Case, folder: Path) -> Iterator[Fault]:
    tariff = case.electricity.tariff
    if tariff is None:
        return
    for i, hidden in enumerate(hidden_windows(tariff.usage), start=1):
        if hidden:
            yield Fault(
                f"electricity.tariff.usage[{i}]",
                "never applies: the entries before it take all its hours",
                mend="put the entries with few hours first",
            )


def hidden_windows(windows: tuple[Window, ...]) -> list[bool]:
    """For each window, whether those before it cover all of it."""
    month, weekend, minute = (
        grid.ravel()
        for grid in np.meshgrid(
            np.arange(1, 13), np.array([False, True]), np.arange(1440), indexing="ij"
        )
    )
    taken = np.zeros(month.shape, dtype=bool)
    hidden = []
    for window in windows:
        covered = window.covers(month, weekend, minute)
        hidden.append(not bool((covered & ~taken).any()))
        taken |= covered
    return hidden


@rule("electricity.tariff", "electricity.usage_price_per_kwh", "electricity.feed_in_price_per_kwh")
def export_pays_less_than_use(case: Case, folder: Path) -> Iterator[Fault]:
    power, tariff = case.electricity, case.electricity.tariff
    own_use, own_feed = power.usage_price_per_kwh, power.feed_in_price_per_kwh
    if own_use is not None and own_feed is not None and own_feed > own_use:
        yield _export_pays_more("electricity.feed_in_price_per_kwh", own_feed)
    if tariff is None:
        return
    usage = [charge.price_per_kwh for charge in tariff.usage if charge.price_per_kwh is not None]
    if usage and own_feed is not None and own_feed > max(usage):
        yield _export_pays_more("electricity.feed_in_price_per_kwh", own_feed, " at any time")
    for i, feed in enumerate(tariff.feed_in, start=1):
        price = feed.price_per_kwh
        if usage and price is not None and price > max(usage) and feed.until is None:
            path = f"electricity.tariff.feed_in[{i}].price_per_kwh"
            yield _export_pays_more(path, price, " at any time")


def _export_pays_more(path: str, price: float, when: str = "") -> Fault:
    problem = f"export is paid more than use costs{when}"
    return Fault(path, problem, f"{price:g}", mend="check that the two prices are not swapped")


@rule("as_of")
def prices_are_of_this_time(case: Case, folder: Path) -> Iterator[Fault]:
    if case.as_of is not None and not 2025 <= case.as_of.year <= LAST_CERTIFICATE_YEAR:
        yield Fault(
            "as_of",
            "default prices and rebates are of 2025 to 2026",
            f"{case.as_of.isoformat()}",
            mend="give the plans and quotes of that time yourself",
        )


@rule("as_of", "simulation.year")
def year_is_near_the_advice(case: Case, folder: Path) -> Iterator[Fault]:
    year = case.simulation.year
    if year is not None and case.as_of is not None and abs(year - case.as_of.year) > 2:
        yield Fault(
            "simulation.year",
            f"far from the day of the advice, {case.as_of.isoformat()}",
            f"{year}",
            mend="leave it out for the year after `as_of`",
        )


@rule("wishes.horizon_years")
def horizon_can_be_seen(case: Case, folder: Path) -> Iterator[Fault]:
    if case.wishes.horizon_years > 25:
        yield Fault(
            "wishes.horizon_years",
            "prices so far ahead are a guess",
            f"{case.wishes.horizon_years}",
            mend="10 to 20 years span one life of most heaters",
        )


SUPPLY_RULES: tuple[Rule, ...] = (
    use_is_given_once,
    australia_pays_in_dollars,
    circuit_has_a_price,
    prices_are_given_once,
    off_peak_price_has_its_hours,
)
SUPPLY_WARNINGS: tuple[Rule, ...] = (
    inverter_fits_the_panels,
    panels_are_there,
    export_limit_can_bind,
    panels_face_the_sun,
    every_usage_price_applies,
    export_pays_less_than_use,
    feed_in_contract_runs,
    prices_are_of_this_time,
    year_is_near_the_advice,
    horizon_can_be_seen,
)
