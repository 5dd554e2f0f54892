"""One water heater with its control, complete and in plain units: what is simulated."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from tankful.model.kinds import ControlKind, HeaterKind, HeatPumpModel
from tankful.model.window import Window, windows_text

Circuit = Literal["general", "controlled"]


@dataclass(frozen=True)
class Control:
    """When the heater may run, and the rule that keeps showers warm.

    ``windows`` are the clock hours of ``hours`` and ``off_peak``. The surplus switch turns
    on when spare sun exceeds ``threshold_w`` and then stays on for ``min_on_min``.
    Catch-up: inside ``catch_up_windows`` (all hours when empty) the heater may draw from
    the grid while the upper part of the tank is colder than ``catch_up_c``; ``None`` switches
    the rule off. ``reserve`` does nothing but catch up. ``sanitise_after_h``: when the tank
    has not met the sanitising rule for so long, it is heated through in the same windows;
    ``None`` for a heater without that programme. ``sanitise_early_h``: after so long already
    with the power that the control allows towards the set point; ``None``: not before.
    ``setpoint_c`` sets the tank's thermostat anew, to hold more sun; ``None`` leaves it.
    """

    kind: ControlKind
    windows: tuple[Window, ...] = ()
    threshold_w: float = 0.0
    min_on_min: int = 0
    catch_up_c: float | None = None
    catch_up_windows: tuple[Window, ...] = ()
    sanitise_after_h: float | None = None
    sanitise_early_h: float | None = None
    setpoint_c: float | None = None

    def text(self, kind: HeaterKind = "electric_storage") -> str:
        """The control in words, for a heater of this kind."""
        hours = windows_text(self.windows)
        words = {
            "always": "always on",
            "hours": f"timer {hours}",
            "off_peak": f"off-peak circuit {hours}",
            "diverter": "power following spare sun"
            if kind == "heat_pump"
            else "spare sun through a diverter",
            "reserve": "grid only to top up",
            "surplus_switch": f"switched on by spare sun above {self.threshold_w / 1000:.1f} kW",
        }[self.kind]
        if self.setpoint_c is not None:
            words += f", thermostat at {self.setpoint_c:.0f} degC"
        if self.catch_up_c is None:
            return words
        when = windows_text(self.catch_up_windows) or "at any time"
        return f"{words}; tops up {when} when the top third cools below {self.catch_up_c:g} degC"


@dataclass(frozen=True)
class HeatPumpRating:
    """A heat pump at its rating point: air 19.7 degC dry, 13.6 degC wet bulb, water 48.9 degC."""

    heat_w: float
    cop: float
    standby_w: float
    cut_out_air_c: float
    frost_penalty: float
    """Fraction of capacity and COP lost to frost in humid air near freezing."""
    model: HeatPumpModel = "lab_curve"
    min_share: float = 1.0
    """Least share of its power that a variable-speed unit runs at; 1 for a fixed speed."""
    backup_below_c: float | None = None
    """While the water at its thermostat is colder, the element heats beside the compressor;
    ``None``: only below the cut-out."""


@dataclass(frozen=True)
class Collector:
    """Solar thermal collectors on the roof, with their loop.

    ``area_m2`` is the area that ``eta0``, ``a1`` and ``a2`` were measured for (ISO 9806).
    ``iam_transversal_50`` is 1 for a flat plate. ``pipe_loss_w_per_k`` is lost between roof
    and tank while water flows. Without a pump the flow is ``siphon_kg_per_s_m2_k`` for each
    kelvin that the water warms by. ``frost_guard_c``: warm tank water is circulated when the
    collector falls below it; ``None`` for a loop that cannot freeze (antifreeze or drain-back).
    """

    area_m2: float
    eta0: float
    a1_w_per_m2_k: float
    a2_w_per_m2_k2: float
    iam_b0: float
    iam_transversal_50: float
    tilt_deg: float
    azimuth_deg: float
    capacity_j_per_m2_k: float
    flow_kg_per_s_m2: float
    pipe_loss_w_per_k: float
    pump_w: float
    max_tank_c: float
    frost_guard_c: float | None
    siphon_kg_per_s_m2_k: float = 0.0
    horizon_deg: tuple[float, ...] = ()
    """Heights of the horizon at even steps clockwise from north; empty where it is open."""


@dataclass(frozen=True)
class InlineBooster:
    """A continuous heater after the tank, or alone, that lifts what comes too cold.

    ``heat_w`` is the most that it gives to the water: what flows too fast for it stays colder.
    """

    fuel: Literal["gas", "electricity"]
    efficiency: float
    start_loss_j: float
    heat_w: float


@dataclass(frozen=True)
class WaterHeater:
    """One water heater.

    ``burner_w`` is the gas input; ``efficiency`` the fraction of it that reaches the
    water. ``element_w`` is the main element, or the backup element of a heat pump.
    ``loss_w_per_k`` is the tank's loss to its surroundings, which for a gas storage heater
    includes the flue.
    """

    kind: HeaterKind
    control: Control
    circuit: Circuit = "general"
    tank_l: float = 0.0
    setpoint_c: float = 60.0
    deadband_k: float = 5.0
    loss_w_per_k: float = 0.0
    element_w: float = 0.0
    heater_height: float = 0.0
    """Height of element or burner as a share of the tank's; below it only the sun heats."""
    boost_element_w: float = 0.0
    boost_height: float = 0.0
    """A second element, higher up, that catches up in place of the main one."""
    collector: Collector | None = None
    booster: InlineBooster | None = None
    has_direct_panels: bool = False
    indoors: bool = False
    """The tank stands in air of about 20 degC rather than outside."""
    heat_pump: HeatPumpRating | None = None
    burner_w: float = 0.0
    efficiency: float = 0.0
    standby_w: float = 0.0

    def under(self, control: Control) -> WaterHeater:
        """The same heater run by another control."""
        setpoint_c = self.setpoint_c if control.setpoint_c is None else control.setpoint_c
        return replace(self, control=control, setpoint_c=setpoint_c)
