"""What can heat the water, and how it can be run."""

from __future__ import annotations

from typing import Literal

HeaterKind = Literal[
    "electric_storage",
    "electric_continuous",
    "heat_pump",
    "solar_flat",
    "solar_tube",
    "solar_gas",
    "solar_gas_tank",
    "solar_inline",
    "gas_storage",
    "gas_continuous",
    "none",
]
"""``solar_flat`` and ``solar_tube`` are collectors on a tank with an electric element;
``solar_gas`` is a flat plate preheating the water of a gas continuous heater;
``solar_gas_tank`` has a burner in the tank instead, at half its height; ``solar_inline`` preheats
the water of an electric continuous heater."""

BURNER_IN_TANK: frozenset[str] = frozenset({"gas_storage", "solar_gas_tank"})
BURNS_GAS: frozenset[str] = BURNER_IN_TANK | {"gas_continuous", "solar_gas"}
CONTINUOUS: frozenset[str] = frozenset({"electric_continuous", "gas_continuous"})
SOLAR_THERMAL: frozenset[str] = frozenset(
    {"solar_flat", "solar_tube", "solar_gas", "solar_gas_tank", "solar_inline"}
)
INLINE_BOOSTED: frozenset[str] = CONTINUOUS | {"solar_gas", "solar_inline"}
"""A continuous heater does the last step to the tap."""
ELECTRIC_INLINE: frozenset[str] = frozenset({"electric_continuous", "solar_inline"})
HAS_ELEMENT: frozenset[str] = frozenset(
    {"electric_storage", "heat_pump", "solar_flat", "solar_tube"}
)
ControlKind = Literal["always", "hours", "off_peak", "diverter", "surplus_switch", "reserve"]
Family = Literal[
    "electric_storage",
    "heat_pump",
    "gas_storage",
    "gas_continuous",
    "electric_continuous",
    "solar_flat",
    "solar_tube",
    "solar_gas",
    "solar_gas_tank",
    "solar_inline",
    "diverter",
    "dedicated_panels",
    "timer",
    "off_peak_connection",
    "surplus_switch",
    "electric_circuit",
]
"""Heaters, then add-ons; ``electric_circuit`` is the wiring a tank needs where gas was."""

ONE_OFF: frozenset[Family] = frozenset({"electric_circuit", "off_peak_connection"})
"""Wiring, which stays with the house: never renewed, and worth nothing to sell."""

HeatPumpModel = Literal["lab_curve", "carnot"]
BackupElement = Literal["cold_air", "cold_tank", "none"]
"""When a heat pump's electric element heats: in air too cold for the heat pump; also beside it
while the tank is cold; never."""

Grade = Literal["entry", "good", "best"]
Circulation = Literal["pump", "thermosiphon"]
FrostProtection = Literal["circulate", "antifreeze"]

FAMILY_WORDS: dict[Family, str] = {
    "electric_storage": "electric tank",
    "heat_pump": "heat pump",
    "gas_storage": "gas storage heater",
    "gas_continuous": "gas continuous heater",
    "electric_continuous": "electric continuous heater",
    "solar_flat": "flat-plate collectors",
    "solar_tube": "evacuated-tube collectors",
    "solar_gas": "collectors with gas boost",
    "solar_gas_tank": "collectors with a burner in the tank",
    "solar_inline": "collectors before an electric continuous heater",
    "diverter": "diverter",
    "dedicated_panels": "panels of the tank's own",
    "timer": "timer",
    "off_peak_connection": "off-peak connection",
    "surplus_switch": "switch for spare sun",
    "electric_circuit": "circuit for an electric heater",
}
"""Each family as people call it, without article."""
