"""Numbers as people write them: thousands set apart, decimal commas, and a unit behind.

Only what has one meaning is read. A comma before three digits parts thousands, any other is a
decimal comma; a unit is the field's own or one of the same quantity with an exact factor.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from tankful.model.fields import FieldRow

LONGEST = 80
"""Letters of a text in which a number is looked for."""
EVEN_BLANKS = str.maketrans(dict.fromkeys("\u00a0\u2007\u2009\u202f", " ") | {"’": "'", "−": "-"})

_PLAIN = re.compile(r"[-+]?(?:[0-9]{1,20}(?:\.[0-9]{0,20})?|\.[0-9]{1,20})(?:[eE][-+]?[0-9]{1,3})?")
_PARTED = re.compile(
    r"[1-9][0-9]{0,2}(?:(?P<mark>[, '])[0-9]{3}(?:(?P=mark)[0-9]{3}){0,3})(?:\.[0-9]{1,9})?"
    r"|[1-9][0-9]{0,2}(?:(?P<gap>[ '])[0-9]{3}(?:(?P=gap)[0-9]{3}){0,3}),(?:[0-9]{1,2}|[0-9]{4,9})"
    r"|[1-9][0-9]{0,2}(?:\.[0-9]{3}){1,4},(?:[0-9]{1,2}|[0-9]{4,9})"
)
_DECIMAL_COMMA = re.compile(r"0,[0-9]{1,9}|[0-9]{1,15},(?:[0-9]{1,2}|[0-9]{4,9})")
_WITH_UNIT = re.compile(
    r"(?P<sign>[-+]?)\s*(?P<money>(?:[aA][uU]?)?[$€£])?\s*"
    r"(?P<numeral>[0-9](?:[0-9 ,.']*[0-9])?|\.[0-9]+)"
    r"\s*(?P<unit>[^0-9\s,.'][^\n]*)?"
)

_MILLE, _CENTUM = Fraction(1000), Fraction(1, 100)
_MJ_PER_KWH = Fraction(36, 10)
_ONE = Fraction(1)


def _ones(*spellings: str) -> dict[str, Fraction]:
    return dict.fromkeys(spellings, _ONE)


_MONEY = _ones("", "$", "€", "£", "dollar", "dollars", "euro", "euros") | dict.fromkeys(
    ("c", "¢", "ct", "cent", "cents"), _CENTUM
)
_KWH = ("kwh", "kw h", "kilowatt hour", "kilowatt hours")
_MJ = ("mj", "megajoule", "megajoules")
_GJ = ("gj", "gigajoule", "gigajoules")
_LITRES = ("l", "litre", "litres", "liter", "liters", "ltr", "ltrs")
_YEARS = ("year", "years", "yr", "yrs", "y")
_DEGREES = ("°", "deg", "degs", "degree", "degrees")
SPELLINGS: Mapping[str, Mapping[str, Fraction]] = {
    "money": _MONEY,
    "kW": _ones("kw", "kwp", "kilowatt", "kilowatts")
    | dict.fromkeys(("w", "watt", "watts"), 1 / _MILLE),
    "kWh": _ones(*_KWH)
    | dict.fromkeys(("wh", "watt hour", "watt hours"), 1 / _MILLE)
    | dict.fromkeys(_MJ, 1 / _MJ_PER_KWH)
    | dict.fromkeys(_GJ, _MILLE / _MJ_PER_KWH),
    "MJ": _ones(*_MJ) | dict.fromkeys(_GJ, _MILLE) | dict.fromkeys(_KWH, _MJ_PER_KWH),
    "L": _ones(*_LITRES),
    "years": _ones(*_YEARS, "year old", "years old", "yrs old"),
    "degrees": _ones(*_DEGREES),
    "degC": _ones(*_DEGREES, "c", "°c", "degc", "deg c", "degrees c", "celsius", "degrees celsius"),
    "m": _ones("m", "metre", "metres", "meter", "meters"),
    "m2": _ones("m2", "m²", "sqm", "sq m", "square metre", "square metres", "square meters"),
    "minutes": _ones("min", "mins", "minute", "minutes"),
    "W": _ones("w"),
}
"""What a unit of the field table, or one of the same quantity, is called, and how many of the
table's unit one of it is. Names are matched without regard to capitals."""
_BEHIND: Mapping[str, tuple[str, ...]] = {
    "kWh": _KWH,
    "MJ": _MJ,
    "L": _LITRES,
    "kW": ("kw", "kilowatt"),
    "kg": ("kg", "kilo", "kilogram"),
    "day": ("day", "d"),
    "year": ("year", "yr", "y", "annum"),
    "m2K": ("m2k", "m²k", "(m2k)", "(m²k)"),
    "m2K2": ("m2k2", "m²k²", "(m2k2)", "(m²k²)"),
}
"""The same for a unit behind a stroke, which is never converted."""
_MAY_STAND_ALONE = ("money", "L")
"""Where the form's own "per day" need not be typed too. A bill counts energy by other spans than
the form, so energy by time is told whole."""
NONE_WORDS = ("none", "no", "nil", "nothing", "zero", "n/a", "-")
"""How people say that there is none of something."""
_COMPASS = (
    *("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE"),
    *("S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"),
)
_WINDS = {"north": "N", "east": "E", "south": "S", "west": "W"}


