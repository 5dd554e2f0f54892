"""Days and hours as people write them. Only what has one meaning is read."""

from __future__ import annotations

import re
from datetime import date

MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July", "August"),
    *("September", "October", "November", "December"),
)
LONGEST = 40
"""Letters of a day."""

_DAY_FIRST = re.compile(
    r"(?P<d>[0-9]{1,2})(?:(?P<s>[/.])(?P<m>[0-9]{1,2})(?P=s)(?P<y>[0-9]{4}|[0-9]{2})"
    r"|-(?P<m2>[0-9]{1,2})-(?P<y2>[0-9]{4}))"
)
_YEAR_FIRST = re.compile(r"([0-9]{4})(?P<s>[-/])([0-9]{1,2})(?P=s)([0-9]{1,2})")
_NAMED = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?[\s-]*([a-z]{3,9})\.?[\s,-]*([0-9]{4}|[0-9]{2})")
_NAME_FIRST = re.compile(r"([a-z]{3,9})\.?\s*([0-9]{1,2})(?:st|nd|rd|th)?(?:\s*,\s*|\s+)([0-9]{4})")

_TIME = r"noon|midnight|[0-9]{1,4}(?:[:.h][0-9]{2})?\s*(?:[ap]\.?m\.?|h(?:ou)?rs|h)?"
_SPAN = re.compile(
    rf"(?:from\s+)?(?P<start>{_TIME})\s*(?:to|until|till|-|–)\s*(?P<end>{_TIME})"
    r"(?:\s+(?P<days>all|weekday|weekend)s?)?"
    r"(?:\s+months?(?P<months>(?:\s+[0-9]{1,2})+))?"
)
_CLOCK = re.compile(r"([0-9]{1,2}):[0-9]{2}")
_HOUR = re.compile(r"([0-9]{1,2})(?:[:.]([0-9]{2}))?\s*(?:([ap])\.?m\.?)")
_OF_24 = re.compile(r"(?:([0-9]{1,2})[.h]|([0-9]{2}))([0-9]{2})(?:\s*(?:h(?:ou)?rs|h))?")
_BARE = re.compile(r"([0-9]{1,2})\s*(h(?:ou)?rs|h)?")


def day(text: str) -> date | None:
    """A day from ``2026-11-25``, ``25/11/2026``, ``1/9/26``, ``3 Jul 2026`` or ``July 3, 2026``.
    Between strokes and points the day comes first."""
    text = text.strip().casefold()
    if len(text) > LONGEST:
        return None
    try:
        found = _day_parts(text)
        return date(*found) if found else None
    except ValueError:
        return None


def _day_parts(text: str) -> tuple[int, int, int] | None:
    if match := _DAY_FIRST.fullmatch(text):
        month, year = match["m"] or match["m2"], match["y"] or match["y2"]
        return _year(year), int(month), int(match["d"])
    if match := _YEAR_FIRST.fullmatch(text):
        return int(match[1]), int(match[3]), int(match[4])
    if match := _NAMED.fullmatch(text):
        return _year(match[3]), _month(match[2]), int(match[1])
    if match := _NAME_FIRST.fullmatch(text):
        return int(match[3]), _month(match[1]), int(match[2])
    return None


def _year(digits: str) -> int:
    return int(digits) + (2000 if len(digits) == 2 else 0)


def _month(word: str) -> int:
    """The number of a month by its name or the first three letters; 0 for any other word."""
    return next((n for n, name in enumerate(MONTHS, 1) if name.casefold().startswith(word)), 0)


def months(text: str) -> str | None:
    """``6, 7, 8`` from runs and names of months: ``6-8``, ``June to August``, ``Nov-Feb, May``;
    ``None`` where no run and no name is among them."""
    parts = [re.split(r"\s*(?:-|–|\bto\b)\s*", part) for part in _listed(text)]
    numbers = [[_month_of(end) for end in part] for part in parts]
    if text.replace(",", " ").replace(" ", "").isdecimal():
        return None
    if any(len(run) > 2 or not all(1 <= month <= 12 for month in run) for run in numbers):
        return None
    found = [
        first + n
        for first, last in ((r[0], r[-1]) for r in numbers)
        for n in range((last - first) % 12 + 1)
    ]
    return ", ".join(str((month - 1) % 12 + 1) for month in found)


