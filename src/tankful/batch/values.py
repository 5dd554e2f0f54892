"""What can be told of a home in a table, by plain words: ``cost of heat pump``, ``margin``.

A word of the home stands alone; a word of an option may name it after ``of`` (else it is of the
best): a group of options, whose cheapest is meant, or the id of one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal

from tankful.casefile.read import printable
from tankful.errors import Fault
from tankful.model.table import HomeRow, OptionRow

Kind = Literal["text", "money", "price", "kWh", "kW", "share", "years", "count", "degrees"]
Found = float | str | None
"""``None`` where the home has no such option or price."""

TROPIC_DEG = 23.44
"""Latitude of the tropics (from memory)."""

GROUPS: dict[str, tuple[str, ...]] = {
    "today": ("keep",),
    "heat pump": ("heat-pump-",),
    "heat pump always on": ("heat-pump-always",),
    "heat pump on timer": ("heat-pump-timed", "heat-pump-new-timed"),
    "diverter": ("electric-diverter", "electric-new-diverter", "electric-two-elements"),
    "timer": ("electric-timed", "electric-new-timed"),
    "off-peak": ("electric-off-peak", "electric-new-off-peak"),
    "plain tank": ("electric-always",),
    "own panels": ("electric-dedicated-panels",),
    "instant electric": ("electric-continuous",),
    "electric tank": (
        "electric-always",
        "electric-timed",
        "electric-off-peak",
        "electric-diverter",
        "electric-dedicated-panels",
        "electric-new-",
        "electric-two-elements",
    ),
    "flat plates": ("solar-flat-",),
    "tubes": ("solar-tube-",),
    "solar with gas": ("solar-gas",),
    "gas": ("gas-",),
    "gas storage": ("gas-storage",),
    "instant gas": ("gas-continuous",),
}
"""Groups by the beginnings of the ids of their options."""


@dataclass(frozen=True)
class HomeWord:
    """A word of the home."""

    kind: Kind
    about: str
    of: Callable[[HomeRow], Found]


@dataclass(frozen=True)
class OptionWord:
    """A word of an option; ``of`` also gets the home."""

    kind: Kind
    about: str
    of: Callable[[HomeRow, OptionRow], Found]


def _today(home: HomeRow) -> OptionRow | None:
    return next((option for option in home.options if option.id == "keep"), None)


def _saving(home: HomeRow, option: OptionRow) -> Found:
    today = _today(home)
    return None if today is None else today.cost - option.cost


def _bill_cut(home: HomeRow, option: OptionRow) -> Found:
    today = _today(home)
    if today is None or today.first_year <= 0.0:
        return None
    return 1.0 - option.first_year / today.first_year


def _covering_kw(home: HomeRow, option: OptionRow) -> Found:
    if home.panels_kwh <= 0.0:
        return None
    return home.panels_kw * (home.house_kwh + option.electricity_kwh) / home.panels_kwh


HOME_WORDS: dict[str, HomeWord] = {
    "margin": HomeWord("money", "cost of the second best less the best's", lambda h: h.margin),
    "second": HomeWord(
        "text",
        "the second best option",
        lambda h: h.options[1].label if h.options[1:] else None,
    ),
    "plan": HomeWord("text", "the electricity plan", lambda h: h.plan),
    "place": HomeWord("text", "the place", lambda h: h.place),
    "postcode": HomeWord("text", "the postcode", lambda h: h.postcode),
    "state": HomeWord("text", "state or territory", lambda h: h.state),
    "people": HomeWord("count", "people in the home", lambda h: float(h.people)),
    "latitude": HomeWord("degrees", "north is positive", lambda h: h.latitude),
    "degrees from the tropics": HomeWord(
        "degrees",
        "towards the pole from the tropic; negative inside the tropics",
        lambda h: abs(h.latitude) - TROPIC_DEG,
    ),
    "mean air": HomeWord("degrees", "mean of the year, in degC", lambda h: h.air_c),
    "panels": HomeWord("kW", "solar panels of the home", lambda h: h.panels_kw),
    "panel yield": HomeWord("kWh", "what they could make in a year", lambda h: h.panels_kwh),
    "house use": HomeWord("kWh", "a year's use without hot water", lambda h: h.house_kwh),
    "spare sun": HomeWord("kWh", "what the house leaves over in a year", lambda h: h.spare_kwh),
    "price": HomeWord("price", "of electricity, mean over the hours", lambda h: h.usage_price),
    "off-peak price": HomeWord("price", "of the controlled circuit", lambda h: h.off_peak_price),
    "feed-in": HomeWord("price", "paid for spare sun, mean over it", lambda h: h.feed_in_price),
    "gas price": HomeWord("price", "a kWh of gas, first block", lambda h: h.gas_price_per_kwh),
}

OPTION_WORDS: dict[str, OptionWord] = {
    "best": OptionWord("text", "its name", lambda h, o: o.label),
    "name": OptionWord("text", "its name", lambda h, o: o.label),
    "cost": OptionWord("money", "over the years, in today's money", lambda h, o: o.cost),
    "first year": OptionWord("money", "what it adds to the bills", lambda h, o: o.first_year),
    "up front": OptionWord("money", "after certificates and rebates", lambda h, o: o.upfront),
    "saving": OptionWord("money", "against keeping today's heater", _saving),
    "bill cut": OptionWord("share", "of the first year, against keeping", _bill_cut),
    "payback": OptionWord("years", "against keeping", lambda h, o: o.payback_years),
    "bought": OptionWord("kWh", "electricity bought for hot water", lambda h, o: o.bought_kwh),
    "electricity": OptionWord(
        "kWh", "electricity used, own sun too", lambda h, o: o.electricity_kwh
    ),
    "gas used": OptionWord("kWh", "gas burnt for hot water", lambda h, o: o.gas_kwh),
    "sun share": OptionWord("share", "own sun of the energy it takes", lambda h, o: o.sun_share),
    "cold showers": OptionWord("count", "a year", lambda h, o: float(o.cold_showers)),
    "emissions": OptionWord("count", "kg a year of energy bought", lambda h, o: o.emissions_kg),
    "covering panels": OptionWord("kW", "panels that yield what house and it use", _covering_kw),
}


@dataclass(frozen=True)
class Reading:
    """A parsed word: read a home by it."""

    text: str
    kind: Kind
    of: Callable[[HomeRow], Found]
    names_option: bool = False
    """The name of the best option, to be marked where it is tied."""


def heater_of(home: HomeRow, heater: str) -> OptionRow | None:
    """The best of the home's options that ``heater`` names; ``None`` where it has none."""
    return next((option for option in home.options if belongs(option, heater)), None)


