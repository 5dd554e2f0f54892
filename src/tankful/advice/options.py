"""The options of a home: today's heater kept, like for like, and everything that fits.

An option is a water heater, what it costs to get there, and the controls worth trying.
What does not fit is ruled out with its reason, never dropped in silence.
"""

from __future__ import annotations

from dataclasses import replace

from tankful.advice.controls import (
    dedicated_panel_controls,
    diverter_controls,
    follow_sun_controls,
    off_peak_controls,
    surplus_switch_controls,
    timer_controls,
)
from tankful.advice.fit import rule_out_unfit
from tankful.advice.new_tank import new_tank_options
from tankful.advice.option import (
    KEEP,
    Option,
    connection,
    fresh,
    heavy_wiring,
    is_quoted,
    like_for_like,
    no_gas,
    off_peak_hours,
    wiring,
)
from tankful.advice.quotes import with_every_quote
from tankful.advice.solar import solar_options
from tankful.model.answer import Excluded
from tankful.model.case import Family
from tankful.model.home import Home
from tankful.model.system import Control, WaterHeater


def build_options(home: Home) -> tuple[tuple[Option, ...], tuple[Excluded, ...]]:
    """Every everyday option of the home, and those ruled out."""
    fits, unfits = rule_out_unfit(home, with_every_quote(home, lambda one: _plain(one)[0]))
    return fits, (*_plain(home)[1], *unfits)


def _plain(home: Home) -> tuple[list[Option], list[Excluded]]:
    """The options with the first quote of each kind, and what the home or the case rules out."""
    options: list[Option] = []
    excluded: list[Excluded] = []
    if home.heater_today.kind != "none":
        options.append(_keep(home))
    for group in (_electric, _electric_continuous, _heat_pump, solar_options, _gas):
        fitting, unfit = group(home)
        options += [option for option in fitting if not _is_today(option, home.heater_today)]
        excluded += unfit
    return options, excluded


def _is_today(option: Option, today: WaterHeater) -> bool:
    """The option is today's heater run as today: that is option ``KEEP``."""
    kinds = {control.kind for control in option.controls}
    same_heater = option.of_today and option.heater == today
    return same_heater and len(option.controls) == 1 and kinds == {today.control.kind}


def _keep(home: Home) -> Option:
    """Run today's heater until it fails, then replace it like for like."""
    return Option(
        id=KEEP,
        label="Keep today's heater, replace like for like",
        family=like_for_like(home),
        parts=(),
        heater=home.heater_today,
        controls=(home.heater_today.control,),
    )


def _electric(home: Home) -> tuple[list[Option], list[Excluded]]:
    """A plain electric tank under each control; on today's tank where there is one."""
    plain, base = _tank(home)
    tank = "two-element tank" if plain.boost_element_w else "electric tank"
    prefix = tank.capitalize() if base else f"Today's {tank}"

    def option(
        name: str,
        label: str,
        parts: tuple[Family, ...],
        controls: tuple[Control, ...],
        heater: WaterHeater = plain,
    ) -> Option:
        identity, words = f"electric-{name}", f"{prefix}, {label}"
        return Option(identity, words, "electric_storage", base + parts, heater, controls)

    options = [
        option("always", "always on", (), (Control("always"),)),
        option("timed", "timer with tank sensor", ("timer",), timer_controls(hotter_by_day=True)),
    ]
    excluded = []
    hours = off_peak_hours(home)
    label = "off-peak circuit"
    if isinstance(hours, str):
        excluded.append(Excluded("electric-off-peak", f"{prefix}, {label}", hours))
    else:
        controlled = replace(plain, circuit="controlled")
        parts = connection(home)
        options.append(option("off-peak", label, parts, off_peak_controls(hours), controlled))
    label = "spare sun by diverter"
    if home.pv_w.any():
        options.append(option("diverter", label, ("diverter",), diverter_controls()))
    else:
        excluded.append(Excluded("electric-diverter", f"{prefix}, {label}", "no solar panels"))
    label = "panels of its own"
    if home.case.constraints.no_roof_work:
        why = "the case rules out work on the roof"
        excluded.append(Excluded("electric-dedicated-panels", f"{prefix}, {label}", why))
    else:
        paneled = replace(plain, has_direct_panels=True)
        controls = dedicated_panel_controls()
        options.append(option("dedicated-panels", label, ("dedicated_panels",), controls, paneled))
    return options + new_tank_options(home), excluded


