"""The inputs that may decide the answer: what each is today, how far it may go, and how to turn it.

A lever turns either money (the same meters, settled again) or circumstances (the year, simulated
again).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from tankful.advice.circumstances import Circumstances
from tankful.advice.money_levers import PERCENT, money_levers
from tankful.advice.option import Option
from tankful.data.store import cite, load_table
from tankful.model.home import Home
from tankful.units import J_PER_KWH

DOLLARS = ("AUD", "NZD", "USD", "CAD", "EUR", "GBP")
"""Currencies in which the table's plain prices are of the right size."""


@dataclass(frozen=True)
class Reach:
    """How far an input may go.

    ``low`` to ``high`` is within reason; between ``p10`` and ``p90`` it will be in eight cases of
    ten, ``None`` for what is known or chosen.
    """

    low: float
    high: float
    p10: float | None
    p90: float | None
    basis: str


@dataclass(frozen=True)
class Lever:
    """One input that may decide the answer.

    Either ``at`` gives the home at a value (money alone changes), or ``turned`` the circumstances
    changed to it (the year is simulated again). The cost of an option under one control is linear
    in a ``linear`` lever.
    """

    key: str
    label: str
    unit: str
    today: float
    reach: Reach
    at: Callable[[Home, float], Home] | None = None
    turned: Callable[[Circumstances, float], Circumstances] | None = None
    linear: bool = False

    def turn(self, home: Home, how: Circumstances, value: float) -> tuple[Home, Circumstances]:
        """The home and the circumstances with this input at ``value``."""
        if self.at is not None:
            return self.at(home, value), how
        assert self.turned is not None
        return home, self.turned(how, value)


def levers_of(home: Home, options: Sequence[Option]) -> tuple[Lever, ...]:
    """Every input that may change who wins among ``options``, money first."""
    found = []
    for lever in money_levers(home, options):
        reach = reach_of(lever.key, lever.today, lever.unit)
        if reach is not None:
            if lever.known:
                reach = replace(reach, p10=None, p90=None)
            found.append(
                Lever(
                    lever.key,
                    lever.label,
                    lever.unit,
                    lever.today,
                    reach,
                    at=lever.at,
                    linear=lever.linear,
                )
            )
    return (*found, *_physical(home, options))


def _physical(home: Home, options: Sequence[Option]) -> Iterator[Lever]:
    """Inputs that change the year, as amounts people know."""
    people = home.case.people
    litres = people.hot_litres_per_person_per_day
    house_kwh = float(home.house_w.sum()) * home.clock.step_s / J_PER_KWH
    rows: list[tuple[str, str, str, str, float]] = [
        ("hot-water", "hot_water", "hot water a person a day", "L", litres)
        if people.pattern == "household"
        else ("hot-water", "hot_water", "hot water", PERCENT, 100.0),
        ("house-use", "house_use", "the house's own use a year", "kWh", house_kwh),
        ("panels", "panels", "size of the panels", "kW", panels_kw(home)),
    ]
    if any(option.heater.heat_pump is not None for option in options):
        rows.append(("heat-pump", "heat_pump", "yield of heat pumps", PERCENT, 100.0))
    for key, name, label, unit, today in rows:
        reach = reach_of(key, today, unit)
        if reach is not None:
            yield Lever(key, label, unit, today, reach, turned=_share_of(name, today))


def _share_of(name: str, today: float) -> Callable[[Circumstances, float], Circumstances]:
    def turned(how: Circumstances, value: float) -> Circumstances:
        return how.with_(name, value / today)

    return turned


def panels_kw(home: Home) -> float:
    """Rated power of all panels on the roof [kW]."""
    return sum(array.kw for array in home.case.electricity.arrays)


def reach_of(key: str, today: float, unit: str) -> Reach | None:
    """How far an input may go (table ``levers``); ``None`` where no row tells, as where it is 0
    and known by shares.

    The part of ``key`` before a colon names the row. What is expected is around today's value.
    """
    name = key.partition(":")[0]
    rows = [row for row in load_table("levers") if row["key"] == name and _tells(row, today, unit)]
    if not rows:
        return None
    row = rows[0]
    low, high = (_at(row, column, today) for column in ("low", "high"))
    likely = next((row for row in rows if row["p10"]), None)
    p10, p90 = None, None
    if likely is not None:
        p10 = min(_at(likely, "p10", today), today)
        p90 = max(_at(likely, "p90", today), today)
    basis = cite(row["source_id"])
    note = f": {row['note']}" if row["note"] else ""
    return Reach(min(low, today), max(high, today), p10, p90, basis + note)


def _tells(row: Mapping[str, str], today: float, unit: str) -> bool:
    """Whether a row means anything: shares not of nothing, prices only in money of such worth."""
    if row["measure"] == "share":
        return today != 0.0
    is_money = unit[:3].isupper()
    return unit[:3] in DOLLARS if is_money else not unit.startswith("%")


def _at(row: Mapping[str, str], column: str, today: float) -> float:
    return float(row[column]) * (today if row["measure"] == "share" else 1.0)