@dataclass(frozen=True)
class Reading:
    """A number as a file takes it; ``as_typed`` when its own digits were typed."""

    number: str
    as_typed: bool


def quantity(text: str, row: FieldRow) -> Reading | None:
    """What is typed into a field that wants a number of ``row.unit``; ``None`` when it reads as
    no number, or as several."""
    text = text.translate(EVEN_BLANKS).strip()
    if _PLAIN.fullmatch(text):
        return Reading(_plain(text), True)
    if len(text) > LONGEST:
        return None
    if row.unit == "degrees" and row.allowed.endswith("at most 360"):
        direction = _direction(text)
        if direction is not None:
            return Reading(direction, False)
    match = _WITH_UNIT.fullmatch(text)
    numeral = _numeral(match["numeral"]) if match else None
    if not match or numeral is None:
        return None
    factor = _factor(match["unit"] or "", bool(match["money"]), row)
    if factor is None:
        return None
    if factor < 0 and match["sign"]:
        return None
    if factor == 1:
        return Reading(_plain(match["sign"] + numeral), numeral == match["numeral"])
    return Reading(_exact(Fraction(match["sign"] + numeral) * factor), False)


def says_none(text: str, row: FieldRow) -> bool:
    """Whether what is typed for an amount says that there is none."""
    read = quantity(text, row)
    return text.strip().casefold() in NONE_WORDS or bool(read and float(read.number) == 0)


def is_fraction(row: FieldRow) -> bool:
    """Whether a field wants a share of one, which people also give in per cent."""
    most = re.search(r"at most ([0-9]*\.?[0-9]+)$", row.allowed)
    return not row.unit and ("fractions" in row.allowed or bool(most and float(most[1]) <= 1))


def _numeral(text: str) -> str | None:
    """Digits with a decimal point and nothing else, from digits however set apart."""
    if _PLAIN.fullmatch(text):
        return text
    if _DECIMAL_COMMA.fullmatch(text):
        return text.replace(",", ".")
    match = _PARTED.fullmatch(text)
    if not match:
        return None
    if match["mark"]:
        return text.replace(match["mark"], "")
    return re.sub(r"[ '.]", "", text).replace(",", ".")


def _plain(text: str) -> str:
    """A plain number as TOML takes it: no leading noughts, digits on both sides of a point."""
    sign = text[0] if text[0] in "+-" else ""
    mantissa, exponent, power = text.lstrip("+-").replace("E", "e").partition("e")
    whole, point, part = mantissa.partition(".")
    fraction = f".{part or '0'}" if point else ""
    return f"{sign}{whole.lstrip('0') or '0'}{fraction}{exponent}{power}"


def _exact(value: Fraction) -> str:
    return str(value.numerator) if value.denominator == 1 else repr(float(value))


def _factor(typed: str, has_sign: bool, row: FieldRow) -> Fraction | None:
    """How many of the field's unit one of the typed unit is; ``None`` when it is another."""
    name = re.sub(r"[\s-]+", " ", re.sub(r"per ?cent\b", "%", typed.casefold())).strip(" .")
    if name == "%":
        return _CENTUM if is_fraction(row) and not has_sign else None
    own, *behind_own = row.unit.split("/")
    head, *behind = re.split(r" ?(?:/|\b(?:per|an?)\b) ?", name)
    if row.unit == "money" and head == "k":
        return _MILLE
    if has_sign and (own != "money" or head):
        return None
    if not (name or has_sign):
        return _ONE
    if behind or own not in _MAY_STAND_ALONE:
        if len(behind) != len(behind_own):
            return None
        if any(b not in _BEHIND[unit] for b, unit in zip(behind, behind_own, strict=True)):
            return None
    return SPELLINGS.get(own, {}).get(head) or _hemisphere(head, row) or _counted(head, row)


def _hemisphere(name: str, row: FieldRow) -> Fraction | None:
    """The sign of a latitude or longitude that says its side: ``33.9 S``."""
    around = re.fullmatch(r"at least -([0-9]+), at most \1", row.allowed)
    if row.unit != "degrees" or not around:
        return None
    sides = {"e": 1, "w": -1} if around[1] == "180" else {"n": 1, "s": -1}
    side = sides.get(re.sub(r"^(?:°|deg|degrees) ?", "", name))
    return Fraction(side) if side else None


def _counted(name: str, row: FieldRow) -> Fraction | None:
    """One, where a plain count is followed by what the field says it counts: ``4 people``."""
    return _ONE if not row.unit and len(name) > 3 and name in row.about.casefold().split() else None


def _direction(text: str) -> str | None:
    """A point of the compass in degrees from north: ``NE``, ``north-east``."""
    word = re.sub(r"^(?:due|facing) |[ -](?:facing|facing roof)$", "", text.casefold())
    for name, letter in _WINDS.items():
        word = word.replace(name, letter)
    point = re.sub(r"[ -]", "", word).upper()
    return f"{_COMPASS.index(point) * 22.5:g}" if point in _COMPASS else None
