"""Answers as people type them: numbers with units, prices in cents, kinds in plain words.

Each raises ``click.UsageError`` with what to write instead, so that the question comes again.
"""

from __future__ import annotations

import re

import click

UNITS: dict[str, dict[str, float]] = {
    "kW": {"kw": 1.0, "kilowatt": 1.0, "kilowatts": 1.0, "w": 0.001, "watt": 0.001, "watts": 0.001},
    "kWh": {"kwh": 1.0, "wh": 0.001, "mwh": 1000.0},
    "years": {"year": 1.0, "years": 1.0, "yr": 1.0, "yrs": 1.0, "y": 1.0, "months": 1.0 / 12.0},
    "people": {"people": 1.0, "person": 1.0, "persons": 1.0, "of us": 1.0},
}
"""What people write after a number of each unit, and what it is worth."""

_NUMBER = re.compile(r"(?P<number>[-+]?\d[\d,]*(?:\.\d+)?|[-+]?\.\d+)\s*(?P<unit>.*)")
_THOUSANDS = re.compile(r"[-+]?\d{1,3}(,\d{3})+")
_HOURS = re.compile(r"(\d{1,2})(?::(\d{2}))?\s*(?:-|–|to|until)\s*(\d{1,2})(?::(\d{2}))?")

CENTS = ("c", "ct", "cent", "cents", "c/kwh", "ct/kwh", "cents/kwh", "c per kwh", "cents per kwh")
MONEY = ("", "/kwh", "per kwh", "dollars", "dollars/kwh")
MOST_PRICE = 1.0
"""Above this a price a kWh without a unit is one in cents (judgement)."""

KIND_WORDS = {
    "electric": "electric_storage",
    "electric_tank": "electric_storage",
    "electric_instant": "electric_continuous",
    "instant_electric": "electric_continuous",
    "heatpump": "heat_pump",
    "gas_tank": "gas_storage",
    "gas_instant": "gas_continuous",
    "instant_gas": "gas_continuous",
    "continuous_gas": "gas_continuous",
    "gas_continuous_flow": "gas_continuous",
    "no": "none",
    "nothing": "none",
}

UNCLEAR = {
    "gas": "gas_storage (it has a tank) or gas_continuous (it has none)",
    "solar": "solar_flat (flat plates), solar_tube (glass tubes), solar_gas (gas boost), or "
    "solar_inline (electric continuous heater after the tank)",
    "instant": "gas_continuous or electric_continuous",
    "tank": "electric_storage or gas_storage",
    "continuous": "gas_continuous or electric_continuous",
}


def amount(text: str, unit: str, low: float, high: float, example: str) -> float:
    """A number in ``unit`` between two limits, with or without its unit behind it."""
    words = text.strip().strip("\"'").lower().replace("about ", "")
    match = _NUMBER.fullmatch(words)
    factor = UNITS[unit].get(match["unit"].strip(), None) if match and match["unit"] else 1.0
    if match is None or factor is None:
        raise click.UsageError(f"write a number of {unit}, such as {example}")
    number = round(plain_number(match["number"]) * factor, 9)
    if not low <= number <= high:
        raise click.UsageError(
            f"{number:g} {unit} is out of range: write a number from {low:g} to {high:g}"
        )
    return number


def plain_number(text: str) -> float:
    """A number in which a comma may part thousands, or stand for the point."""
    if "," in text and not _THOUSANDS.fullmatch(text.partition(".")[0]):
        if text.count(",") > 1 or "." in text:
            raise click.UsageError("write the number without commas, such as 6.6 or 4500")
        return float(text.replace(",", "."))
    return float(text.replace(",", ""))


def price_per_kwh(text: str) -> float:
    """A price in whole money a kWh from ``0.05``, ``$0.05`` or ``5c``."""
    words = text.strip().lower().removeprefix("$").strip()
    if words in ("none", "nothing", "no"):
        return 0.0
    match = _NUMBER.fullmatch(words)
    unit = re.sub(r"\s*/\s*", "/", match["unit"].strip()) if match else ""
    if match is None or unit not in (*CENTS, *MONEY):
        raise click.UsageError("write a price such as 5c or 0.05, or none")
    number = plain_number(match["number"]) / (100.0 if unit in CENTS else 1.0)
    if number > MOST_PRICE:
        raise click.UsageError(
            f"{number:g} a kWh is too much: in cents write {number:g}c, in whole money "
            f"{number / 100:g}"
        )
    if number < 0.0:
        raise click.UsageError("write a price of 0 or more")
    return round(number, 6)


def heater_kind(text: str, kinds: dict[str, str]) -> str:
    """A kind of heater from its name or plain words for it."""
    from tankful.casefile.mends import close_match

    words = re.sub(r"[\s-]+", "_", text.strip().lower())
    if words in kinds:
        return words
    if words in KIND_WORDS:
        return KIND_WORDS[words]
    if words in UNCLEAR:
        raise click.UsageError(f'"{text.strip()}" may be {UNCLEAR[words]}')
    near = close_match(words, [*kinds, *KIND_WORDS])
    if near:
        raise click.UsageError(f"did you mean {KIND_WORDS.get(near, near)}?")
    raise click.UsageError(f"write one of {', '.join(kinds)}")


def heater_hours(text: str) -> str | tuple[str, str]:
    """``always``, ``off_peak``, or first and last time of a daily window."""
    from tankful.model.fields import UnfitError
    from tankful.model.window import minute_of_day

    words = text.strip().lower()
    plain = re.sub(r"[\s_-]+", "", words)
    if plain in ("always", "alwayson", "allday", "continuous"):
        return "always"
    if plain in ("offpeak", "night", "nightrate", "controlled", "controlledload"):
        return "off_peak"
    match = _HOURS.fullmatch(words)
    times = [f"{int(match[i]):02d}:{match[i + 1] or '00'}" for i in (1, 3)] if match else []
    try:
        for time in times:
            minute_of_day(time)
    except UnfitError:
        times = []
    if not times:
        raise click.UsageError("write always, off-peak, or clock hours such as 22:00-07:00")
    return times[0], times[1]
