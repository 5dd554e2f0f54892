"""Heat into the tank: element, heat pump or burner, second element, panels of its own.

Each relation works for one step and returns plain numbers; only the layers change in place.
"""

from __future__ import annotations

from tankful.clock import FloatArray
from tankful.physics.compiled import compiled
from tankful.physics.heat_pump import (
    air_capacity_factor,
    capacity_factor,
    carnot_cop_factor,
    cop_factor,
    frost_factor,
)
from tankful.physics.tank import mean_of_lower, mix_inversions, room_below_setpoint
from tankful.simulate.params import Plant

MIN_COP = 1.0
"""A heat pump never gives less heat than its electricity."""


@compiled
def pump_runs(plant: Plant, air_c: float) -> bool:
    """A heat pump is there and the air is not below its cut-out."""
    return plant.pump_heat_w > 0.0 and air_c >= plant.pump_cut_out_c


@compiled
def heat_per_input(plant: Plant, air_c: float, wet_bulb_c: float, water_c: float) -> float:
    """Heat into the water per unit of electricity or gas bought [-]."""
    if plant.burner_w > 0.0:
        return plant.burner_efficiency
    if not pump_runs(plant, air_c):
        return 1.0
    if plant.pump_is_carnot:
        factor = carnot_cop_factor(air_c, water_c)
    else:
        factor = cop_factor(wet_bulb_c, water_c)
    return max(MIN_COP, plant.pump_cop * factor * frost_factor(air_c, plant.pump_frost_penalty))


@compiled
def heating_power_w(
    plant: Plant, allowed_w: float, air_c: float, wet_bulb_c: float, water_c: float
) -> float:
    """Heating power for what the control allows [W].

    An electric element follows ``allowed_w``, and so does a variable-speed heat pump above
    its least share; other heat pumps and burners are on or off.
    Below its cut-out a heat pump leaves the work to its backup element.
    """
    if plant.burner_w > 0.0:
        return plant.burner_w * plant.burner_efficiency
    if not pump_runs(plant, air_c):
        return min(allowed_w, plant.element_w)
    if plant.pump_is_carnot:
        capacity = air_capacity_factor(air_c)
    else:
        capacity = capacity_factor(wet_bulb_c, water_c)
    heat_w = plant.pump_heat_w * capacity * frost_factor(air_c, plant.pump_frost_penalty)
    if plant.pump_min_share >= 1.0:
        return heat_w
    share = min(1.0, allowed_w * heat_per_input(plant, air_c, wet_bulb_c, water_c) / heat_w)
    return heat_w * share if share >= plant.pump_min_share else 0.0


@compiled
def heat_on_offer_j(
    plant: Plant, allowed_w: float, air_c: float, wet_bulb_c: float, water_c: float
) -> float:
    """Heat the heater could give in a step that starts with ``water_c`` at it [J].

    A heat pump's is that at the water halfway through the step, as its COP is: one that follows
    the sun would otherwise take more than it is allowed.
    """
    heat_w = heating_power_w(plant, allowed_w, air_c, wet_bulb_c, water_c)
    if plant.pump_heat_w > 0.0:
        half_j = 0.5 * heat_w * plant.step_s
        halfway_c = water_c + half_j / (plant.condenser_layers * plant.layer_heat_j_per_k)
        heat_w = heating_power_w(plant, allowed_w, air_c, wet_bulb_c, halfway_c)
    return heat_w * plant.step_s


@compiled
def backup_j(
    plant: Plant, temps_c: FloatArray, pump_j: float, sensor_c: float, air_c: float
) -> float:
    """Heat that the element could add in a step beside a compressor that gives ``pump_j`` [J].

    Some units are set so that it helps while the water at the thermostat, ``sensor_c``, is cold:
    both then heat what lies above the condenser until that is as warm as the mark. Below the
    cut-out the element heats alone.
    """
    mark_c = plant.pump_backup_below_c
    if sensor_c >= mark_c or pump_j <= 0.0 or not pump_runs(plant, air_c):
        return 0.0
    room_j = room_below_setpoint(temps_c, mark_c, plant.heater_layer) * plant.layer_heat_j_per_k
    element_j = plant.element_w * plant.step_s
    return element_j * min(1.0, room_j / (pump_j + element_j))


