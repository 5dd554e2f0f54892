"""The usual cautions for the options of a home. Local code and licensed trades come first."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from tankful.advice.backup import BackupCost, has_backup
from tankful.advice.search import longest_allowed_h
from tankful.advice.settle import leaves_gas
from tankful.data.store import cite, load_table
from tankful.model.answer import Caution, OptionResult
from tankful.model.case import (
    BURNS_GAS,
    CONTINUOUS,
    ELECTRIC_INLINE,
    HAS_ELEMENT,
    INLINE_BOOSTED,
    SOLAR_THERMAL,
)
from tankful.model.home import Home
from tankful.model.window import windows_text

TAP_LIMIT_C = 50.0
TAP_LIMIT_VULNERABLE_C = 45.0
"""Delivery limits of the National Construction Code 2022 volume 3 (B2D5, New South Wales)."""

FROST_BELOW_C = 4.0
"""Air that may leave frost on collectors and coils (source id ``collector-frost``)."""

COLD_SNAP_K = 3.0
"""How much colder than the coldest hour of a typical year a night may be (judgement)."""

NIGHT_RUN_H = 10.0
"""A heat pump that runs no more than this in all nights of a year disturbs nobody (judgement)."""

Concerns = Callable[[Home, OptionResult], bool]


def _heard_at_night(option: OptionResult) -> bool:
    return option.heater.kind == "heat_pump" and option.sums.night_run_h > NIGHT_RUN_H


def _in_nsw(home: Home) -> bool:
    return home.place.state == "NSW"


CONCERNS: dict[str, Concerns] = {
    "all": lambda home, option: True,
    "storage": lambda home, option: option.heater.kind not in INLINE_BOOSTED | {"none"},
    "electric": lambda home, option: option.heater.kind in HAS_ELEMENT | ELECTRIC_INLINE,
    "electric_continuous": lambda home, option: option.heater.kind in ELECTRIC_INLINE,
    "direct_panels": lambda home, option: option.heater.has_direct_panels,
    "heat_pump": lambda home, option: option.heater.kind == "heat_pump",
    "switched_heat_pump": lambda home, option: (
        option.heater.kind == "heat_pump" and option.heater.circuit == "controlled"
    ),
    "solar": lambda home, option: option.heater.kind in SOLAR_THERMAL,
    "preheated": lambda home, option: option.heater.kind in INLINE_BOOSTED - CONTINUOUS,
    "gas": lambda home, option: option.heater.kind in BURNS_GAS,
    "bottles": lambda home, option: home.case.gas.bottles is not None,
    "ends_gas": lambda home, option: (
        home.heater_today.kind in BURNS_GAS and option.heater.kind not in BURNS_GAS
    ),
    "leaves_gas": lambda home, option: (
        home.case.gas.bottles is None and leaves_gas(home, option.heater.kind in BURNS_GAS)
    ),
    "tap_50": lambda home, option: not home.case.people.vulnerable,
    "tap_45": lambda home, option: home.case.people.vulnerable,
    "outside_or_roof": lambda home, option: (
        option.heater.kind in SOLAR_THERMAL | {"heat_pump"} or option.heater.has_direct_panels
    ),
    "queensland": lambda home, option: (
        home.place.state == "QLD" and option.heater.kind in SOLAR_THERMAL | {"heat_pump"}
    ),
    "night_noise": lambda home, option: _heard_at_night(option) and not _in_nsw(home),
    "night_noise_nsw": lambda home, option: _heard_at_night(option) and _in_nsw(home),
    "quiet_hours": lambda home, option: (
        option.heater.kind == "heat_pump" and bool(home.case.constraints.quiet_hours)
    ),
    "frost_heat_pump": lambda home, option: (
        option.heater.kind == "heat_pump" and may_fall_to_c(home) < FROST_BELOW_C
    ),
    "frost_collectors": lambda home, option: (
        option.heater.kind in SOLAR_THERMAL and may_fall_to_c(home) < FROST_BELOW_C
    ),
    "freezing": lambda home, option: may_fall_to_c(home) < 0.0,
}
"""Which options of which homes a row of the table concerns, by its ``applies_to``."""


def cautions_for(
    home: Home,
    options: tuple[OptionResult, ...],
    *,
    new_panels: bool = False,
    backup: BackupCost | None = None,
) -> tuple[Caution, ...]:
    """Cautions that concern at least one of ``options``, in the table's order; each knows which.
    Where a text quotes what differs between options, each of them has its own.

    ``new_panels``: the answer speaks well of more panels, beside whichever option. ``backup``:
    what a heat pump's element costs when it helps whenever the tank is cold.
    """
    concerns: dict[str, Concerns] = {
        **CONCERNS,
        "new_panels": lambda home, option: new_panels,
        "backup_trap": lambda home, option: (
            backup is not None and not backup.is_set_so and has_backup(option)
        ),
        "backup_set_so": lambda home, option: (
            backup is not None and backup.is_set_so and has_backup(option)
        ),
    }
    nights = {option.id: {"night_hours": _night_hours(option, options)} for option in options}
    found = []
    for row in load_table("cautions"):
        concerned: dict[str, list[str]] = {}
        for option in options:
            if concerns[row["applies_to"]](home, option):
                text = row["text"].format(**_facts(home, option, backup), **nights[option.id])
                concerned.setdefault(text, []).append(option.id)
        source = cite(row["source_id"])
        found += [
            Caution(row["topic"], text, source, tuple(ids)) for text, ids in concerned.items()
        ]
    return tuple(found)


def _night_hours(option: OptionResult, options: tuple[OptionResult, ...]) -> str:
    """Hours in which the heat pumps run at night: those of the best option and its ties, or those
    of all others, so that each answer tells either of them once."""
    is_top = option.rank == 1
    alike = [each for each in options if _heard_at_night(each) and (each.rank == 1) == is_top]
    return "; ".join(f"about {each.sums.night_run_h:,.0f} for {each.label}" for each in alike)


def coldest_c(home: Home) -> float:
    """Air temperature of the coldest step of the home's year."""
    return float(home.temp_air_c.min())


