"""The options of a home: today's heater kept, like for like, and everything that fits.

An option is a water heater, what it costs to get there, and the controls worth trying.
What does not fit is ruled out with its reason, never dropped in silence.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from tankful.advice.controls import (
    SUN_SETPOINT_C,
    dedicated_panel_controls,
    diverter_controls,
    follow_sun_controls,
    off_peak_controls,
    solar_boost_controls,
    surplus_switch_controls,
    timer_controls,
)
from tankful.model.answer import Excluded
from tankful.model.case import BURNS_GAS, Family
from tankful.model.home import Home
from tankful.model.system import Control, WaterHeater

KEEP = "keep"


@dataclass(frozen=True)
class Option:
    """One thing the household could do.

    ``parts`` are what is bought now; ``family`` is the heater replaced at the end of its
    life, ``first_replacement_year`` from now (``None``: bought now, so after its life).
    """

    id: str
    label: str
    family: Family
    parts: tuple[Family, ...]
    heater: WaterHeater
    controls: tuple[Control, ...]
    first_replacement_year: float | None = None

    @property
    def burns_gas(self) -> bool:
        return self.heater.kind in BURNS_GAS


def build_options(home: Home) -> tuple[tuple[Option, ...], tuple[Excluded, ...]]:
    """Every everyday option of the home, and those ruled out."""
    options: list[Option] = []
    excluded: list[Excluded] = []
    if home.heater_today.kind != "none":
        options.append(_keep(home))
    for group in (_electric, _electric_continuous, _heat_pump, _solar, _gas):
        fitting, unfit = group(home)
        options += [option for option in fitting if not _is_today(option, home.heater_today)]
        excluded += unfit
    return tuple(options), tuple(excluded)


def _is_today(option: Option, today: WaterHeater) -> bool:
    """The option is today's heater run as today: that is option ``KEEP``."""
    kinds = {control.kind for control in option.controls}
    same_heater = option.first_replacement_year is not None and option.heater == today
    return same_heater and len(option.controls) == 1 and kinds == {today.control.kind}


def remaining_life_years(home: Home) -> float:
    """Years today's heater may still run: typical life less age, at least half a year."""
    return max(0.5, home.equipment[_today_family(home)].life_years - home.heater_age_years)


def _today_family(home: Home) -> Family:
    kind = home.heater_today.kind
    return "electric_storage" if kind == "none" else kind


def _keep(home: Home) -> Option:
    """Run today's heater until it fails, then replace it like for like."""
    return Option(
        id=KEEP,
        label="Keep today's heater, replace like for like",
        family=_today_family(home),
        parts=(),
        heater=home.heater_today,
        controls=(home.heater_today.control,),
        first_replacement_year=remaining_life_years(home),
    )


def _fresh(home: Home, family: Family) -> WaterHeater:
    heater = home.equipment[family].heater
    if heater is None:
        raise KeyError(f"{family} is an add-on, not a heater")
    return heater


def _wiring(home: Home) -> tuple[Family, ...]:
    """The circuit a tank or a heat pump needs where today's heater is not electric."""
    wired = home.heater_today.kind in ("electric_storage", "heat_pump")
    return () if wired else ("electric_circuit",)


def _electric(home: Home) -> tuple[list[Option], list[Excluded]]:
    """A plain electric tank under each control; on today's tank where there is one."""
    has_tank = home.heater_today.kind == "electric_storage"
    base: tuple[Family, ...] = ()
    if has_tank:
        heater, first = home.heater_today, remaining_life_years(home)
        prefix = "Today's electric tank"
    else:
        heater, first = _fresh(home, "electric_storage"), None
        prefix = "Electric tank"
        base = ("electric_storage", *_wiring(home))
    plain = replace(heater, circuit="general")

    def option(
        name: str,
        label: str,
        parts: tuple[Family, ...],
        tank: WaterHeater,
        controls: tuple[Control, ...],
    ) -> Option:
        return Option(
            f"electric-{name}",
            f"{prefix}, {label}",
            "electric_storage",
            base + parts,
            tank,
            controls,
            first,
        )

    options = [
        option("always", "always on", (), plain, (Control("always"),)),
        option(
            "timed",
            "timer with tank sensor",
            ("timer",),
            plain,
            timer_controls((None, SUN_SETPOINT_C)),
        ),
    ]
    excluded = []
    controlled = home.electricity_tariff.controlled_load
    if controlled is not None and home.off_peak_circuit:
        hours = controlled.hours
        options.append(
            option(
                "off-peak",
                "off-peak circuit",
                ("off_peak_connection",),
                replace(plain, circuit="controlled"),
                off_peak_controls(hours),
            )
        )
    else:
        why = (
            "the electricity plan has no controlled load"
            if controlled is None
            else "the case says that no off-peak circuit can be had"
        )
        excluded.append(Excluded("electric-off-peak", f"{prefix}, off-peak circuit", why))
    if home.pv_w.any():
        options.append(
            option("diverter", "spare sun by diverter", ("diverter",), plain, diverter_controls())
        )
    else:
        excluded.append(
            Excluded("electric-diverter", f"{prefix}, spare sun by diverter", "no solar panels")
        )
    if not home.case.constraints.no_roof_work:
        options.append(
            option(
                "dedicated-panels",
                "panels of its own",
                ("dedicated_panels",),
                replace(plain, has_direct_panels=True),
                dedicated_panel_controls(),
            )
        )
    return options, excluded


