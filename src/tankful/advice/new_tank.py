"""A new electric tank beside today's: where one is quoted for, or today's is too small for sun."""

from __future__ import annotations

from dataclasses import replace

from tankful.advice.controls import (
    SUN_SETPOINT_C,
    diverter_controls,
    off_peak_controls,
    timer_controls,
)
from tankful.advice.option import Option, connection, fresh, is_quoted, off_peak_hours
from tankful.advice.worst_week import litres_for, worst_week
from tankful.model.case import Family
from tankful.model.home import Home

CLEARLY_LARGER = 1.1
"""A tank that holds so many times as much is another size (judgement)."""


def new_tank_options(home: Home) -> list[Option]:
    """A new tank beside today's electric one; nothing in other homes, where every electric
    option has a new tank.

    One quoted for that is larger gets the controls that a larger tank serves: the timer, the
    off-peak circuit, the diverter. One with two elements, quoted for where today's has one, gets
    the diverter: the upper element catches up, so the lower part is left to the sun. Unasked, a
    tank of the usual size gets the diverter where today's cannot hold a day of the hardest week.
    """
    today = home.heater_today
    if today.kind != "electric_storage":
        return []
    new = fresh(home, "electric_storage")
    larger = new.tank_l >= CLEARLY_LARGER * today.tank_l
    quoted = is_quoted(home, "electric_storage")
    two_elements = bool(new.boost_element_w) and not today.boost_element_w
    has_sun = bool(home.pv_w.any())
    options = []
    if quoted and larger:
        options.append(_option(home, "timed", "timer with tank sensor", ("timer",)))
        if not isinstance(off_peak_hours(home), str):
            options.append(_option(home, "off-peak", "off-peak circuit", connection(home)))
    if has_sun and two_elements:
        label = "spare sun by diverter"
        options.append(
            replace(_option(home, "diverter", label, ("diverter",)), id="electric-two-elements")
        )
    elif has_sun and larger and (quoted or too_small_for_sun(home)):
        options.append(_option(home, "diverter", "spare sun by diverter", ("diverter",)))
    return options


def too_small_for_sun(home: Home) -> bool:
    """Today's tank, as hot as a diverter makes it, holds less than the hardest week's mean day:
    what the sun gives by day cannot last until the next."""
    return home.heater_today.tank_l < litres_for(worst_week(home).day_kwh, home, SUN_SETPOINT_C)


def _option(home: Home, name: str, words: str, parts: tuple[Family, ...]) -> Option:
    heater = fresh(home, "electric_storage")
    controls = {"timed": timer_controls(hotter_by_day=True), "diverter": diverter_controls()}
    hours = off_peak_hours(home)
    if name == "off-peak" and not isinstance(hours, str):
        heater = replace(heater, circuit="controlled")
        controls["off-peak"] = off_peak_controls(hours)
    kind = "two-element tank" if heater.boost_element_w else "electric tank"
    return Option(
        f"electric-new-{name}",
        f"New {heater.tank_l:g} L {kind}, {words}",
        "electric_storage",
        ("electric_storage", *parts),
        heater,
        controls[name],
    )
