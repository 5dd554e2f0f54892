"""The report's wording: looked up by key, filled with facts."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from datetime import date
from functools import lru_cache
from importlib import resources
from typing import Any

LANGUAGE = "en"


@lru_cache(maxsize=4)
def load_words(lang: str = LANGUAGE) -> Mapping[str, Mapping[str, str]]:
    """All words of a language by section and key."""
    file = resources.files("tankful.report").joinpath("words", f"{lang}.toml")
    return tomllib.loads(file.read_text(encoding="utf-8"))


def say(key: str, **facts: Any) -> str:
    """The words of ``section.key`` with facts filled in. KeyError for an unknown key is a bug."""
    section, _, name = key.partition(".")
    return load_words()[section][name].format(**facts)


def section_words(section: str) -> dict[str, str]:
    """All words of one section, unfilled."""
    return dict(load_words()[section])


def months(*, short: bool = False) -> list[str]:
    """Names of the months, January first."""
    return say("page.months_short" if short else "page.months").split()


def day_text(day: date) -> str:
    """A date as people write it: ``3 February 2027``."""
    return say("page.day", day=day.day, month=months()[day.month - 1], year=day.year)


def day_short(day: date) -> str:
    """A date without its year."""
    return say("page.day_short", day=day.day, month=months()[day.month - 1])
