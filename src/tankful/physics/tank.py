"""A stratified tank of N equal layers; index 0 is the bottom, N - 1 the top.

Every relation changes the temperature array in place and moves heat exactly: what one
layer loses another gains, or it is returned.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from tankful.physics.compiled import compiled

Layers = NDArray[np.float64]

STABLE_EXCHANGE = 0.5
"""Largest ``exchange`` for which ``conduct`` makes no new extreme (explicit finite volumes)."""


@compiled
def displace(temps_c: Layers, moved_layers: float, inlet_c: float) -> None:
    """Push the water column up by a part of a layer's height; inlet water fills the bottom.

    Parameters
    ----------
    temps_c : layer temperatures, bottom first, shape (N,) [degC]; changed in place
    moved_layers : volume drawn divided by the volume of one layer, 0..1
    inlet_c : temperature of the water that enters [degC]

    Notes
    -----
    Exact remapping of a piecewise constant profile: what crosses a border is averaged into
    the layer it enters; a whole layer moves unmixed. In the limit of small draws this is the
    upwind scheme of N mixed zones, whose mixing is known in closed form: after one tank
    volume the share 1 - N^N e^-N / N! of the heat has been delivered (a Poisson sum). Twelve
    layers therefore mix like a tank with a reasonable inlet.

    Limits
    ------
    The inlet jet is not modelled (valid for a Richardson number well above 1).
    """
    for i in range(temps_c.size - 1, 0, -1):
        temps_c[i] += moved_layers * (temps_c[i - 1] - temps_c[i])
    temps_c[0] += moved_layers * (inlet_c - temps_c[0])


@compiled
def conduct(temps_c: Layers, exchange: float) -> None:
    """Let heat flow between neighbouring layers for one step.

    Parameters
    ----------
    temps_c : layer temperatures, shape (N,) [degC]; changed in place
    exchange : conductance between two layers x step / heat capacity of a layer [-];
        0..``STABLE_EXCHANGE``, so a long step on thin layers takes several passes

    Notes
    -----
    Explicit finite volumes of the heat equation.
    """
    below = temps_c[0]
    flow_in = 0.0
    for i in range(temps_c.size - 1):
        here = below
        below = temps_c[i + 1]
        flow_out = exchange * (here - below)
        temps_c[i] = here + flow_in - flow_out
        flow_in = flow_out
    temps_c[temps_c.size - 1] = below + flow_in


@compiled
def lose(temps_c: Layers, around_c: float, decay: float) -> float:
    """Cool every layer towards its surroundings; return the summed fall [K].

    Parameters
    ----------
    temps_c : layer temperatures, shape (N,) [degC]; changed in place
    around_c : temperature of the surroundings [degC]
    decay : 1 - exp(-UA step / C) of one layer, 0..1 [-]; see ``loss_decay``

    Notes
    -----
    Newton's law of cooling, exact over the step for each layer.
    """
    fall = 0.0
    for i in range(temps_c.size):
        drop = decay * (temps_c[i] - around_c)
        temps_c[i] -= drop
        fall += drop
    return fall


@compiled
def mix_inversions(temps_c: Layers) -> None:
    """Mix layers until none is colder than the one below it.

    Notes
    -----
    Warmer water below colder water turns over at once. Pooling adjacent layers upwards
    gives the unique stable profile with the same heat in each mixed block.
    """
    n = temps_c.size
    high = 0
    for i in range(n - 1):
        if i < high or temps_c[i] <= temps_c[i + 1]:
            continue
        low, high = i, i + 1
        total = temps_c[low] + temps_c[high]
        mean = 0.5 * total
        growing = True
        while growing:
            growing = False
            if high < n - 1 and mean > temps_c[high + 1]:
                high += 1
                total += temps_c[high]
                growing = True
            elif low > 0 and temps_c[low - 1] > mean:
                low -= 1
                total += temps_c[low]
                growing = True
            mean = total / (high - low + 1)
        for k in range(low, high + 1):
            temps_c[k] = mean


@compiled
def room_below_setpoint(temps_c: Layers, setpoint_c: float, from_layer: int) -> float:
    """Summed temperature rise that a heater in ``from_layer`` may still give [K].

    Heat rises from there until it meets a layer already at the set point.
    """
    room = 0.0
    for i in range(from_layer, temps_c.size):
        if temps_c[i] >= setpoint_c:
            break
        room += setpoint_c - temps_c[i]
    return room


@compiled
def mean_of_lower(temps_c: Layers, layers: int) -> float:
    """Mean temperature of the lowest ``layers`` layers [degC]."""
    total = 0.0
    for i in range(layers):
        total += temps_c[i]
    return total / layers


def loss_decay(loss_w_per_k: float, heat_capacity_j_per_k: float, *, step_s: float) -> float:
    """Fraction of the temperature difference a body loses in one step [-].

    1 - exp(-UA t / C), the solution of C dT/dt = -UA (T - Ta).
    """
    return -math.expm1(-loss_w_per_k * step_s / heat_capacity_j_per_k)


def layer_exchange(
    volume_l: float,
    layers: int,
    *,
    step_s: float,
    height_over_diameter: float = 2.5,
    conductivity_w_per_m_k: float = 1.4,
    heat_capacity_j_per_l_k: float = 4186.0,
) -> float:
    """Conductance between two layers x step / heat capacity of a layer [-].

    ``conductivity_w_per_m_k`` is that of water (0.65 at 60 degC) plus a 2 mm steel wall
    spread over the cross-section of a 0.5 m tank (0.8): worked out here, no source.
    ``height_over_diameter`` is judgement. Returns 0 for a single layer.
    """
    if layers < 2:
        return 0.0
    diameter_m: float = (4e-3 * volume_l / (math.pi * height_over_diameter)) ** (1 / 3)
    area_m2 = math.pi * diameter_m**2 / 4
    layer_m = height_over_diameter * diameter_m / layers
    conductance_w_per_k = conductivity_w_per_m_k * area_m2 / layer_m
    return conductance_w_per_k * step_s / (volume_l / layers * heat_capacity_j_per_l_k)