def may_fall_to_c(home: Home) -> float:
    """Air temperature to be ready for: a typical year has no cold snaps."""
    return coldest_c(home) - COLD_SNAP_K


def _facts(home: Home, option: OptionResult, backup: BackupCost | None) -> dict[str, float | str]:
    """What the texts quote."""
    vulnerable = home.case.people.vulnerable
    element = {} if backup is None else backup.words(home.case.wishes.currency)
    return {
        **element,
        "tap_limit_c": TAP_LIMIT_VULNERABLE_C if vulnerable else TAP_LIMIT_C,
        "coldest_c": coldest_c(home),
        "quiet_hours": windows_text(home.case.constraints.quiet_hours),
    }


def health_notes(options: tuple[OptionResult, ...]) -> tuple[str, ...]:
    """Remarks on options whose control could not keep comfort or the weekly heat-through."""
    notes = []
    for option in options:
        days = option.sums.longest_below_60_h / 24.0
        if option.sums.longest_below_60_h > longest_allowed_h(option.heater):
            notes.append(
                f"{option.label}: the tank goes {days:.0f} days without being heated through to "
                "60 degC, longer than the rule allows; ask for another setting."
            )
    return (*notes, *_cold_notes([o for o in options if not o.choice.comfort_kept]))


def _cold_notes(options: list[OptionResult]) -> Iterator[str]:
    """Options whose water comes too cold too often, and what that is measured by."""
    told = [(o.heater.kind, f"{o.label} ({o.sums.cold_draws})") for o in options]
    tanks = [text for kind, text in told if kind not in INLINE_BOOSTED]
    if tanks:
        yield (
            "No setting tried kept cold showers as rare as with the same heater always on "
            f"(how many a year are left): {'; '.join(tanks)}."
        )
    continuous = [text for kind, text in told if kind in INLINE_BOOSTED]
    if continuous:
        yield (
            "Too weak on cold days for showers and baths that flow fast; ask for a stronger one, "
            f"or let the bath fill slowly (how many a year come cold): {'; '.join(continuous)}."
        )
