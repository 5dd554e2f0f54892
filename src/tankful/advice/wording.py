"""Plain words for the answer's data. One place, so that every face says the same."""

from __future__ import annotations

from tankful.model.answer import Answer, OptionResult
from tankful.model.case import BURNS_GAS, INLINE_BOOSTED, SOLAR_THERMAL
from tankful.model.currency import money as money


def years(value: float | None) -> str:
    """A payback as people say it."""
    if value is None:
        return "never"
    if value == 0.0:
        return "at once"
    return f"{value:.1f} yr"


def cost_gap(dearer: float, cheaper: float) -> int:
    """How far two costs of the table lie apart, as they stand there in whole money."""
    return round(dearer) - round(cheaper)


def lead(answer: Answer) -> int:
    """How far the best is ahead of the next in the table."""
    return cost_gap(answer.options[1].net_present_cost, answer.best.net_present_cost)


def control_sentence(option: OptionResult, currency: str) -> str:
    """How to run the option, and what that setting is worth; empty where nothing is set."""
    if option.heater.kind in BURNS_GAS | INLINE_BOOSTED:
        return ""
    choice = option.choice
    word = "Electric boost" if option.heater.kind in SOLAR_THERMAL else "Setting"
    sentence = f"{word}: {choice.control.text(option.heater.kind)}"
    worth = choice.saving_per_year
    if choice.tried > 1:
        better = "saves" if worth >= 0 else "still costs"
        than = "against always on" if worth >= 0 else "more than plain always on"
        if option.year_one.feed_in_later:
            than += ", in the mean of the years"
        amount = money(abs(worth), currency)
        sentence += f" (best of {choice.tried} tried; it {better} {amount} a year {than})"
    return sentence + "."


def sun_sentence(option: OptionResult) -> str:
    """What the option's own collectors or panels bring; empty without them."""
    sums = option.sums
    if option.heater.collector is not None:
        facts = [f"Its collectors bring {sums.collector_kwh:,.0f} kWh of heat a year into the tank"]
        if sums.frost_kwh >= 1.0:
            facts.append(f"{sums.frost_kwh:,.0f} kWh went up to them against frost")
        if sums.stagnation_h >= 1.0:
            facts.append(f"they stand hot without flow for {sums.stagnation_h:,.0f} hours")
        return "; ".join(facts) + "."
    if option.heater.has_direct_panels:
        return f"Its own panels bring {sums.direct_kwh:,.0f} kWh a year straight to the element."
    return ""
