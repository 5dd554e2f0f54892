"""The numbers of one heater: given ones first, shipped ones noted as assumptions."""

from __future__ import annotations

from tankful.casefile.defaults import Value, equipment_values, tank_loss_w_per_k, usual_tank_l
from tankful.casefile.filling import Filling
from tankful.model.case import BURNER_IN_TANK, CONTINUOUS, HeaterKind
from tankful.units import J_PER_MJ

MAINTENANCE_RISE_K = 45.0
"""Water above air in the maintenance-rate test of gas storage heaters (AS 4552, from memory)."""


class Properties:
    """Looks up the properties of a heater kind for the paths below ``path`` in the case."""

    def __init__(self, filling: Filling, kind: HeaterKind, path: str, grade: str = "good") -> None:
        self.filling = filling
        self.path = path
        self._kind = kind
        self._shipped = equipment_values(kind, grade) if kind != "none" else {}

    def number(self, item: str, given: float | None = None) -> float:
        """The given value, or the shipped one; 0 for an item that this kind lacks."""
        if given is not None:
            return given
        value = self._shipped.get(item)
        if value is None:
            return 0.0
        self._note(item, value)
        return value.number

    def word(self, item: str, given: str | None, usual: str, source_id: str) -> str:
        """The given word, or the usual one, noted."""
        if given is not None:
            return given
        self.filling.assume(f"{self.path}.{item}", usual, "", source_id)
        return usual

    def tank_l(self, given: float | None) -> float:
        """The given volume, or the usual one for the people."""
        if given is not None or self._kind in CONTINUOUS:
            return given or 0.0
        value = usual_tank_l(self._kind, self.filling.case.people.count)
        self._note("tank_l", value)
        return value.number

    def loss_w_per_k(self, tank_l: float, efficiency: float) -> float:
        """Standing loss: from the gas it takes to keep a tank hot, or from the standard's limit."""
        if self._kind in CONTINUOUS:
            return 0.0
        if self._kind in BURNER_IN_TANK:
            rate = self._shipped["maintenance_rate_mj_per_h"]
            heat_w = rate.number * J_PER_MJ / 3600.0 * efficiency
            value = Value(heat_w / MAINTENANCE_RISE_K, "W/K", rate.source_id)
        else:
            value = tank_loss_w_per_k(tank_l)
        self._note("loss_w_per_k", value)
        return value.number

    def _note(self, name: str, value: Value) -> None:
        unit = "" if value.unit == "-" else value.unit
        path = f"{self.path}.{name}"
        self.filling.assume(path, float(f"{value.number:.4g}"), unit, value.source_id)
