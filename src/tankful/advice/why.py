"""Why an option costs what it does, in plain words: its waterfall told."""

from __future__ import annotations

from tankful.advice.reasons import largest_remainder
from tankful.advice.wording import money, sun_sentence
from tankful.model.answer import OptionResult
from tankful.model.case import BURNS_GAS, SOLAR_THERMAL
from tankful.model.result import StepKey, Waterfall, WaterfallStep

STEP_NAMES: dict[StepKey, str] = {
    "heat": "Heat at the taps",
    "tank_loss": "Heat lost by the tank",
    "efficiency": "Heat from each kWh",
    "own_sun": "Own sun",
    "energy_price": "Price of energy",
    "export": "Export payment",
    "gas_supply": "Gas supply charge",
    "bottle_rent": "Rent of gas bottles",
    "circuit_supply": "Off-peak supply charge",
    "purchase": "Purchase",
    "credits": "Certificates and rebates",
    "leaving_gas": "Leaving gas",
    "upkeep": "Upkeep",
    "renewal": "Renewals",
}
"""Short names, as for the bars of a chart."""

_GROUPS: tuple[tuple[str, frozenset[StepKey]], ...] = (
    (
        "energy",
        frozenset({"heat", "tank_loss", "efficiency", "own_sun", "energy_price", "export"}),
    ),
    ("supply charges", frozenset({"gas_supply", "bottle_rent", "circuit_supply"})),
    ("equipment", frozenset({"purchase", "credits", "upkeep", "renewal"})),
    ("leaving gas", frozenset({"leaving_gas"})),
)
"""The steps put together, for one line; energy holds the export payment given up."""

STEPS_TOLD = 10
"""Of the steps of a waterfall, so many are told one by one; the rest together."""

WORTH_TELLING = 0.5
"""Steps below this, or a hundredth of the largest, are told with the rest [money]."""

SENTENCES = 4


def step_text(
    step: WaterfallStep, waterfall: Waterfall, option: OptionResult, currency: str
) -> str:
    """What a step is about, without its amount; a clause that a colon may follow."""
    before, after, base = step.before, step.after, waterfall.base_name
    if step.key == "energy_price":
        return _price_text(before, after, base, option, currency)
    assert before is not None or step.key == "efficiency"
    if step.key == "efficiency":
        start = "It takes heat from the air: each" if _takes_heat_from_air(option) else "Each"
        than = "" if before is None else f" ({_times(before)} with {base})"
        return f"{start} kWh put in gives {_times(after or 0.0)} kWh of heat{than}"
    assert before is not None
    assert after is not None
    if step.key == "heat":
        return f"The taps get {after:,.0f} kWh of heat a year ({before:,.0f} with {base})"
    if step.key == "tank_loss":
        if after == 0.0:
            return f"It has no tank that loses heat ({before:,.0f} kWh a year with {base})"
        return f"Its tank loses {after:,.0f} kWh of heat a year ({before:,.0f} with {base})"
    if step.key == "own_sun":
        return f"The sun brings {after:.0%} of the energy it uses ({before:.0%} with {base})"
    text = _money_text(step.key, before, after, base, currency)
    return f"{text}{_with_wiring(option, currency)}" if step.key == "purchase" else text


def _with_wiring(option: OptionResult, currency: str) -> str:
    """That wiring is added to a quote's price; empty where none is."""
    upfront = option.upfront
    if not (round(upfront.wiring) and round(upfront.quoted)):
        return ""
    quoted, wiring = money(upfront.quoted, currency), money(upfront.wiring, currency)
    return f" ({quoted} quoted + {wiring} wiring that the quote is not taken to hold)"


def _takes_heat_from_air(option: OptionResult) -> bool:
    return option.heater.kind == "heat_pump"


def _times(efficiency: float) -> str:
    return f"{efficiency:.1f}" if efficiency >= 2.0 else f"{efficiency:.2f}"


def _price_text(
    before: float | None, after: float | None, base: str, option: OptionResult, currency: str
) -> str:
    """The price of what is bought, and what it is."""
    if after is None:
        return "It buys next to no energy"
    gas = option.sums.gas_kwh > option.sums.purchased_kwh
    fuel = "gas" if gas else "electricity"
    than, digits = f"{base} buys next to none", 2
    if before is not None:
        digits = 2 if f"{before:.2f}" != f"{after:.2f}" else 3
        than = f"{_per_kwh(before, currency, digits)} for what {base} buys"
    return f"The {fuel} it buys costs {_per_kwh(after, currency, digits)} a kWh ({than})"


def _per_kwh(price: float, currency: str, digits: int) -> str:
    """A price of a kWh with its cents: ``$0.31``; finer where two would look the same."""
    whole = money(0.0, currency)
    return whole.replace("0", f"{price:.{digits}f}")


def _money_text(key: StepKey, before: float, after: float, base: str, currency: str) -> str:
    """Parts that are sums of money."""
    paid, was = money(after, currency), money(before, currency)
    against = f" ({was} with {base})" if round(before) else ""
    charges = {
        "gas_supply": "The gas supply charge",
        "bottle_rent": "The rent of the gas bottles",
        "circuit_supply": "The supply charge of the off-peak circuit",
    }
    if key in charges:
        if after == 0.0:
            return f"{charges[key]} ends"
        return f"{charges[key]} {'is new' if before == 0.0 else 'changes'}"
    if key == "export":
        return (
            "More sun is left to sell" if after < before else "Sun used for hot water is not sold"
        )
    if key == "purchase":
        return f"To buy and install it costs {paid}{against}"
    if key == "credits":
        return f"Certificates and rebates pay {money(-after, currency)}" + (
            f" ({money(-before, currency)} with {base})" if round(before) else ""
        )
    if key == "leaving_gas":
        return "Leaving the gas network" if after else "The gas network is not left"
    if key == "upkeep":
        return f"Upkeep comes to {paid}{against}"
    if after < 0.0:
        renewals = ""
        if round(before) > 0:
            renewals = (
                f" (with {base} later units, less what the last is then worth, come to {was})"
            )
        left = f" ({money(-before, currency)} with {base})" if round(before) < 0 else renewals
        return f"What is left of it at the end is worth {money(-after, currency)}{left}"
    return f"Later units, less what the last is then worth, come to {paid}{against}"


