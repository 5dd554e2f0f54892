"""A heat pump's test report: from a quoted COP to the COP at the rating point."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tankful.model.case import Quote

RATING_AIR_C = 19.7
RATING_DEPRESSION_K = 6.1
"""Air of the rating point, and how far its wet bulb lies below (physics/heat_pump.py)."""

HEAT_UP_FROM_C = 15.0
HEAT_UP_TO_C = 60.0
"""Heat-up of a report that does not say (AS/NZS 5125.1 heats up to about so much, from memory)."""

DAMP_UP_TO_C = 14.0
DAMP_DEPRESSION_K = 1.0
"""Up to 14 degC, test air is a degree above its wet bulb: 2 (1), 7 (6) and 14 (13) degC (EU
812/2013 Annex VII Table 6, 814/2013 Annex III Table 4)."""


class CopTest(NamedTuple):
    """Temperatures of a test [degC]: air, its wet bulb, water at the start and at the end."""

    air_c: float
    wet_bulb_c: float
    water_from_c: float
    water_to_c: float

    def text(self) -> str:
        """The test in words."""
        same = self.water_from_c == self.water_to_c
        water = f"{'' if same else f'{self.water_from_c:g} to '}{self.water_to_c:g}"
        return f"air {self.air_c:g} degC (wet bulb {self.wet_bulb_c:.1f}), water {water} degC"


def cop_test(quote: Quote) -> CopTest:
    """The test of the quote's COP; what the quote leaves out is the usual."""
    air_c = _or(quote.cop_air_c, RATING_AIR_C)
    return CopTest(
        air_c,
        _or(quote.cop_wet_bulb_c, usual_wet_bulb_c(air_c)),
        _or(quote.cop_water_from_c, HEAT_UP_FROM_C),
        _or(quote.cop_water_to_c, HEAT_UP_TO_C),
    )


def usual_wet_bulb_c(air_c: float) -> float:
    """Wet bulb [degC] of test air at ``air_c``: damp in the cold, drier at the rating point."""
    depressions_k = (DAMP_DEPRESSION_K, RATING_DEPRESSION_K)
    return air_c - float(np.interp(air_c, (DAMP_UP_TO_C, RATING_AIR_C), depressions_k))


def rating_cop(quote: Quote, frost_penalty: float) -> float:
    """COP at the rating point [-] behind the quote's COP, which may be of any test.

    The model that the quote asks for runs the test: what it gives there of its rating, frost
    included, is what the quoted COP is divided by.
    """
    from tankful.physics.heat_pump import frost_factor, heat_up_mean_factor

    assert quote.cop is not None  # asked by the caller
    test = cop_test(quote)
    share = heat_up_mean_factor(
        wet_bulb_c=test.wet_bulb_c,
        from_c=test.water_from_c,
        to_c=test.water_to_c,
        carnot_air_c=test.air_c if quote.cop_model == "carnot" else None,
    )
    return quote.cop / (share * frost_factor(test.air_c, frost_penalty))


def _or(given: float | None, usual: float) -> float:
    return usual if given is None else given
