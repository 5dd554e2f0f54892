"""The cheapest year of heating one store with everything known ahead, as a linear programme.

Plain arrays in, money out: nothing here knows homes, plans or heaters.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from tankful.clock import FloatArray


@dataclass(frozen=True, eq=False)
class Store:
    """A store of heat over ``n`` hours, looked at above ``L`` rising temperatures.

    ``stored[l]`` is the heat that lies above the level ``l``: the sum over the store's water of
    its excess over the level's temperature, none where it is colder. Level 0 lies below any
    water of the store, so that it holds the whole heat. Energies in kWh.

    At each hour and level: stored after <= ``keep`` x stored before + ``gained_kwh`` + heat put
    in at this level or above - ``drawn_kwh``. Heat may be lost, and by mixing it falls to lower
    levels for nothing.
    """

    start_kwh: FloatArray
    """Shape ``(L,)``."""
    end_kwh: float
    """Least heat above level 0 at the end."""
    band_kwh: FloatArray
    """Most heat between a level and the next, above the last one up to the hottest: ``(L,)``."""
    least_kwh: FloatArray
    """Least heat above level 0 at the end of each hour, shape ``(n,)``."""
    keep: float
    gained_kwh: FloatArray
    """From the surroundings, shape ``(L, n)``."""
    drawn_kwh: FloatArray
    """By people, shape ``(L, n)``."""
    free_kwh: FloatArray
    """Heat to be had for nothing, from collectors or panels of its own, shape ``(n,)``."""


@dataclass(frozen=True, eq=False)
class Supply:
    """Electricity over ``n`` hours for a heater with ``L`` levels; arrays ``(n,)``.

    ``kwh_per_heat`` [-] and ``most_heat_kwh`` have shape ``(L, n)`` and ``(n,)``. What is bought
    costs ``price``. Spare sun that would be exported costs ``feed_in``; what would be curtailed
    costs nothing.
    """

    kwh_per_heat: FloatArray
    most_heat_kwh: FloatArray
    price: FloatArray
    feed_in: FloatArray
    exported_kwh: FloatArray
    curtailed_kwh: FloatArray


@dataclass(frozen=True, eq=False)
class HomeBattery:
    """A battery beside the heater, charged by spare sun and run with the same foresight.

    ``bought_kwh`` is what the house buys without it, of which each kWh saves ``saves`` money.
    """

    capacity_kwh: float
    power_kw: float
    one_way_efficiency: float
    bought_kwh: FloatArray
    saves: FloatArray


@dataclass(frozen=True, eq=False)
class Plan:
    """The cheapest plan: money it adds to the bill, and heat put in by level and hour [kWh]."""

    money: float
    heat_kwh: FloatArray
    stored_kwh: FloatArray


def cheapest_heat(store: Store, supply: Supply, battery: HomeBattery | None = None) -> Plan:
    """Solve the programme with HiGHS. RuntimeError when no plan serves what is drawn.

    Q. Huangfu and J. Hall, Parallelizing the dual revised simplex method, Mathematical
    Programming Computation 10, 119-142 (2018), through ``scipy.optimize.linprog``.
    """
    from scipy.optimize import linprog

    levels, n = supply.kwh_per_heat.shape
    columns = _Columns(n)
    heat = [columns.add(0.0, supply.most_heat_kwh) for _ in range(levels)]
    bought = columns.add(supply.price, supply.kwh_per_heat.max(axis=0) * supply.most_heat_kwh)
    sun = [
        columns.add(money, most)
        for money, most in (
            (supply.feed_in, supply.exported_kwh),
            (0.0, supply.curtailed_kwh),
        )
        if most.any()
    ]
    free = [columns.add(0.0, store.free_kwh)] if store.free_kwh.any() else []
    stored = [
        columns.add(0.0, np.inf, least=_least(store) if level == 0 else 0.0)
        for level in range(levels)
    ]
    rows = _Rows()
    _store_rows(rows, store, heat, free, stored)
    if levels > 1:
        rows.add(dict.fromkeys(heat, 1.0), supply.most_heat_kwh)
    used: dict[int, Any] = dict(zip(heat, supply.kwh_per_heat, strict=True))
    used |= dict.fromkeys([bought, *sun], -1.0)
    if battery is not None:
        used |= _battery_rows(rows, columns, battery, supply, sun)
    rows.add(used, np.zeros(n))
    matrix, limits = rows.matrix(columns)
    found = linprog(
        columns.costs(), A_ub=matrix, b_ub=limits, bounds=columns.bounds(), method="highs"
    )
    if not found.success:
        raise RuntimeError(f"no plan of heating was found: {found.message}")
    values = found.x.reshape(columns.count, n)
    return Plan(float(found.fun), values[heat], values[stored])


def _least(store: Store) -> FloatArray:
    least = store.least_kwh.copy()
    least[-1] = max(least[-1], store.end_kwh)
    return least


def _store_rows(
    rows: _Rows, store: Store, heat: list[int], free: list[int], stored: list[int]
) -> None:
    """What each level may hold after each hour, and what fits between two levels."""
    n = store.free_kwh.size
    keep = np.full(n, -store.keep)
    for level, column in enumerate(stored):
        limit = store.gained_kwh[level] - store.drawn_kwh[level]
        limit[0] += store.keep * store.start_kwh[level]
        given = dict.fromkeys([*heat[level:], *free], -1.0)
        rows.add({column: 1.0, **given}, limit, before={column: keep})
        above = dict.fromkeys(stored[level + 1 : level + 2], -1.0)
        rows.add({column: 1.0, **above}, np.full(n, store.band_kwh[level]))


def _battery_rows(
    rows: _Rows, columns: _Columns, battery: HomeBattery, supply: Supply, sun: list[int]
) -> dict[int, float]:
    """A battery between the sun, the house and the heater; what it gives to the heater."""
    n = supply.price.size
    most, way = battery.power_kw, battery.one_way_efficiency
    spare = supply.exported_kwh + supply.curtailed_kwh
    lost = np.where(supply.curtailed_kwh > 0.0, np.minimum(supply.feed_in, 0.0), supply.feed_in)
    charge = columns.add(lost, np.minimum(most, spare))
    to_heat = columns.add(0.0, most)
    to_house = columns.add(-battery.saves, np.minimum(most, battery.bought_kwh))
    state = columns.add(0.0, battery.capacity_kwh)
    flows: dict[int, Any] = {state: 1.0, charge: -way, to_heat: 1 / way, to_house: 1 / way}
    rows.add(flows, np.zeros(n), before={state: np.full(n, -1.0)})
    rows.add(dict.fromkeys([charge, *sun], 1.0), spare)
    rows.add({to_heat: 1.0, to_house: 1.0}, np.full(n, most))
    return {to_heat: -1.0}


class _Columns:
    """Variables of the programme, one a step, with their money and limits."""

    def __init__(self, n: int) -> None:
        self.n = n
        self.money: list[FloatArray] = []
        self.least: list[FloatArray] = []
        self.most: list[FloatArray] = []

    def add(
        self, money: FloatArray | float, most: FloatArray | float, least: FloatArray | float = 0.0
    ) -> int:
        for values, into in ((money, self.money), (least, self.least), (most, self.most)):
            into.append(np.broadcast_to(np.asarray(values, dtype=np.float64), self.n))
        return len(self.money) - 1

    @property
    def count(self) -> int:
        return len(self.money)

    def costs(self) -> FloatArray:
        return np.concatenate(self.money)

    def bounds(self) -> FloatArray:
        return np.column_stack([np.concatenate(self.least), np.concatenate(self.most)])


class _Rows:
    """Inequalities (sum <= limit) for every step, between values now and one step before."""

    def __init__(self) -> None:
        self.now: list[dict[int, Any]] = []
        self.before: list[dict[int, FloatArray]] = []
        self.limits: list[FloatArray] = []

    def add(
        self,
        now: dict[int, Any],
        limit: FloatArray,
        before: dict[int, FloatArray] | None = None,
    ) -> None:
        self.now.append(now)
        self.before.append(before or {})
        self.limits.append(limit)

    def matrix(self, columns: _Columns) -> tuple[Any, FloatArray]:
        """The sparse matrix and its right side; at the first step nothing was before."""
        from scipy import sparse

        n = columns.n
        row, column, value = [], [], []
        steps = np.arange(n)
        for i, (now, before) in enumerate(zip(self.now, self.before, strict=True)):
            for j, factor in now.items():
                row.append(i * n + steps)
                column.append(j * n + steps)
                value.append(np.broadcast_to(factor, n))
            for j, factor in before.items():
                row.append(i * n + steps[1:])
                column.append(j * n + steps[:-1])
                value.append(factor[1:])
        parts = (np.concatenate(value), (np.concatenate(row), np.concatenate(column)))
        shape = (len(self.now) * n, columns.count * n)
        return sparse.csr_array(parts, shape=shape), np.concatenate(self.limits)
