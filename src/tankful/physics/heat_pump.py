"""Air-source heat pump: heating power and COP by air and water temperature."""

from __future__ import annotations

from tankful.physics.compiled import compiled

RATING_AIR_C = 19.7
RATING_WET_BULB_C = 13.6
RATING_WATER_C = 48.9

LEAST_CAPACITY = 0.1
"""Share of rated power a heat pump keeps in the cold (judgement: beyond the tests)."""


@compiled
def cop_factor(wet_bulb_c: float, water_c: float) -> float:
    """COP relative to its rating (air 13.6 degC wet bulb, water 48.9 degC).

    Parameters
    ----------
    wet_bulb_c : wet bulb temperature of the air drawn in, clamped to -10..30 [degC]
    water_c : water temperature at the condenser, clamped to 10..65 [degC]

    Notes
    -----
    Biquadratic fitted to laboratory tests of integrated units; 0.988 at rating.

    Limits
    ------
    Small units with an ordinary refrigerant. Carbon dioxide machines depend on the inlet
    water instead. About -1.8 % of rating per kelvin of water temperature.

    References
    ----------
    Coefficients as read in public copies of heat pump water heater tests made by the US
    National Renewable Energy Laboratory about 2011-12 (transcribed; paper from memory).
    """
    a = min(max(wet_bulb_c, -10.0), 30.0)
    w = min(max(water_c, 10.0), 65.0)
    return (
        1.1332 + 0.063 * a - 0.0000979 * a * a - 0.00972 * w - 0.0000214 * w * w - 0.000686 * a * w
    )


@compiled
def capacity_factor(wet_bulb_c: float, water_c: float) -> float:
    """Heating power relative to its rating; arguments, limits and source as ``cop_factor``.

    Never below ``LEAST_CAPACITY``: towards -10 degC wet bulb with water above 60 degC the fit
    turns negative, and a heat pump does not cool its tank.
    """
    a = min(max(wet_bulb_c, -10.0), 30.0)
    w = min(max(water_c, 10.0), 65.0)
    fit = 0.563 + 0.0437 * a + 0.000039 * a * a + 0.0055 * w - 0.000148 * w * w - 0.000145 * a * w
    return max(fit, LEAST_CAPACITY)


@compiled
def carnot_cop(air_c: float, water_c: float) -> float:
    """COP of an ideal heat pump between air and water [-].

    Notes
    -----
    Tc / (Tc - Te) in kelvin, evaporating 8 K below the air and condensing 5 K above the water
    (approaches: judgement); 5.46 at 7 and 55 degC. A real small unit reaches 0.3 to 0.5 of
    it (from memory).
    """
    condensing_k = water_c + 5.0 + 273.15
    evaporating_k = air_c - 8.0 + 273.15
    return condensing_k / max(condensing_k - evaporating_k, 5.0)


@compiled
def carnot_cop_factor(air_c: float, water_c: float) -> float:
    """COP relative to its rating by a constant share of the Carnot COP [-].

    The second model: no measured curve, but no limit of tested range either. It knows the
    air's temperature only, not its humidity.
    """
    return carnot_cop(air_c, water_c) / carnot_cop(RATING_AIR_C, RATING_WATER_C)


@compiled
def air_capacity_factor(air_c: float) -> float:
    """Heating power relative to its rating, by air alone: 2 % per kelvin (judgement) [-]."""
    return min(max(1.0 + 0.02 * (air_c - RATING_AIR_C), LEAST_CAPACITY), 1.5)


@compiled
def frost_factor(air_c: float, penalty: float) -> float:
    """What frost on the evaporator leaves of capacity and COP, 1 - penalty..1 [-].

    Notes
    -----
    No penalty above 7 degC, growing linearly to ``penalty`` at 2 degC and below, where
    coils frost in humid air. Form: judgement; size 5 to 20 % from memory.
    """
    return 1.0 - penalty * min(max((7.0 - air_c) / 5.0, 0.0), 1.0)


def heat_up_mean_factor(
    *,
    wet_bulb_c: float = RATING_WET_BULB_C,
    from_c: float = 15.0,
    to_c: float = 60.0,
    carnot_air_c: float | None = None,
) -> float:
    """COP over a whole heat-up of mixed water, relative to the rating point [-].

    Energy-weighted: heat per unit of electricity summed over the rise. Brings a test
    report's heat-up COP to the rating point of ``cop_factor``, or to that of
    ``carnot_cop_factor`` where the air is given as ``carnot_air_c`` [degC].
    """
    steps = 90
    electricity = 0.0
    for i in range(steps):
        water_c = from_c + (to_c - from_c) * (i + 0.5) / steps
        if carnot_air_c is None:
            electricity += 1.0 / cop_factor(wet_bulb_c, water_c)
        else:
            electricity += 1.0 / carnot_cop_factor(carnot_air_c, water_c)
    return steps / electricity
