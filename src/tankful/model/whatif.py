"""What would change the answer: flips, the decision map and futures, as data."""

from __future__ import annotations

from dataclasses import dataclass

from tankful.clock import BoolArray, FloatArray, IntArray


@dataclass(frozen=True)
class Crossing:
    """A value of one input from which on another option is the cheapest.

    ``clear_value``, further on, is where today's best trails the cheapest by more than the tie
    margin; ``None`` when that is not within reason.
    """

    value: float
    option_id: str
    option_label: str
    clear_value: float | None


@dataclass(frozen=True)
class Flip:
    """How far one input may go, all else as it is, before another option is the cheapest.

    ``below`` and ``above`` are ``None`` where nothing flips between today's value and ``low`` or
    ``high``, the ends of reason.
    """

    key: str
    label: str
    unit: str
    today: float
    low: float
    high: float
    basis: str
    simulated: bool
    """The year was simulated again; flips lie between new answers on both sides of them."""
    below: Crossing | None
    above: Crossing | None

    @property
    def distance(self) -> float:
        """Smallest change that flips, as a share of the way from ``low`` to ``high``; infinite
        without any."""
        ways = [abs(c.value - self.today) for c in (self.below, self.above) if c is not None]
        return min(ways, default=float("inf")) / (self.high - self.low)


@dataclass(frozen=True)
class Flips:
    """All flips of a case, nearest first."""

    case_name: str
    currency: str
    best_id: str
    best_label: str
    tie_margin: float
    flips: tuple[Flip, ...]

    @property
    def flipping(self) -> tuple[Flip, ...]:
        """Those with a flip within reason."""
        return tuple(flip for flip in self.flips if flip.below or flip.above)

    @property
    def steady(self) -> tuple[Flip, ...]:
        """Inputs that flip nothing within reason."""
        return tuple(flip for flip in self.flips if not (flip.below or flip.above))


@dataclass(frozen=True, eq=False)
class Axis:
    """One input of a decision map and its values, shape ``(n,)``."""

    key: str
    label: str
    unit: str
    today: float
    values: FloatArray
    simulated: bool


@dataclass(frozen=True, eq=False)
class DecisionMap:
    """Which option is cheapest where; arrays of shape ``(n_y, n_x)``.

    ``winner`` indexes ``option_ids``, which holds the winners alone, the most frequent first;
    ``runner_up`` are ids of all options, by row. ``margin`` is the runner-up's net present cost
    less the winner's; ``tie`` where that is within the tie margin.
    """

    case_name: str
    currency: str
    tie_margin: float
    x: Axis
    y: Axis
    option_ids: tuple[str, ...]
    option_labels: tuple[str, ...]
    winner: IntArray
    runner_up: tuple[tuple[str, ...], ...]
    margin: FloatArray
    tie: BoolArray


@dataclass(frozen=True)
class OptionFuture:
    """One option over the draws. Savings are against keeping what is there [money]."""

    id: str
    label: str
    best_share: float
    """Share of the draws in which it is the cheapest."""
    near_best_share: float
    """Share in which it is within the tie margin of the cheapest."""
    unusable_share: float
    """Share in which it leaves more than one cold shower a week beyond those of always on."""
    saving_p10: float
    saving_p50: float
    saving_p90: float
    regret_mean: float
    """Mean of what it costs more than the cheapest, over the draws in which it is usable."""


@dataclass(frozen=True)
class Driver:
    """One uncertain input: its range, and how much of the spread of the best option's saving
    goes with it (squared rank correlation)."""

    key: str
    label: str
    unit: str
    p10: float
    p90: float
    basis: str
    share: float
    rises: bool
    """A higher value makes the saving larger."""


@dataclass(frozen=True)
class Futures:
    """The options under many paired draws of what is uncertain."""

    case_name: str
    currency: str
    horizon_years: int
    draws: int
    seed: int
    step_min: int
    best_id: str
    """Best at the case's own values."""
    base_id: str
    base_words: str
    """What savings are counted against, in words."""
    tie_margin: float
    options: tuple[OptionFuture, ...]
    """Most often best first."""
    drivers: tuple[Driver, ...]
    """Strongest first."""