def belongs(option: OptionRow, heater: str) -> bool:
    """Whether an option is one of those that ``heater`` names."""
    if heater not in GROUPS:
        return option.id == heater
    return option.id.startswith(GROUPS[heater])


def heater_fault(heater: str, field: str) -> Fault | None:
    """What is wrong with the name of a heater; nothing with a group or anything like an id."""
    looks_like_id = "-" in heater and heater.replace("-", "").isalnum() and heater.islower()
    if heater in GROUPS or (looks_like_id and heater.startswith(("electric-", *IDS))):
        return None
    return _unknown(heater, field, "no such heater", [*GROUPS, "best"])


IDS = ("heat-pump-", "solar-", "gas-")


def parse(text: str, field: str) -> Reading | Fault:
    """A word with its option, or what is wrong with it."""
    word, of, heater = text.partition(" of ")
    if not of and word in HOME_WORDS:
        home_word = HOME_WORDS[word]
        return Reading(text, home_word.kind, home_word.of)
    if word not in OPTION_WORDS:
        if of and word in HOME_WORDS:
            mend = f'write "{word}" alone'
            return Fault(field, "is a word of the home, not of a heater", text[:60], mend=mend)
        return _unknown(word, field, "no such word", [*HOME_WORDS, *OPTION_WORDS])
    if of and heater != "best" and (fault := heater_fault(heater, field)) is not None:
        return fault
    option_word = OPTION_WORDS[word]

    def read(home: HomeRow) -> Found:
        option = home.best if heater in ("", "best") else heater_of(home, heater)
        return None if option is None else option_word.of(home, option)

    is_best = word in ("best", "name") and heater in ("", "best")
    return Reading(text, option_word.kind, read, names_option=is_best)


def _unknown(word: str, field: str, problem: str, known: list[str]) -> Fault:
    near = get_close_matches(word.lower(), known, n=1, cutoff=0.6)
    mend = f'did you mean "{near[0]}"?' if near else "choose one of the allowed words"
    return Fault(field, problem, printable(word)[:60], ", ".join(known), mend)