def told_steps(waterfall: Waterfall, count: int = STEPS_TOLD) -> tuple[WaterfallStep, ...]:
    """The ``count`` steps that move most, in their order, without those that hardly matter."""
    least = max([WORTH_TELLING, *(abs(step.amount) / 100.0 for step in waterfall.steps)])
    moving = [step for step in waterfall.steps if abs(step.amount) >= least]
    most = sorted(moving, key=lambda step: -abs(step.amount))[:count]
    return tuple(step for step in moving if step in most)


def waterfall_rows(
    option: OptionResult, waterfall: Waterfall, currency: str
) -> tuple[tuple[int, str], ...]:
    """Steps as whole units of money and words; they add up to the rounded ends exactly."""
    told = told_steps(waterfall)
    amounts = [step.amount for step in told]
    texts = [step_text(step, waterfall, option, currency) for step in told]
    rest = waterfall.gap - sum(amounts)
    if len(told) < len([step for step in waterfall.steps if step.amount_cents]):
        amounts.append(rest)
        texts.append("Everything else")
    if not amounts:
        return ()
    # not the waterfall's own end: half a dollar in cents may have been less, and round up
    whole = largest_remainder(amounts, round(option.net_present_cost) - round(waterfall.start))
    return tuple((amount, text) for amount, text in zip(whole, texts, strict=True) if amount)


def option_sentences(option: OptionResult, horizon_years: int, currency: str) -> tuple[str, ...]:
    """What the sun brings, and what moved the money most, as sentences.

    What the others are compared with is told by where its money goes.
    """
    sun = sun_sentence(option)
    if option.id == option.waterfall.base_id:
        reasons = [parts_sentence(option, horizon_years, currency)]
    else:
        steps = sorted(told_steps(option.waterfall, SENTENCES), key=lambda s: -abs(s.amount))
        reasons = [_sentence(step, option, horizon_years, currency) for step in steps]
    return tuple(sentence for sentence in (sun, *reasons) if sentence)


def _sentence(step: WaterfallStep, option: OptionResult, horizon_years: int, currency: str) -> str:
    text = step_text(step, option.waterfall, option, currency)
    if step.key in ("purchase", "credits") and not round(step.before or 0.0):
        return f"{text}."  # which tells the whole amount
    effect = "saves" if step.amount < 0 else "costs"
    worth = money(abs(step.amount), currency)
    return f"{text}: {effect} {worth} over {horizon_years} years."


def parts_sentence(option: OptionResult, horizon_years: int, currency: str) -> str:
    """Where an option's money goes over the years, the largest part first."""
    sums = {
        STEP_NAMES[step.key].lower(): step.after or 0.0
        for step in option.waterfall.steps
        if step.unit == "money"
    }
    fuel = "gas" if option.heater.kind in BURNS_GAS else "electricity"
    sums[f"{fuel} bought"] = option.waterfall.end - sum(sums.values())
    parts = sorted((item for item in sums.items() if abs(item[1]) >= 0.5), key=lambda i: -abs(i[1]))
    told = ", ".join(f"{name} {money(amount, currency)}" for name, amount in parts)
    return f"Where its money goes over {horizon_years} years: {told}."


def behind_text(option: OptionResult, currency: str) -> str:
    """In one line, where the cost of an option and of the best part; the sums add up."""
    waterfall = option.waterfall_from_best
    amounts = [
        sum(step.amount for step in waterfall.steps if step.key in keys) for _, keys in _GROUPS
    ]
    gap = round(waterfall.end) - round(waterfall.start)
    parted = [
        f"{money(abs(amount), currency)} {'more' if amount > 0 else 'less'} for {name}"
        for (name, _), amount in zip(_GROUPS, largest_remainder(amounts, gap), strict=True)
        if amount
    ]
    text = f"{money(abs(gap), currency)} {'dearer' if gap >= 0 else 'cheaper'} than the first"
    text += f" ({', '.join(parted)})" if parted else ""
    if option.choice.comfort_kept:
        return text
    return f"{text}, {'and' if gap >= 0 else 'but'} {option.sums.cold_draws} cold showers a year"


def apart_text(option: OptionResult, currency: str) -> str:
    """What a choice between options of the same cost may hang on."""
    facts = [
        f"{money(option.upfront.total, currency)} up front",
        f"{money(option.year_one.total, currency)} in the first year",
        f"{option.sums.cold_draws} cold showers a year",
    ]
    if option.emissions_kg is not None:
        facts.append(f"{option.emissions_kg:,.0f} kg of greenhouse gas a year")
    if option.heater.kind == "heat_pump":
        facts.append("a fan to be heard outside")
    if option.heater.kind in SOLAR_THERMAL or option.heater.has_direct_panels:
        facts.append("work on the roof")
    if option.heater.kind in BURNS_GAS:
        facts.append("stays on gas")
    return "; ".join(facts)
