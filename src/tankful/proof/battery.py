"""The home battery and the order of claims on spare sun, against days worked by hand.

Five hours, each a step: 8, 4 and 2 kW to spare, then 6 and 4 kW short. Battery of 10 kWh of
which a tenth is never used, 5 kW, 81 % there and back (0.9 each way).

| hour | spare | battery takes | stored | to the grid | from the grid |
| 1 | 8 | 5, its power | 4.5 | 3 | 0 |
| 2 | 4 | 4 | 8.1 | 0 | 0 |
| 3 | 2 | 1, then full at 9.0 | 9.0 | 1 | 0 |
| 4 | -6 | -5, its power | 3.444 | 0 | 1 |
| 5 | -4 | -3.1, then at its reserve | 0 | 0 | 0.9 |
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from tankful.clock import FloatArray
from tankful.model.case import Battery
from tankful.proof.check import Claim
from tankful.simulate.grid import GridFlows, GridSide

HAND = "Worked by hand: energy balance of each hour, efficiency as the root of there and back"
NET_KW = (-8.0, -4.0, -2.0, 6.0, 4.0)


def claims() -> Iterator[Claim]:
    """Every claim about battery and grid side."""
    yield from _battery_day()
    yield from _order()
    yield from _phases()
    yield from _limits()


def _battery(*, first: str = "water", reserve_fraction: float = 0.1) -> Battery:
    return Battery.model_validate(
        {
            "capacity_kwh": 10.0,
            "power_kw": 5.0,
            "round_trip_efficiency": 0.81,
            "reserve_fraction": reserve_fraction,
            "first": first,
        }
    )


def _side(battery: Battery | None = None, *, phases: int = 1, limit_kw: float = np.inf) -> GridSide:
    return GridSide(np.full(len(NET_KW), limit_kw * 1000.0), phases, battery, 3600.0)


def _watts(kilowatts: tuple[float, ...]) -> FloatArray:
    return np.array(kilowatts) * 1000.0


def _flows(side: GridSide, heater_kw: tuple[float, ...] = (0.0,) * 5) -> GridFlows:
    net_w = _watts(NET_KW)
    return side.flows(np.maximum(0.0, net_w), _watts(heater_kw), np.maximum(0.0, -net_w))


def _hour(name: str, hour: int) -> float:
    return float(getattr(_flows(_side(_battery())), name)[hour - 1]) / 1000.0


def _battery_day() -> Iterator[Claim]:
    rows = (
        ("power", "charging limited by its power, hour 1", "battery_w", 1, 5.0),
        ("follows", "charging with what is spare, hour 2", "battery_w", 2, 4.0),
        ("full", "charging until full, hour 3", "battery_w", 3, 1.0),
        ("discharge", "discharging limited by its power, hour 4", "battery_w", 4, -5.0),
        ("reserve", "discharging down to its reserve, hour 5", "battery_w", 5, -3.1),
        ("export", "power to the grid beside a charging battery, hour 1", "export_w", 1, 3.0),
        ("import", "power from the grid beside an emptying battery, hour 5", "import_w", 5, 0.9),
    )
    for key, text, name, hour, expected in rows:
        yield Claim(
            id=f"battery-{key}",
            claim=f"Battery of 10 kWh, 5 kW, 81 %, a tenth kept: {text}",
            source=HAND,
            basis="published",
            expected=expected,
            tolerance=1e-9,
            unit="kW",
            compute=partial(_hour, name, hour),
        )
    yield Claim(
        id="battery-round-trip",
        claim="The same day: energy given back over energy taken in",
        source=HAND,
        basis="published",
        expected=0.81,
        tolerance=1e-9,
        unit="-",
        compute=_round_trip,
    )
    yield Claim(
        id="battery-reserve-share",
        claim="The same day with half of it kept: energy given back",
        source=f"{HAND}: 5 kWh x 0.9",
        basis="published",
        expected=4.5,
        tolerance=1e-9,
        unit="kWh",
        compute=_given_back_with_half_kept_kwh,
    )


def _round_trip() -> float:
    battery_w = _flows(_side(_battery())).battery_w
    return float(-battery_w[battery_w < 0.0].sum() / battery_w[battery_w > 0.0].sum())


def _given_back_with_half_kept_kwh() -> float:
    battery_w = _flows(_side(_battery(reserve_fraction=0.5))).battery_w
    return float(-battery_w[battery_w < 0.0].sum()) / 1000.0


# Who gets spare sun first


def _left_for_water_kwh(first: str) -> float:
    net_w = _watts(NET_KW)
    side = _side(_battery(first=first))
    spare_w = side.spare_w(np.maximum(0.0, net_w), np.maximum(0.0, -net_w))
    return float(spare_w.sum()) / 1000.0


def _left_for_battery_kwh() -> float:
    """Charge of the day when a diverter of 3.6 kW goes first."""
    heater_kw = (3.6, 3.6, 2.0, 0.0, 0.0)
    battery_w = _flows(_side(_battery()), heater_kw).battery_w
    return float(battery_w[battery_w > 0.0].sum()) / 1000.0


def _order() -> Iterator[Claim]:
    rows = (
        ("water-first", "Water first: spare sun that a diverter may count on", 14.0, "water"),
        ("battery-first", "Battery first: spare sun that a diverter may count on", 4.0, "battery"),
    )
    for key, text, expected, first in rows:
        yield Claim(
            id=f"battery-{key}",
            claim=f"{text}, that day",
            source=f"{HAND}: 8 + 4 + 2 kWh, of which the battery can take 5 + 4 + 1",
            basis="published",
            expected=expected,
            tolerance=1e-9,
            unit="kWh",
            compute=partial(_left_for_water_kwh, first),
        )
    yield Claim(
        id="battery-after-water",
        claim="Water first, a diverter of 3.6 kW: charge left for the battery on that day",
        source=f"{HAND}: 8 - 3.6 and 4 - 3.6 kW for an hour each",
        basis="published",
        expected=4.8,
        tolerance=1e-9,
        unit="kWh",
        compute=_left_for_battery_kwh,
    )


# Three phases and export limits


def _first_hour_kwh(name: str, *, phases: int, limit_kw: float = np.inf) -> float:
    """Hour 1 with a water heater of 3.6 kW on one phase and 8 kW to spare over all."""
    side = _side(phases=phases, limit_kw=limit_kw)
    return float(getattr(_flows(side, (3.6, 0.0, 0.0, 0.0, 0.0)), name)[0]) / 1000.0


def _phases() -> Iterator[Claim]:
    rows = (
        ("net-import", "metered net: bought", 1, "import_w", 0.0, "8 kW cover 3.6 kW"),
        (
            "each-import",
            "each phase by itself: bought",
            3,
            "import_w",
            3.6 - 8.0 / 3.0,
            "3.6 kW on one phase that has 8/3 kW of sun",
        ),
        (
            "each-export",
            "each phase by itself: sold",
            3,
            "export_w",
            16.0 / 3.0,
            "8/3 kW on each of the other two phases",
        ),
    )
    for key, text, phases, name, expected, why in rows:
        yield Claim(
            id=f"grid-phases-{key}",
            claim=f"3.6 kW of water heating beside 8 kW of spare sun on three phases, {text}",
            source=f"Worked by hand: {why}",
            basis="published",
            expected=expected,
            tolerance=1e-9,
            unit="kWh",
            compute=partial(_first_hour_kwh, name, phases=phases),
        )


def _limits() -> Iterator[Claim]:
    rows = (("export_w", "sold", 1.5), ("curtailed_w", "lost", 2.9))
    for name, text, expected in rows:
        yield Claim(
            id=f"grid-limit-{text}",
            claim=f"The same on one phase with an export limit of 1.5 kW: {text}",
            source="Worked by hand: 8 - 3.6 = 4.4 kW, of which 1.5 may flow",
            basis="published",
            expected=expected,
            tolerance=1e-9,
            unit="kWh",
            compute=partial(_first_hour_kwh, name, phases=1, limit_kw=1.5),
        )