def _heat_pump(home: Home) -> tuple[list[Option], list[Excluded]]:
    """A heat pump under each control; today's where there is one."""
    has_pump = home.heater_today.kind == "heat_pump"
    label = "Today's heat pump" if has_pump else "Heat pump"
    if home.case.constraints.no_heat_pump:
        why = "the case says that a heat pump cannot be placed"
        return [], [Excluded("heat-pump", label, why)]
    base: tuple[Family, ...] = () if has_pump else ("heat_pump", *_wiring(home))
    first = remaining_life_years(home) if has_pump else None
    heater = home.heater_today if has_pump else _fresh(home, "heat_pump")
    heater = replace(heater, circuit="general")

    def option(
        name: str, words: str, parts: tuple[Family, ...], controls: tuple[Control, ...]
    ) -> Option:
        return Option(
            f"heat-pump-{name}",
            f"{label}, {words}",
            "heat_pump",
            base + parts,
            heater,
            controls,
            first,
        )

    options = [
        option("always", "always on", (), (Control("always"),)),
        option("timed", "on its timer", (), timer_controls()),
    ]
    if not home.pv_w.any():
        return options, [
            Excluded("heat-pump-surplus", f"{label}, switched by spare sun", "no solar panels")
        ]
    pump = heater.heat_pump
    assert pump is not None
    if pump.min_share < 1.0:
        options.append(option("following", "following spare sun", (), follow_sun_controls()))
    controls = surplus_switch_controls(pump.heat_w / pump.cop)
    options.append(option("surplus", "switched by spare sun", ("surplus_switch",), controls))
    return options, []


def _solar(home: Home) -> tuple[list[Option], list[Excluded]]:
    """Solar thermal collectors, with the boost run in each way that fits."""
    if home.case.constraints.no_roof_work:
        why = "the case rules out work on the roof"
        return [], [Excluded("solar-thermal", "Solar thermal collectors", why)]
    options = []
    kinds: tuple[tuple[Family, str, str], ...] = (
        ("solar_flat", "solar-flat", "Flat-plate collectors"),
        ("solar_tube", "solar-tube", "Evacuated-tube collectors"),
    )
    wiring: tuple[Family, ...] = (
        ("electric_circuit",) if home.heater_today.kind in BURNS_GAS else ()
    )
    for family, name, label in kinds:
        heater = _fresh(home, family)
        options.append(
            Option(
                f"{name}-electric",
                f"{label}, electric boost",
                family,
                (family, *wiring),
                heater,
                solar_boost_controls(),
            )
        )
    excluded = []
    why_not = _no_gas(home)
    gas_label = "Flat-plate collectors, gas boost"
    if why_not:
        excluded.append(Excluded("solar-gas", gas_label, why_not))
    else:
        heater = _fresh(home, "solar_gas")
        options.append(
            Option("solar-gas", gas_label, "solar_gas", ("solar_gas",), heater, (heater.control,))
        )
    return options, excluded


def _no_gas(home: Home) -> str:
    """Why a new gas heater does not fit; empty when it does."""
    if home.case.constraints.no_gas:
        return "the household wants no gas"
    return "" if home.gas_connected else "the home has no gas connection"


def _electric_continuous(home: Home) -> tuple[list[Option], list[Excluded]]:
    """An electric heater without a tank."""
    heater = _fresh(home, "electric_continuous")
    parts: tuple[Family, ...] = ("electric_continuous", "electric_circuit")
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
    why = _no_gas(home)
    if why:
        return [], [Excluded(name, label, why) for _, name, label in kinds]
    options = [
        Option(name, f"New {label.lower()} heater", family, (family,), heater, (heater.control,))
        for family, name, label in kinds
        for heater in (_fresh(home, family),)
    ]
    return options, []
