"""Controls worth trying for each kind of option: the grid the search walks over."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import product
from typing import Any

from tankful.model.kinds import ControlKind
from tankful.model.system import Control
from tankful.model.window import Window, hhmm

SANITISE_AFTER_H = 6.0 * 24.0
"""Start a heat-through a day before the weekly rule falls due, whatever the hour: it may take
the night (judgement)."""

SANITISE_EARLY_H = SANITISE_AFTER_H - 24.0
"""Start it by then already in the timer's or network's hours or with the sun, each of which comes
round once before it falls due (judgement)."""

DAILY_H = 20.0
"""A tank that the sun preheats is heated through daily, above its boost. Due again after less
than a day, or its hour would creep and miss a day every month (judgement)."""

RESERVES_C = (45.0, 47.5, 50.0, 55.0)
"""Reserve temperatures tried: 45 degC just serves a shower mixed to 40 (judgement)."""

SUN_SETPOINT_C = 70.0
"""Thermostat of an electric tank that stores midday sun: the hotter, the more it holds. Common
practice, no source; a tempering valve is a must."""

PUMP_TOP_UP_H = (0, 9, 11, 13, 15, 21)
"""Hours from which the grid may top up a heat pump (judgement)."""

SUNNY_STARTS_H = range(8, 15)
"""Hours in which a timer window that is to catch the sun may start."""

DARK_STARTS_H = (0, 2, 4, 6, 15, 16, 18, 20, 22)
"""Hours in which one may start that goes by prices, which change at full hours (judgement)."""

ANY_TIME: tuple[Window, ...] = ()


def clock_window(start_h: int, length_h: int) -> Window:
    """A daily window from a full hour; it may cross midnight."""
    return Window(start=hhmm(start_h * 60), end=hhmm((start_h + length_h) % 24 * 60))


def timer_controls(*, hotter_by_day: bool = False) -> tuple[Control, ...]:
    """Daily windows by start and length, topping up at any hour when the reserve is low.

    ``hotter_by_day`` also tries the windows of the sunny hours with the hotter thermostat that
    an electric tank may have.
    """
    every_h = sorted((*SUNNY_STARTS_H, *DARK_STARTS_H))
    starts_h: list[tuple[int, float | None]] = [(start, None) for start in every_h]
    if hotter_by_day:
        starts_h += [(start, SUN_SETPOINT_C) for start in SUNNY_STARTS_H]
    return tuple(
        Control(
            "hours",
            windows=(clock_window(start, length),),
            catch_up_c=reserve_c,
            sanitise_after_h=SANITISE_AFTER_H,
            sanitise_early_h=SANITISE_EARLY_H,
            setpoint_c=setpoint_c,
        )
        for (start, setpoint_c), length, reserve_c in product(starts_h, (3, 6), (45.0, 50.0))
    )


def off_peak_controls(hours: tuple[Window, ...]) -> tuple[Control, ...]:
    """The network's hours. Its circuit is dead at other times, so nothing can top up."""
    control = Control(
        "off_peak",
        windows=hours,
        sanitise_after_h=SANITISE_AFTER_H,
        sanitise_early_h=SANITISE_EARLY_H,
    )
    return (control,)


def topped_up(
    kind: ControlKind,
    starts_h: Iterable[int],
    length_h: int,
    reserves_c: tuple[float, ...],
    **settings: Any,
) -> tuple[Control, ...]:
    """A control that the grid tops up at any hour, or in one window of the day.

    ``starts_h`` and ``length_h`` give the windows tried, ``settings`` what else the control
    needs.
    """
    windows = [ANY_TIME] + [(clock_window(start, length_h),) for start in starts_h]
    return tuple(
        Control(
            kind,
            catch_up_c=reserve_c,
            catch_up_windows=window,
            sanitise_after_h=SANITISE_AFTER_H,
            **settings,
        )
        for window, reserve_c in product(windows, reserves_c)
    )


def diverter_controls() -> tuple[Control, ...]:
    """Spare sun first."""
    return topped_up(
        "diverter",
        range(0, 24, 2),
        4,
        RESERVES_C,
        setpoint_c=SUN_SETPOINT_C,
        sanitise_early_h=SANITISE_EARLY_H,
    )


def solar_boost_controls() -> tuple[Control, ...]:
    """The boost of a solar tank: always, in one evening or night window, or sun first.

    The boost heats the upper half through to 60 degC every day, which is the sanitising rule
    for a tank that the sun preheats (45 % of it daily, AS 3498:2020, transcribed).
    """
    reserve = [
        Control("reserve", catch_up_c=reserve_c, catch_up_windows=window, sanitise_after_h=DAILY_H)
        for window, reserve_c in product((ANY_TIME, (clock_window(14, 5),)), RESERVES_C[::2])
    ]
    daily = [(clock_window(start, 4),) for start in (0, 2, 4, 10, 12, 14, 16, 18, 20, 22)]
    return (
        Control("always"),
        *reserve,
        *(
            Control(
                "hours",
                windows=window,
                catch_up_c=RESERVES_C[0],
                sanitise_after_h=DAILY_H,
            )
            for window in daily
        ),
    )


def follow_sun_controls() -> tuple[Control, ...]:
    """A variable-speed heat pump follows spare sun."""
    return topped_up(
        "diverter", PUMP_TOP_UP_H, 5, RESERVES_C[::2], sanitise_early_h=SANITISE_EARLY_H
    )


def dedicated_panel_controls() -> tuple[Control, ...]:
    """Panels of its own heat the tank."""
    return topped_up("reserve", range(0, 24, 4), 4, RESERVES_C, setpoint_c=SUN_SETPOINT_C)


def surplus_switch_controls(rated_w: float) -> tuple[Control, ...]:
    """Thresholds as shares of the rated input.

    A compressor then stays on for half an hour (common practice, no source).
    """
    return tuple(
        control
        for share in (0.3, 0.6, 1.0)
        for control in topped_up(
            "surplus_switch",
            PUMP_TOP_UP_H,
            5,
            RESERVES_C[::2],
            threshold_w=round(share * rated_w, -1),
            min_on_min=30,
            sanitise_early_h=SANITISE_EARLY_H,
        )
    )
