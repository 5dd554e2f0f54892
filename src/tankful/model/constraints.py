"""What stands in the way of options, as a case tells of it."""

from __future__ import annotations

from tankful.model.fields import Table, field
from tankful.model.window import Windows


class Constraints(Table):
    """What the home rules out."""

    no_heat_pump: bool = field(
        False, about="no room or no leave for a heat pump outside", source="judgement"
    )
    no_roof_work: bool = field(
        False, about="no new collectors or panels on the roof", source="judgement"
    )
    no_gas: bool = field(False, about="the household wants no gas", source="judgement")
    keep_gas: bool = field(
        False, about="gas stays connected for other uses whatever is chosen", source="judgement"
    )
    quiet_hours: Windows = field(
        (), about="hours when a heat pump must not run because of neighbours", source="judgement"
    )
    neighbour_near: bool = field(
        False,
        about="a neighbour's bedroom is within earshot of where a heat pump would stand",
        source="judgement",
    )
    largest_tank_l: float | None = field(
        None,
        about="the largest tank there is room for",
        unit="L",
        ge=20,
        le=2000,
        when_absent="room for any",
    )
    weak_supply: bool = field(
        False,
        about="the electricity supply cannot carry a heater without a tank",
        source="judgement",
    )
