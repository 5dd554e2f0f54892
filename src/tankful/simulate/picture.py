"""One option's year boiled down to two days and twelve months."""

from __future__ import annotations

import numpy as np

from tankful.clock import FloatArray, IntArray, YearClock, dates_of_year, month_of_day
from tankful.model.home import Home
from tankful.model.picture import DayPicture, Season, Series, YearPicture
from tankful.model.result import Flows
from tankful.model.system import WaterHeater
from tankful.simulate.drive import HomeYear
from tankful.simulate.run import drive_of
from tankful.units import DAYS_PER_YEAR, J_PER_KWH, MINUTES_PER_DAY

PART_MIN = 15
"""A day is drawn in parts of at least this length."""

SOUTHERN_SUMMER = (12, 1, 2)
NORTHERN_SUMMER = (6, 7, 8)


def bought_w(flows: Flows, year: HomeYear) -> FloatArray:
    """Grid electricity that the water heater causes, step by step [W]; a battery may make
    it negative for a while."""
    return flows.import_w - year.without_heater.import_w + flows.controlled_w


def year_picture(flows: Flows, year: HomeYear) -> YearPicture:
    """Twelve months of what feeds the water heater."""
    clock = year.clock
    kwh = clock.step_s / J_PER_KWH

    def months(power_w: FloatArray) -> FloatArray:
        return np.bincount(clock.month() - 1, weights=power_w * kwh, minlength=12).astype(float)

    electric = months(flows.heater_w + flows.controlled_w)
    grid = np.clip(months(bought_w(flows, year)), 0.0, electric)
    return YearPicture(
        grid_kwh=_series(grid),
        own_sun_kwh=_series(electric - grid + months(flows.direct_w)),
        gas_kwh=_series(months(flows.gas_w)),
        collector_kwh=_series(np.maximum(0.0, months(flows.solar_w))),
        tap_kwh=_series(months(flows.delivered_w)),
    )


def top_up_share(heater: WaterHeater, flows: Flows, year: HomeYear) -> float:
    """Share of the year's heat that the heater makes outside the hours or the spare sun of its
    control: topping up, and heating through what is overdue. 0 without such hours."""
    if heater.tank_l == 0.0 or heater.control.kind in ("always", "reserve"):
        return 0.0
    total_w = float(flows.heat_w.sum())
    outside_w = float(flows.heat_w[drive_of(heater, year).allowed_w == 0.0].sum())
    return outside_w / total_w if total_w > 0.0 else 0.0


def day_pictures(flows: Flows, home: Home, year: HomeYear) -> tuple[DayPicture, DayPicture]:
    """A summer and a winter day that are as usual for their season as any."""
    southern = home.place.southern
    summer = SOUTHERN_SUMMER if southern else NORTHERN_SUMMER
    winter = NORTHERN_SUMMER if southern else SOUTHERN_SUMMER
    return (
        day_picture(flows, home, year, usual_day(flows, home, summer), "summer"),
        day_picture(flows, home, year, usual_day(flows, home, winter), "winter"),
    )


def usual_day(flows: Flows, home: Home, months: tuple[int, ...]) -> int:
    """The day 0..364 of ``months`` nearest to their middle in sun, warmth, use and heating."""
    daily = np.stack(
        [
            series.reshape(DAYS_PER_YEAR, -1).mean(axis=1)
            for series in (
                home.pv_w,
                home.temp_air_c,
                flows.delivered_w,
                flows.heater_w + flows.controlled_w + flows.gas_w,
            )
        ]
    )
    days = np.flatnonzero(np.isin(month_of_day(home.clock.year), months))
    chosen = daily[:, days]
    spread = np.maximum(chosen.std(axis=1, keepdims=True), 1e-9)
    distance = np.abs(chosen - np.median(chosen, axis=1, keepdims=True)) / spread
    return int(days[np.argmin(distance.sum(axis=0))])


def day_picture(
    flows: Flows, home: Home, year: HomeYear, day: int, season: Season | None = None
) -> DayPicture:
    """One day 0..364 of the year."""
    clock = home.clock
    steps = _steps_of(clock, day)
    size = _part_steps(clock.step_min)

    def means(values: FloatArray) -> FloatArray:
        parts: FloatArray = values[steps].reshape(-1, size).mean(axis=1)
        return parts

    electric_w = means(flows.heater_w + flows.controlled_w)
    bought = np.clip(means(bought_w(flows, year)), 0.0, electric_w)
    drawn_l = year.draws.mixed_kg[steps].reshape(-1, size).sum(axis=1)
    return DayPicture(
        date=dates_of_year(clock.year)[day],
        season=season,
        minute=tuple(range(0, MINUTES_PER_DAY, size * clock.step_min)),
        sun_kw=_series(means(flows.pv_w) / 1000.0),
        house_kw=_series(means(flows.house_w) / 1000.0),
        electric_kw=_series((electric_w + means(flows.direct_w)) / 1000.0),
        bought_kw=_series(bought / 1000.0),
        gas_kw=_series(means(flows.gas_w) / 1000.0),
        collector_kw=_series(np.maximum(0.0, means(flows.solar_w)) / 1000.0),
        tank_c=_series(flows.top_c[steps].reshape(-1, size)[:, -1]),
        drawn_l=_series(drawn_l),
        air_mean_c=float(home.temp_air_c[steps].mean()),
    )


def _steps_of(clock: YearClock, day: int) -> IntArray:
    """The steps of one day from midnight to midnight on the wall clock.

    A day on which the clock changes is taken by standard time, so that it has 24 hours.
    """
    inside = np.flatnonzero(clock.clock_day == day)
    if inside.size != clock.steps_per_day:
        inside = np.flatnonzero(clock.day == day)
    return inside.astype(np.int64)


def _part_steps(step_min: int) -> int:
    """Steps in a part: the fewest that last long enough and divide the day evenly."""
    size = -(-PART_MIN // step_min)
    while MINUTES_PER_DAY % (size * step_min):
        size += 1
    return size


def _series(values: FloatArray) -> Series:
    return tuple(float(value) for value in values)
