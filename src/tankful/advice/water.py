"""Water and pipes: what is lost before a tap runs warm, as far as anybody measured it."""

from __future__ import annotations

from tankful.data.store import load_table, sources
from tankful.model.answer import OptionResult
from tankful.model.case import CONTINUOUS
from tankful.model.system import WaterHeater

WAIT_SOURCE = "wels-gas-continuous-2008"

PIPES_NOTE = (
    "The litres per person are what is drawn at the taps, the water that has cooled in the pipes "
    "included; the heat that pipes lose is not counted apart."
)


def wait_water_l_per_day(heater: WaterHeater) -> float | None:
    """Water a continuous heater lets run to waste until it is warm [L/day]; ``None`` where
    no figure is at hand (source id ``WAIT_SOURCE``)."""
    for row in load_table("equipment"):
        if row["family"] == heater.kind and row["source_id"] == WAIT_SOURCE:
            return float(row["value"])
    return None


def water_notes(options: tuple[OptionResult, ...]) -> tuple[str, ...]:
    """What the litres hold, and what continuous heaters waste beside."""
    waiting = [option for option in options if option.heater.kind in CONTINUOUS]
    if not waiting:
        return (PIPES_NOTE,)
    measured = {option.wait_water_l_per_day for option in waiting}
    names = "; ".join(option.label for option in waiting)
    text = f"Not counted: water that runs to waste while a heater without a tank starts ({names})."
    for litres in measured - {None}:
        source = sources()[WAIT_SOURCE]
        study = f"{source.body}, {source.year}; {source.basis}"
        text += f" Measured on gas heaters: {litres:.0f} L a day ({study})."
    return (PIPES_NOTE, text)
