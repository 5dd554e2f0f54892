"""What a household of a state has to know beside the sums, for what it has today."""

from __future__ import annotations

from collections.abc import Callable

from tankful.data.store import load_table
from tankful.model.kinds import BURNS_GAS
from tankful.model.system import WaterHeater

CONCERNS: dict[str, Callable[[WaterHeater], bool]] = {
    "burns_gas": lambda heater: heater.kind in BURNS_GAS,
    "tank_on_general": lambda heater: (
        heater.kind == "electric_storage" and heater.circuit == "general"
    ),
}
"""Which of today's heaters a row of the table concerns, by its ``applies_to``."""


def state_notes(state: str | None, heater: WaterHeater) -> tuple[str, ...]:
    """The notes of a state that concern today's heater; none elsewhere."""
    return tuple(
        row["text"]
        for row in load_table("state_notes")
        if row["state"] == state and CONCERNS[row["applies_to"]](heater)
    )
