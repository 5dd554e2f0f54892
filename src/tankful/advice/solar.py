"""Options with solar collectors, with the boost run in each way that fits."""

from __future__ import annotations

from dataclasses import replace

from tankful.advice.controls import DAILY_H, solar_boost_controls
from tankful.advice.option import (
    Option,
    connection,
    fresh,
    heavy_wiring,
    is_quoted,
    no_gas,
    off_peak_hours,
    wiring,
)
from tankful.model.answer import Excluded
from tankful.model.case import Family
from tankful.model.home import Home
from tankful.model.system import Control, WaterHeater

WITH_ELEMENT: tuple[tuple[Family, str, str], ...] = (
    ("solar_flat", "solar-flat", "Flat-plate collectors"),
    ("solar_tube", "solar-tube", "Evacuated-tube collectors"),
)


def solar_options(home: Home) -> tuple[list[Option], list[Excluded]]:
    """Collectors with electric boost, always or off-peak, with gas boost, and before an electric
    continuous heater."""
    options: list[Option] = []
    excluded: list[Excluded] = []
    roof = not home.case.constraints.no_roof_work
    for family, name, label in WITH_ELEMENT:
        is_today = home.heater_today.kind == family
        if is_today:
            options += _electric_boost(home, family, name, f"Today's {label.lower()}", today=True)
        if roof and (not is_today or is_quoted(home, family)):
            new_name, words = (f"{name}-new", f"New {label.lower()}") if is_today else (name, label)
            options += _electric_boost(home, family, new_name, words, today=False)
    hours = off_peak_hours(home)
    if not roof:
        why = "the case rules out work on the roof"
        excluded.append(Excluded("solar-thermal", "New solar collectors", why))
    if options and isinstance(hours, str):
        excluded.append(Excluded("solar-off-peak", "Solar collectors, off-peak boost", hours))
    if roof:
        fitting, unfit = _gas_boost(home)
        options += [*fitting, *_inline_boost(home)]
        excluded += unfit
    return options, excluded


def _electric_boost(
    home: Home, family: Family, name: str, label: str, *, today: bool
) -> list[Option]:
    """A tank with collectors and an element: today's, or a new one.

    The pump of the collectors stays on the general circuit. A new heater brings its own
    timer; today's needs one.
    """
    heater = home.heater_today if today else fresh(home, family)
    heater = replace(heater, circuit="general")
    base: tuple[Family, ...] = () if today else (family, *wiring(home, family))
    timer: tuple[Family, ...] = ("timer",) if today else ()

    def option(
        key: str, words: str, parts: tuple[Family, ...], run: WaterHeater, how: tuple[Control, ...]
    ) -> Option:
        return Option(f"{name}-{key}", f"{label}, {words}", family, base + parts, run, how)

    options = [option("electric", "electric boost", timer, heater, solar_boost_controls())]
    hours = off_peak_hours(home)
    if not isinstance(hours, str):
        controlled = replace(heater, circuit="controlled")
        controls = (Control("off_peak", windows=hours, sanitise_after_h=DAILY_H),)
        options.append(option("off-peak", "off-peak boost", connection(home), controlled, controls))
    return options


def _gas_boost(home: Home) -> tuple[list[Option], list[Excluded]]:
    """A gas continuous heater after the tank; a burner in it only where one is quoted for.

    The sun can keep a tank just warm enough for the burner to rest for weeks, so that one may
    also be heated through every day.
    """
    label = "Flat-plate collectors, gas boost"
    kinds: list[tuple[Family, str, str]] = [("solar_gas", "solar-gas", label)]
    if is_quoted(home, "solar_gas_tank"):
        kinds.append(("solar_gas_tank", "solar-gas-tank", f"{label} in the tank"))
    why = no_gas(home)
    if why:
        return [], [Excluded(name, words, why) for _, name, words in kinds]
    options = []
    for family, name, words in kinds:
        heater = fresh(home, family)
        through = replace(heater.control, sanitise_after_h=DAILY_H)
        controls = (heater.control,) if heater.booster else (heater.control, through)
        options.append(Option(name, words, family, (family,), heater, controls))
    return options, []


def _inline_boost(home: Home) -> list[Option]:
    """An electric continuous heater after the tank, only where one is quoted for: rarely sold."""
    if not is_quoted(home, "solar_inline"):
        return []
    heater = fresh(home, "solar_inline")
    label = "Flat-plate collectors, electric continuous heater after the tank"
    parts: tuple[Family, ...] = ("solar_inline", *heavy_wiring(home, "solar_inline"))
    return [Option("solar-inline", label, "solar_inline", parts, heater, (heater.control,))]
