"""Controls as arrays: what the heater may take at each step, worked out before the loop."""

from __future__ import annotations

import math

import numpy as np

from tankful.clock import BoolArray, FloatArray, YearClock
from tankful.model.system import WaterHeater
from tankful.model.window import Window


def windows_mask(windows: tuple[Window, ...], clock: YearClock) -> BoolArray:
    """True on the steps inside any of the windows; no windows means every step."""
    if not windows:
        return np.ones(clock.n_steps, dtype=bool)
    inside = np.zeros(clock.n_steps, dtype=bool)
    for window in windows:
        inside |= window.mask(clock)
    return inside


def rated_input_w(heater: WaterHeater) -> float:
    """Most electricity or gas the heater can take [W]."""
    pump = heater.heat_pump
    pump_w = pump.heat_w / pump.cop if pump else 0.0
    return max(heater.element_w, heater.burner_w, pump_w)


def surplus_switch_mask(
    surplus_w: FloatArray, *, threshold_w: float, min_on_min: int, step_min: int
) -> BoolArray:
    """True while a surplus switch is on, shape ``(n,)``.

    On at every step whose surplus reaches ``threshold_w``, and for ``min_on_min`` minutes
    after it.
    """
    hold = 1 + math.ceil(min_on_min / step_min)
    triggers = np.concatenate([[0], np.cumsum(surplus_w >= threshold_w)])
    steps = np.arange(surplus_w.size)
    return np.asarray(triggers[steps + 1] > triggers[np.maximum(0, steps + 1 - hold)])


def allowed_input_w(
    heater: WaterHeater, clock: YearClock, surplus_w: FloatArray, quiet: BoolArray | None = None
) -> tuple[FloatArray, FloatArray]:
    """Input the control allows towards the set point, and for catching up [W].

    Parameters
    ----------
    heater : the water heater with its control
    clock : the year
    surplus_w : spare power of the panels after the house, shape (n,), >= 0 [W]
    quiet : steps on which the heater must not run at all, shape (n,)

    Returns
    -------
    allowed_w, catch_up_w : shape (n,) each [W]
    """
    control = heater.control
    rated_w = rated_input_w(heater)
    if control.kind == "always":
        allowed_w = np.full(clock.n_steps, rated_w)
    elif control.kind in ("hours", "off_peak"):
        allowed_w = np.where(windows_mask(control.windows, clock), rated_w, 0.0)
    elif control.kind == "reserve":
        allowed_w = np.zeros(clock.n_steps)
    elif control.kind == "diverter":
        allowed_w = np.minimum(surplus_w, rated_w)
    else:
        on = surplus_switch_mask(
            surplus_w,
            threshold_w=control.threshold_w,
            min_on_min=control.min_on_min,
            step_min=clock.step_min,
        )
        allowed_w = np.where(on, rated_w, 0.0)
    if control.catch_up_c is None and control.sanitise_after_h is None:
        catch_up_w = np.zeros(clock.n_steps)
    else:
        catch_up_w = np.where(windows_mask(control.catch_up_windows, clock), rated_w, 0.0)
        if control.kind == "off_peak":
            catch_up_w[allowed_w == 0.0] = 0.0
    if quiet is not None:
        allowed_w = np.where(quiet, 0.0, allowed_w)
        catch_up_w = np.where(quiet, 0.0, catch_up_w)
    return allowed_w, catch_up_w
