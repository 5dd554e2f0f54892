"""What the people do: hot-water draws and the rest of the house's electricity."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tankful.casefile.bill_words import billed_notes, billed_words
from tankful.casefile.bills import Period
from tankful.casefile.defaults import usual_house_kwh
from tankful.casefile.filling import Filling
from tankful.clock import FloatArray, YearClock
from tankful.model.case import CarCharging, People
from tankful.site.place import Place
from tankful.units import DAYS_PER_YEAR, J_PER_KWH
from tankful.use.draws import Draws
from tankful.use.house_bills import load_from_bills
from tankful.use.house_load import load_from_annual, load_from_meter
from tankful.use.household import household_draws
from tankful.use.load_shape import SOURCE_ID as SHAPE_SOURCE
from tankful.use.meter import MeterData
from tankful.use.patterns import standard_draws
from tankful.use.read_meter import read_meter


def draws_of(filling: Filling, clock: YearClock, place: Place, people: People) -> Draws:
    """A year of hot-water draws by the people and their habits."""
    if people.pattern != "household":
        return standard_draws(clock, people.pattern)
    draws = draws_of_litres(clock, place, people, people.hot_litres_per_person_per_day)
    count = f"{draws.start_s.size:,} draws a year"
    filling.assume("people (draws)", count, "", draws.source_id, " ".join(draws.notes).rstrip("."))
    return draws


def draws_of_litres(clock: YearClock, place: Place, people: People, litres: float) -> Draws:
    """A year of draws of a household with so much hot water a person a day [L]."""
    return household_draws(
        clock,
        people.count,
        hot_litres_per_person_per_day=litres,
        seed=people.seed,
        season=people.season,
        southern=place.southern,
        habits=people.habits,
    )


@dataclass(frozen=True, eq=False)
class HouseUse:
    """The house's electricity without water heating [W], shape ``(n_steps,)``, in words too.

    ``again`` makes it anew with a modelled water heater taken out of the meter's general
    register; ``None`` where nothing is to be taken out.
    """

    house_w: FloatArray
    text: str
    notes: tuple[str, ...] = ()
    again: Callable[[FloatArray], HouseUse] | None = None
    off_peak: tuple[Period, ...] = ()
    """What the meter's off-peak register says, month by month."""


def house_use_of(
    filling: Filling, clock: YearClock, place: Place, pv_w: FloatArray, *, heater_inside: bool
) -> HouseUse:
    """From the meter file, the bills, the yearly figure, or the number of people.

    ``heater_inside`` says that an electric water heater is part of the meter's general
    register or of the bills. FileError or CaseError when the meter file is unfit.
    """
    power = filling.case.electricity
    if power.bills:
        return _by_bills(filling, clock, place, pv_w, heater_inside=heater_inside)
    if power.meter_file is None:
        return _by_figure(filling, clock, place)
    path = filling.beside(power.meter_file)
    zone = filling.case.place.time_zone or place.tz
    meter = read_meter(path, tz=zone, utc_offset_h=clock.utc_offset_h)
    panels_kw = sum(array.kw for array in power.arrays)

    def use(heater_w: FloatArray | None) -> HouseUse:
        load = load_from_meter(
            meter,
            clock,
            pv_w=pv_w if power.arrays else None,
            heater_w=heater_w,
            pv_kw=panels_kw or None,
            southern=place.southern,
        )
        return HouseUse(
            house_w=load.house_w,
            text=meter_words(meter),
            notes=load.notes,
            off_peak=off_peak_months(meter),
            again=use if heater_inside and heater_w is None else None,
        )

    return use(None)


def _by_bills(
    filling: Filling, clock: YearClock, place: Place, pv_w: FloatArray, *, heater_inside: bool
) -> HouseUse:
    power = filling.case.electricity
    bills = [(bill.first, bill.last, bill.kwh) for bill in power.bills]
    filling.assume("electricity.meter_file", "published shape", "", SHAPE_SOURCE, "bills are given")

    def use(heater_w: FloatArray | None) -> HouseUse:
        load = load_from_bills(
            clock,
            bills,
            pv_w=pv_w if power.arrays else None,
            heater_w=heater_w,
            southern=place.southern,
        )
        year_kwh = float(load.house_w.sum()) * clock.step_s / J_PER_KWH
        return HouseUse(
            house_w=load.house_w,
            text=billed_words(bills, year_kwh),
            notes=billed_notes(
                load, has_panels=bool(power.arrays), heater_out=heater_w is not None
            ),
            again=use if heater_inside and heater_w is None else None,
        )

    return use(None)


def _by_figure(filling: Filling, clock: YearClock, place: Place) -> HouseUse:
    annual_kwh = filling.case.electricity.annual_use_kwh
    if annual_kwh is None:
        usual = usual_house_kwh(filling.case.people.count)
        annual_kwh = usual.number
        filling.assume("electricity.annual_use_kwh", annual_kwh, "kWh", usual.source_id)
    how = "no meter file is given"
    filling.assume("electricity.meter_file", "published shape", "", SHAPE_SOURCE, how)
    return HouseUse(
        house_w=load_from_annual(clock, annual_kwh, southern=place.southern),
        text=f"{annual_kwh:,.0f} kWh a year in the published daily shape",
    )


def car_w(car: CarCharging | None, clock: YearClock) -> FloatArray:
    """Power of the car [W], shape ``(n_steps,)``: evenly over its clock hours."""
    charging = np.zeros(clock.n_steps)
    if car is None:
        return charging
    inside = np.logical_or.reduce([window.mask(clock) for window in car.hours])
    year_j = car.kwh_per_day * DAYS_PER_YEAR * J_PER_KWH
    charging[inside] = year_j / (inside.sum() * clock.step_s)
    return charging


FEWEST_DAYS_OF_MONTH = 20


def off_peak_months(meter: MeterData) -> tuple[Period, ...]:
    """First and last metered day of each month and the off-peak register's kWh from one to the
    other; days without a reading are taken as the others. Months of few readings are left out."""
    if meter.controlled_kwh is None:
        return ()
    by_month: dict[tuple[int, int], list[int]] = {}
    for i, day in enumerate(meter.dates):
        by_month.setdefault((day.year, day.month), []).append(i)
    daily_kwh = meter.controlled_kwh.sum(axis=1)
    months = []
    for rows in by_month.values():
        first, last = meter.dates[rows[0]], meter.dates[rows[-1]]
        kwh = float(daily_kwh[rows].mean()) * ((last - first).days + 1)
        if len(rows) >= FEWEST_DAYS_OF_MONTH and kwh > 0.0:
            months.append((first, last, kwh))
    return tuple(months)


def meter_words(meter: MeterData) -> str:
    """What a meter file holds, in one line."""
    days = len(meter.dates)
    registers = [f"import {_per_day(meter.import_kwh, days)}"]
    if meter.export_kwh is not None:
        registers.append(f"export {_per_day(meter.export_kwh, days)}")
    if meter.controlled_kwh is not None:
        registers.append(f"controlled load {_per_day(meter.controlled_kwh, days)}")
    return (
        f"{meter.file}: {days} whole days from {meter.dates[0]} to {meter.dates[-1]}, "
        f"every {meter.interval_min} min; a day {', '.join(registers)}"
    )


def _per_day(kwh: FloatArray, days: int) -> str:
    return f"{float(kwh.sum()) / days:.1f} kWh"
