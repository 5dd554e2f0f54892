"""What it is worth to assume that hot water is the last use of gas, where the case does not say.

Where gas stays connected, its charge is paid whatever heats the water: no option pays it for hot
water, and none pays for leaving. Both are sums apart from all others and bear on no setting, so the
answer with gas kept follows from the one at hand, exactly.
"""

from __future__ import annotations

from collections.abc import Sequence

from tankful.advice.option import KEEP
from tankful.advice.settle import leaves_gas
from tankful.advice.wording import cost_gap, money
from tankful.model.answer import Answer, LastGas, OptionResult
from tankful.model.case import BURNS_GAS
from tankful.model.home import Home


def told_of_other_gas(home: Home) -> bool:
    """The case or its bills say whether gas is used for anything but hot water, or is to go."""
    gas, wanted = home.case.gas, home.case.constraints
    told = "other_use_mj" in gas.model_fields_set or "keep_gas" in wanted.model_fields_set
    return told or wanted.no_gas


def last_gas(home: Home, options: Sequence[OptionResult]) -> LastGas | None:
    """What the assumption is worth to the best of ``options``; ``None`` where it is none, or does
    not bear on the best."""
    best = options[0]
    keep = next((option for option in options if option.id == KEEP), None)
    burns = best.heater.kind in BURNS_GAS
    if keep is None or told_of_other_gas(home) or not leaves_gas(home, burns):
        return None
    costs = {option.id: option.net_present_cost - _ended(option) for option in options}
    usable = [option for option in options if option.choice.usable] or options
    first = min(usable, key=lambda option: costs[option.id])
    return LastGas(
        bottled=home.case.gas.bottles is not None,
        charge_worth=_charge(keep),
        leaving_gas=best.upfront.leaving_gas,
        saving=keep.net_present_cost - best.net_present_cost,
        saving_if_kept=costs[keep.id] - costs[best.id],
        best_if_kept=first.id,
        label_if_kept=first.label,
    )


def _charge(option: OptionResult) -> float:
    """Present value of the daily charge for gas that an option pays for hot water."""
    steps = option.waterfall.steps
    return sum(step.after or 0.0 for step in steps if step.key in ("gas_supply", "bottle_rent"))


def _ended(option: OptionResult) -> float:
    """What an option no longer costs for hot water where gas stays connected."""
    return _charge(option) + option.upfront.leaving_gas


def last_gas_sentences(answer: Answer) -> tuple[str, ...]:
    """The assumption and what hangs on it; empty where there is none."""
    found = answer.last_gas
    keep = next((option for option in answer.options if option.id == KEEP), None)
    if found is None or keep is None:
        return ()
    currency, best = answer.currency, answer.best
    charge = "the rent of the bottles" if found.bottled else "the supply charge"
    less = ""
    if round(found.leaving_gas):
        less = f", less {money(found.leaving_gas, currency)} for leaving the network"
    saving = money(cost_gap(keep.net_present_cost, best.net_present_cost), currency)
    kept = money(found.saving_if_kept, currency)
    same = found.best_if_kept in {option.id for option in (best, *answer.tied)}
    then = f"it saves about {kept}, not {saving}"
    if found.saving_if_kept < 0.0:
        more = money(-found.saving_if_kept, currency)
        then = f"it costs about {more} more than keeping today's heater"
    if not same:
        then += f", and this comes first: {found.label_if_kept}"
    return (
        f"It is assumed that hot water is the last use of gas, so that {charge} ends: worth "
        f"{money(found.charge_worth, currency)} of the saving{less}.",
        f"If you also cook or heat with gas, {then}.",
    )
