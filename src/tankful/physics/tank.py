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

PORTION_LAYERS = 0.15
"""Most a flow moves the water column at once [layers]; ``displace`` and ``sink`` are stable with
it for up to 67 layers."""

STABLE_EXCHANGE = 0.5
"""Largest ``exchange`` for which ``conduct`` makes no new extreme (explicit finite volumes)."""


@compiled
def displace(temps_c: Layers, moved_layers: float, inlet_c: float, mixing_layers: float) -> None:
    """Push the water column up by a part of a layer's height; inlet water fills the bottom.

    Parameters
    ----------
    temps_c : layer temperatures, bottom first, shape (N,) [degC]; changed in place
    moved_layers : volume drawn divided by the volume of one layer, 0 to
        1 / (1 + ``mixing_layers``)
    inlet_c : temperature of the water that enters [degC]
    mixing_layers : mixing length of the moving column, in heights of a layer [-]; 0 moves it
        as a plug, 1 mixes it as N mixed zones do

    Notes
    -----
    A border between hot and cold that moves by s spreads to a variance of s x mixing length.
    Remapping a piecewise constant profile does so by itself with a mixing length of
    (1 - moved) layers; what is missing is added as an exchange between neighbours, what is
    too much is taken back, but only as far as no new extreme arises (the smaller of two
    neighbouring slopes: a flux limiter). With a mixing length of one layer this is the row
    of N mixed zones: after one tank volume the share 1 - N^N e^-N / N! of the heat has been
    delivered (a Poisson sum).

    Limits
    ------
    The inlet jet is not modelled (valid for a Richardson number well above 1).
    """
    exchange = 0.5 * moved_layers * (mixing_layers - 1.0 + moved_layers)
    flow_out = moved_layers * temps_c[temps_c.size - 1]
    for i in range(temps_c.size - 1, 0, -1):
        slope = temps_c[i] - temps_c[i - 1]
        if exchange < 0.0:
            below_c = temps_c[i - 2] if i > 1 else inlet_c
            slope = max(0.0, min(slope, temps_c[i - 1] - below_c))
        flow_in = moved_layers * temps_c[i - 1] - exchange * slope
        temps_c[i] += flow_in - flow_out
        flow_out = flow_in
    temps_c[0] += moved_layers * inlet_c - flow_out


@compiled
def sink(
    temps_c: Layers, moved_layers: float, inlet_c: float, inlet_layer: int, mixing_layers: float
) -> None:
    """Let water in at a layer and draw as much off at the bottom: ``displace`` upside down.

    Water below the inlet sinks; what lies above stays. ``inlet_c`` lies between the inlet
    layer's temperature and that above it.
    """
    exchange = 0.5 * moved_layers * (mixing_layers - 1.0 + moved_layers)
    flow_out = moved_layers * temps_c[0]
    for i in range(inlet_layer):
        slope = temps_c[i + 1] - temps_c[i]
        if exchange < 0.0:
            above_c = temps_c[i + 2] if i + 2 <= inlet_layer else inlet_c
            slope = max(0.0, min(slope, above_c - temps_c[i + 1]))
        flow_in = moved_layers * temps_c[i + 1] + exchange * slope
        temps_c[i] += flow_in - flow_out
        flow_out = flow_in
    temps_c[inlet_layer] += moved_layers * inlet_c - flow_out


@compiled
def layer_of(temps_c: Layers, temp_c: float) -> int:
    """The highest layer that is no warmer than ``temp_c``, the bottom where none is."""
    layer = 0
    while layer < temps_c.size - 1 and temps_c[layer + 1] <= temp_c:
        layer += 1
    return layer


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
def level_after(temps_c: Layers, heat_k: float) -> float:
    """Temperature of the bottom once heat is put in there: what lies above joins in turn [degC].

    ``temps_c`` is a stable profile, ``heat_k`` the heat over that of a layer [K].
    """
    level_c = temps_c[0] + heat_k
    for i in range(1, temps_c.size):
        if level_c <= temps_c[i]:
            break
        level_c += (temps_c[i] - level_c) / (i + 1)
    return float(level_c)


@compiled
def temp_at(temps_c: Layers, place: float) -> float:
    """Temperature at a height, straight between the centres of two layers [degC].

    ``place`` counts layers from the lowest centre, 0..N - 1; see ``place_of_height``.
    """
    below = int(place)
    above = min(below + 1, temps_c.size - 1)
    return float(temps_c[below] + (place - below) * (temps_c[above] - temps_c[below]))


@compiled
def mean_of_lower(temps_c: Layers, layers: float) -> float:
    """Mean temperature of the lowest ``layers`` layers, above 0 to N, whole or not [degC]."""
    whole = int(layers)
    total = 0.0
    for i in range(whole):
        total += temps_c[i]
    if whole < layers:
        total += (layers - whole) * temps_c[whole]
    return total / layers


def place_of_height(height: float, layers: int) -> float:
    """Where a share of the tank's height (0..1) lies among the layers' centres, for ``temp_at``."""
    return min(max(height * layers - 0.5, 0.0), layers - 1.0)


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