def _listed(text: str) -> list[str]:
    return re.split(r"\s*(?:[,;]|\band\b)\s*", text.strip().casefold())


def _month_of(word: str) -> int:
    """The number of a month by number or name; 0 for anything else."""
    if re.fullmatch(r"[0-9]{1,2}", word):
        return int(word)
    word = word.removesuffix(".")
    return _month(word) if len(word) > 2 else 0


def day_words(then: date) -> str:
    """``3 May 2026``."""
    return f"{then.day} {MONTHS[then.month - 1]} {then.year}"


def clock(text: str, *, of_24: bool = False) -> str | None:
    """A time of day as ``HH:MM`` from ``9 pm``, ``7.30am``, ``2200``, ``22h`` or ``noon``; what is
    written so already stays. A bare hour up to 12 is one of two, unless ``of_24`` hours."""
    text = text.strip().casefold()
    if text in ("noon", "midnight"):
        return "12:00" if text == "noon" else "00:00"
    if _CLOCK.fullmatch(text):
        return text
    if match := _HOUR.fullmatch(text):
        hour = int(match[1])
        if not 1 <= hour <= 12:
            return None
        return _hhmm(hour % 12 + (12 if match[3] == "p" else 0), int(match[2] or 0))
    if match := _OF_24.fullmatch(text):
        return _hhmm(int(match[1] or match[2]), int(match[3]))
    if match := _BARE.fullmatch(text):
        sure = of_24 or match[2] or int(match[1]) > 12
        return _hhmm(int(match[1]), 0) if sure else None
    return None


def _hhmm(hour: int, minute: int) -> str | None:
    inside = minute < 60 and (hour < 24 or (hour, minute) == (24, 0))
    return f"{hour:02d}:{minute:02d}" if inside else None


def spans(text: str) -> list[str] | None:
    """Windows, each as ``22:00 to 07:00 weekday months 6 7 8``, from what is typed in one line:
    ``10pm-7am weekdays, 10:00 to 15:00``; ``None`` when any of them is none."""
    found = [_span(part.strip()) for part in re.split(r"[,;]|\band\b", text.casefold())]
    return [span for span in found if span] if all(found) else None


def _span(text: str) -> str | None:
    match = _SPAN.fullmatch(text) if len(text) <= 4 * LONGEST else None
    if not match:
        return None
    ends = (match["start"], match["end"])
    of_24 = any(map(_is_of_24, ends))
    if any(map(_is_of_12, ends)) and any(map(_may_be_either, ends)):
        return None  # in "6:30-9:30 pm" the first may be morning or evening
    start, end = clock(match["start"], of_24=of_24), clock(match["end"], of_24=of_24)
    if start is None or end is None:
        return None
    words = f"{start} to {end}"
    if match["days"]:
        words += f" {match['days']}"
    if match["months"]:
        words += " months " + " ".join(str(int(month)) for month in match["months"].split())
    return words


def _is_of_24(text: str) -> bool:
    """Whether a time shows that its clock counts to 24."""
    match = _BARE.fullmatch(text.strip()) or _CLOCK.fullmatch(text.strip())
    return match is not None and not 1 <= int(match[1]) <= 12


def _is_of_12(text: str) -> bool:
    """Whether a time says which half of the day it is in."""
    return _HOUR.fullmatch(text.strip()) is not None


def _may_be_either(text: str) -> bool:
    """Whether a time may be one of either half of the day."""
    match = re.fullmatch(r"([0-9]{1,2})(?:[:.][0-9]{2})?", text.strip())
    return match is not None and 1 <= int(match[1]) <= 12


def span_toml(span: str) -> str:
    """A window of ``spans`` as an inline table."""
    start, _, end, *rest = span.split()
    pairs = [f'start = "{start}"', f'end = "{end}"']
    if rest and rest[0] != "months":
        pairs.append(f'days = "{rest.pop(0)}"')
    if rest:
        pairs.append(f"months = [{', '.join(rest[1:])}]")
    return "{ " + ", ".join(pairs) + " }"
