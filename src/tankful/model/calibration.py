"""What bills of today's heater say about its people and itself."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal


@dataclass(frozen=True)
class Estimate:
    """A middle value, and the range that holds the true one in eight cases of ten."""

    value: float
    low: float
    high: float

    def holds(self, number: float) -> bool:
        return self.low <= number <= self.high


@dataclass(frozen=True)
class BillFit:
    """One bill against what the estimate makes of it, in the bill's own unit."""

    first: date
    last: date
    measured: float
    expected: float
    used: bool
    """False where the bill was left out because it holds other uses."""
    simulated: float | None = None
    """The same by the simulation of today's heater; ``None`` where it was not run."""


@dataclass(frozen=True)
class Calibration:
    """Litres and losses estimated from bills."""

    source: Literal["gas bills", "off-peak bills", "off-peak meter"]
    unit: Literal["MJ", "kWh"]
    bills: tuple[BillFit, ...]
    litres: Estimate
    """Hot water a person a day [L], counted as the case counts it."""
    litres_before: float
    """What the case gives, or else the default."""
    litres_given: bool
    """The case gives litres itself: the estimate is only compared."""
    usual: float
    """What the same people with the usual litres and losses would use in the bills taken."""
    accepted: bool
    """False where no plausible hot water explains the bills: nothing is taken from them."""
    takes_losses: bool
    """Whether losses and efficiency are taken from the bills: not where they contradict the
    case's litres."""
    loss_w_per_k: Estimate | None
    """Heat loss of today's tank; ``None`` without a tank."""
    loss_kwh_per_day: Estimate | None
    efficiency: Estimate | None
    """Of a gas burner."""
    other_use_per_day: Estimate | None
    """Other gas in the bills, in their unit; ``None`` where there is none."""
    other_use_mj_per_year: float | None
    """Other gas of a year by the bills [MJ], which the answer takes, as the case gives none;
    ``None`` where it gives some, or none is taken to be in them."""
    separable: bool
    """Whether the bills tell the losses from the litres, or say little about them."""
    warnings: tuple[str, ...] = ()

    @property
    def used(self) -> tuple[BillFit, ...]:
        return tuple(bill for bill in self.bills if bill.used)

    @property
    def takes_litres(self) -> bool:
        """Whether the estimated litres stand in for the default."""
        return self.accepted and not self.litres_given
