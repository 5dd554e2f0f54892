"""Reasons as data: step by step from one option's cost to another's, to the cent."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from tankful.model.answer import YearOne
from tankful.model.result import StepKey, StepUnit, Waterfall, WaterfallStep, YearSums

PRICED_KWH = 10.0
"""Whoever buys less than this in a year has no price per kWh worth the name (judgement)."""


@dataclass(frozen=True)
class PresentParts:
    """Present value of each part of an option's cost over the horizon; they add up to it."""

    energy: float
    """Electricity and gas bought."""
    export: float
    """Export payment given up."""
    gas_supply: float
    circuit_supply: float
    """Supply charge of an off-peak circuit."""
    purchase: float
    """All that is bought and installed at the start."""
    credits: float
    """Certificates and rebates, negative."""
    leaving_gas: float
    upkeep: float
    renewal: float
    """Later units, less what is left of the last one at the end."""

    @property
    def total(self) -> float:
        return float(sum(vars(self).values()))


@dataclass(frozen=True)
class EnergyUse:
    """How an option comes to the energy it buys: a chain of factors [kWh/year].

    bought = (heat + loss) / efficiency x (1 - sun share).
    """

    heat_kwh: float
    """Heat at the taps."""
    loss_kwh: float
    bought_kwh: float
    """Electricity and gas bought."""
    sun_kwh: float
    """Own sun: panels as electricity, collectors as heat."""

    @classmethod
    def of(cls, sums: YearSums) -> EnergyUse:
        return cls(
            heat_kwh=sums.heat_delivered_kwh,
            loss_kwh=sums.standing_loss_kwh,
            bought_kwh=sums.purchased_kwh + sums.gas_kwh,
            sun_kwh=sums.own_sun_kwh + max(0.0, sums.collector_kwh),
        )

    @property
    def input_kwh(self) -> float:
        return self.bought_kwh + self.sun_kwh

    @property
    def efficiency(self) -> float | None:
        """Heat made of each kWh put in, whatever its kind; ``None`` where nothing is heated."""
        made_kwh = self.heat_kwh + self.loss_kwh
        return made_kwh / self.input_kwh if self.input_kwh > 0.0 and made_kwh > 0.0 else None

    @property
    def sun_share(self) -> float:
        return self.sun_kwh / self.input_kwh if self.input_kwh > 0.0 else 0.0

    @property
    def has_price(self) -> bool:
        return self.bought_kwh >= PRICED_KWH


@dataclass(frozen=True)
class Costed:
    """All that a waterfall needs to know of an option."""

    id: str
    use: EnergyUse
    parts: PresentParts
    year_one: YearOne
    bottled: bool
    """Gas comes in bottles, which are rented."""


def waterfall(option: Costed, base: Costed, base_name: str) -> Waterfall:
    """The steps from ``base``'s net present cost to ``option``'s.

    The cost of energy bought is a product, (heat + tank loss) / efficiency x (1 - sun share) x
    price. Its factors are changed from the base's to the option's one at a time in this order,
    each step being what the product moves by: so they add up, and what two changes do together
    falls to the later one. The price is the present worth of a year's kWh and is the base's own
    until the last of these steps, which takes what is left; where the base buys too little to
    have a price, the option's stands in, and where neither has one the last step is all there
    is. The other parts are sums, and step by their difference.

    Start and end are rounded to whole cents, and the steps by largest remainder to what lies
    between, so that they add up exactly.
    """
    exact = (*_energy_steps(option, base), *_other_steps(option, base))
    start, end = round(base.parts.total * 100.0), round(option.parts.total * 100.0)
    cents = largest_remainder([100.0 * amount for _, amount in exact], end - start)
    steps = tuple(
        replace(step, amount_cents=whole) for (step, _), whole in zip(exact, cents, strict=True)
    )
    return Waterfall(base.id, base_name, start, steps, end)


Exact = tuple[WaterfallStep, float]
"""A step without its cents, and its amount before rounding."""


def _energy_steps(option: Costed, base: Costed) -> tuple[Exact, ...]:
    """The factors of the energy bought, replaced one after another."""
    new, old = option.use, base.use
    priced = base if old.has_price else option
    worth_per_kwh = priced.parts.energy / priced.use.bought_kwh if priced.use.has_price else 0.0
    effect = (
        new.efficiency or old.efficiency or 1.0,
        old.efficiency or new.efficiency or 1.0,
    )

    def cost(heat_kwh: float, loss_kwh: float, efficiency: float, sun_share: float) -> float:
        return (heat_kwh + loss_kwh) / efficiency * (1.0 - sun_share) * worth_per_kwh

    costs = (
        cost(old.heat_kwh, old.loss_kwh, effect[1], old.sun_share),
        cost(new.heat_kwh, old.loss_kwh, effect[1], old.sun_share),
        cost(new.heat_kwh, new.loss_kwh, effect[1], old.sun_share),
        cost(new.heat_kwh, new.loss_kwh, effect[0], old.sun_share),
        cost(new.heat_kwh, new.loss_kwh, effect[0], new.sun_share),
    )
    by_factor = [after - before for before, after in pairwise(costs)]
    rest = option.parts.energy - base.parts.energy - (costs[-1] - costs[0])
    return (
        (_step("heat", old.heat_kwh, new.heat_kwh, "kWh/year"), by_factor[0]),
        (_step("tank_loss", old.loss_kwh, new.loss_kwh, "kWh/year"), by_factor[1]),
        (_step("efficiency", old.efficiency, new.efficiency, "kWh/kWh"), by_factor[2]),
        (_step("own_sun", old.sun_share, new.sun_share, "share"), by_factor[3]),
        (_step("energy_price", _price(base), _price(option), "money/kWh"), rest),
    )


def _price(item: Costed) -> float | None:
    """What a bought kWh costs in the first year."""
    paid = item.year_one.electricity - item.year_one.circuit_supply + item.year_one.gas_use
    return paid / item.use.bought_kwh if item.use.has_price else None


def _other_steps(option: Costed, base: Costed) -> tuple[Exact, ...]:
    """The parts that are plain sums."""
    gas: StepKey = "bottle_rent" if option.bottled or base.bottled else "gas_supply"
    keys: tuple[tuple[StepKey, str], ...] = (
        ("export", "export"),
        (gas, "gas_supply"),
        ("circuit_supply", "circuit_supply"),
        ("purchase", "purchase"),
        ("credits", "credits"),
        ("leaving_gas", "leaving_gas"),
        ("upkeep", "upkeep"),
        ("renewal", "renewal"),
    )
    steps = []
    for key, part in keys:
        before, after = getattr(base.parts, part), getattr(option.parts, part)
        steps.append((_step(key, before, after, "money"), after - before))
    return tuple(steps)


def _step(key: StepKey, before: float | None, after: float | None, unit: StepUnit) -> WaterfallStep:
    return WaterfallStep(key, 0, before, after, unit)


def largest_remainder(amounts: Sequence[float], total: int) -> list[int]:
    """Whole numbers near ``amounts`` that add up to ``total``.

    Each amount is cut to the whole number below; what is then missing goes one by one to those
    that lost most. Off by less than one each where ``total`` is near the sum of the amounts.
    """
    whole = [math.floor(amount) for amount in amounts]
    each, extra = divmod(total - sum(whole), len(whole))
    lost = sorted(range(len(whole)), key=lambda i: whole[i] - amounts[i])
    takes = set(lost[:extra])
    return [number + each + (i in takes) for i, number in enumerate(whole)]