@compiled
def add_heat(
    plant: Plant, temps_c: FloatArray, layer: int, target_c: float, heat_j: float
) -> float:
    """Put heat into a layer as far as the water above is below ``target_c``; return it [J]."""
    room_j = room_below_setpoint(temps_c, target_c, layer) * plant.layer_heat_j_per_k
    given_j = min(heat_j, room_j)
    if given_j > 0.0:
        temps_c[layer] += given_j / plant.layer_heat_j_per_k
        mix_inversions(temps_c)
    return max(0.0, given_j)


@compiled
def heat(
    plant: Plant,
    temps_c: FloatArray,
    target_c: float,
    sensor_c: float,
    asked_w: float,
    catch_up_w: float,
    air_c: float,
    wet_bulb_c: float,
) -> tuple[float, float, float, bool, bool]:
    """Heat the tank for one step: to ``target_c`` with the power asked, and with that for
    catching up only to its own mark, both 0 where not wanted.

    Returns energy bought and heat put in [J], the share of the step that it took, and whether
    either mark was reached. Heating stops in the midst of a step, so that long steps do not
    overshoot. A heat pump's COP is taken at the water temperature halfway through the step, so
    that they do not flatter it; an element beside it heats first.
    """
    layer = plant.heater_layer
    before_c = mean_of_lower(temps_c, plant.condenser_layers)
    could_j, heat_j, share, beside_j, caught_up = 0.0, 0.0, 0.0, 0.0, False
    if asked_w > 0.0:
        pump_j = heat_on_offer_j(plant, asked_w, air_c, wet_bulb_c, before_c)
        beside_j = backup_j(plant, temps_c, pump_j, sensor_c, air_c)
        could_j = pump_j + beside_j
        heat_j = add_heat(plant, temps_c, layer, target_c, could_j)
        share = heat_j / could_j if could_j > 0.0 else 0.0
    reached = heat_j < could_j
    if catch_up_w > 0.0:
        pump_j = heat_on_offer_j(plant, catch_up_w, air_c, wet_bulb_c, before_c)
        beside_j = max(beside_j, backup_j(plant, temps_c, pump_j, sensor_c, air_c))
        more_j = pump_j + beside_j - heat_j
        caught_j = add_heat(plant, temps_c, layer, plant.caught_up_c, more_j)
        caught_up = caught_j < more_j
        heat_j += caught_j
        share = max(share, caught_j / more_j if caught_j > 0.0 else 0.0)
    if heat_j <= 0.0:
        return 0.0, 0.0, 0.0, reached, caught_up
    halfway_c = 0.5 * (before_c + mean_of_lower(temps_c, plant.condenser_layers))
    element_j = min(heat_j, beside_j)
    per_input = heat_per_input(plant, air_c, wet_bulb_c, halfway_c)
    bought_j = (heat_j - element_j) / per_input + element_j
    return bought_j, heat_j, share, reached, caught_up


@compiled
def boost(plant: Plant, temps_c: FloatArray, catch_up_w: float) -> tuple[float, float, bool]:
    """Let the second element catch up for one step.

    Returns the heat [J], the share of the step that it took, and whether its mark was reached.
    """
    could_j = min(catch_up_w, plant.boost_w) * plant.step_s
    if could_j <= 0.0:
        return 0.0, 0.0, False
    heat_j = add_heat(plant, temps_c, plant.boost_layer, plant.caught_up_c, could_j)
    return heat_j, heat_j / could_j, heat_j < could_j


@compiled
def take_heat(plant: Plant, temps_c: FloatArray, floor_c: float, heat_j: float) -> float:
    """Take heat from the lowest layers that are warmer than ``floor_c``; return it [J]."""
    left_j = heat_j
    for i in range(temps_c.size):
        if left_j <= 0.0:
            break
        part_j = min(left_j, max(0.0, (temps_c[i] - floor_c) * plant.layer_heat_j_per_k))
        temps_c[i] -= part_j / plant.layer_heat_j_per_k
        left_j -= part_j
    return heat_j - left_j