def _tank(home: Home) -> tuple[WaterHeater, tuple[Family, ...]]:
    """Today's electric tank, or a new one, and what it takes to have it."""
    if home.heater_today.kind == "electric_storage":
        return replace(home.heater_today, circuit="general"), ()
    return fresh(home, "electric_storage"), ("electric_storage", *wiring(home, "electric_storage"))


def _heat_pump(home: Home) -> tuple[list[Option], list[Excluded]]:
    """A heat pump under each control; today's where there is one, and a quoted one beside it."""
    today = home.heater_today.kind == "heat_pump"
    label = "Today's heat pump" if today else "Heat pump"
    if home.case.constraints.no_heat_pump:
        why = "the case says that a heat pump cannot be placed"
        return [], [Excluded("heat-pump", label, why)]
    options = _heat_pump_options(home, "heat-pump", label, today=today)
    if today and is_quoted(home, "heat_pump"):
        options += _heat_pump_options(home, "heat-pump-new", "New heat pump", today=False)
    if home.pv_w.any():
        return options, []
    words = f"{label}, switched by spare sun"
    return options, [Excluded("heat-pump-surplus", words, "no solar panels")]


def _heat_pump_options(home: Home, name: str, label: str, *, today: bool) -> list[Option]:
    """One heat pump, today's or a new one, under each control."""
    heater = home.heater_today if today else fresh(home, "heat_pump")
    heater = replace(heater, circuit="general")
    base: tuple[Family, ...] = () if today else ("heat_pump", *wiring(home, "heat_pump"))

    def option(
        key: str,
        words: str,
        parts: tuple[Family, ...],
        controls: tuple[Control, ...],
        run: WaterHeater = heater,
    ) -> Option:
        identity, text = f"{name}-{key}", f"{label}, {words}"
        return Option(identity, text, "heat_pump", base + parts, run, controls)

    options = [
        option("always", "always on", (), (Control("always"),)),
        option("timed", "on its timer", (), timer_controls()),
    ]
    hours = off_peak_hours(home)
    if not isinstance(hours, str):
        controlled = replace(heater, circuit="controlled")
        controls = off_peak_controls(hours)
        parts = connection(home)
        options.append(option("off-peak", "off-peak circuit", parts, controls, controlled))
    if not home.pv_w.any():
        return options
    pump = heater.heat_pump
    assert pump is not None
    if pump.min_share < 1.0:
        options.append(option("following", "following spare sun", (), follow_sun_controls()))
    controls = surplus_switch_controls(pump.heat_w / pump.cop)
    options.append(option("surplus", "switched by spare sun", ("surplus_switch",), controls))
    return options


def _electric_continuous(home: Home) -> tuple[list[Option], list[Excluded]]:
    """An electric heater without a tank."""
    heater = fresh(home, "electric_continuous")
    parts: tuple[Family, ...] = ("electric_continuous", *heavy_wiring(home, "electric_continuous"))
    label = "Electric continuous flow"
    option = Option(
        "electric-continuous", label, "electric_continuous", parts, heater, (heater.control,)
    )
    return [option], []


def _gas(home: Home) -> tuple[list[Option], list[Excluded]]:
    """A gas storage and a gas continuous heater, where there is gas."""
    kinds: tuple[tuple[Family, str, str], ...] = (
        ("gas_storage", "gas-storage", "Gas storage"),
        ("gas_continuous", "gas-continuous", "Gas continuous flow"),
    )
    why = no_gas(home)
    if why:
        return [], [Excluded(name, label, why) for _, name, label in kinds]
    options = [
        Option(name, f"New {label.lower()} heater", family, (family,), heater, (heater.control,))
        for family, name, label in kinds
        for heater in (fresh(home, family),)
    ]
    return options, []
