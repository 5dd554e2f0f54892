"""Plain words for the answer's data. One place, so that every face says the same."""

from __future__ import annotations

from tankful.model.answer import OptionResult
from tankful.model.case import BURNS_GAS, CONTINUOUS, SOLAR_THERMAL
from tankful.model.result import Reason

_SIGNS = {"AUD": "$", "NZD": "$", "USD": "$", "CAD": "$", "EUR": "€", "GBP": "£"}


def money(amount: float, currency: str) -> str:
    """Whole units as people say them: ``$1,250``, ``-$40``, ``1,250 CHF``."""
    rounded = round(amount)
    sign = "-" if rounded < 0 else ""
    if currency in _SIGNS:
        return f"{sign}{_SIGNS[currency]}{abs(rounded):,}"
    return f"{sign}{abs(rounded):,} {currency}"


def years(value: float | None) -> str:
    """A payback as people say it."""
    if value is None:
        return "never"
    if value == 0.0:
        return "at once"
    return f"{value:.1f} yr"


def reason_sentence(reason: Reason, horizon_years: int, currency: str) -> str:
    """One reason as a sentence a layman can follow."""
    facts = reason.facts
    base = facts["base_name"]
    worth = money(abs(reason.amount), currency)
    span = f"over {horizon_years} years"
    saves = reason.amount < 0

    def more(saved: str, spent: str) -> str:
        return saved if saves else spent

    if reason.key == "electricity":
        change = (
            f"It buys {facts['purchased_kwh']:,.0f} kWh a year from the grid "
            f"({facts['base_purchased_kwh']:,.0f} with {base})"
        )
        fewer = facts["purchased_kwh"] < facts["base_purchased_kwh"]
        hours = "" if saves == fewer else more(", but at cheaper hours", ", but at dearer hours")
        return f"{change}{hours}: {more('saves', 'costs')} {worth} {span}."
    if reason.key == "feed_in":
        sun = f"It uses {facts['own_sun_kwh']:,.0f} kWh a year of the home's own sun"
        if saves:
            return f"{sun}, less than with {base}, and is paid {worth} more for exports {span}."
        return f"{sun}; the export payment given up is {worth} {span}."
    if reason.key == "gas_use":
        if facts["gas_mj"] == 0:
            burnt = f"{facts['base_gas_mj']:,.0f} MJ a year with {base}"
            return f"It burns no gas ({burnt}): saves {worth} {span}."
        return (
            f"It burns {facts['gas_mj']:,.0f} MJ of gas a year "
            f"({facts['base_gas_mj']:,.0f} with {base}): {more('saves', 'costs')} {worth} {span}."
        )
    if reason.key == "gas_supply":
        charge = "rent of the gas bottles" if facts["bottled"] else "gas supply charge"
        ends = more(f"ends: saves {worth}", f"goes on: costs {worth} more")
        return f"The {charge} {ends} {span}."
    if reason.key == "leaving_gas":
        return more(
            f"There is no charge for leaving the gas network: saves {worth} once.",
            f"Leaving the gas network costs {worth} once.",
        )
    if reason.key == "one_off":
        return f"Wiring and connection cost {worth} {more('less', 'more')}, once."
    if reason.key == "maintenance":
        return f"Upkeep costs {worth} {more('less', 'more')} {span}."
    return (
        f"Buying and renewing the equipment costs {worth} {more('less', 'more')} {span} "
        f"({money(facts['upfront'], currency)} up front)."
    )


def control_sentence(option: OptionResult, currency: str) -> str:
    """How to run the option, and what that setting is worth; empty where nothing is set."""
    if option.heater.kind in BURNS_GAS | CONTINUOUS:
        return ""
    choice = option.choice
    word = "Electric boost" if option.heater.kind in SOLAR_THERMAL else "Setting"
    sentence = f"{word}: {choice.control.text(option.heater.kind)}"
    worth = choice.always_year_one - option.year_one.total
    if choice.tried > 1:
        better = "saves" if worth >= 0 else "still costs"
        than = "against always on" if worth >= 0 else "more than plain always on"
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


def option_sentences(option: OptionResult, horizon_years: int, currency: str) -> tuple[str, ...]:
    """What the sun brings, and the three reasons that moved the money most, as sentences."""
    reasons = [reason_sentence(r, horizon_years, currency) for r in option.reasons[:3]]
    return tuple(sentence for sentence in (sun_sentence(option), *reasons) if sentence)
