"""Small words of the pages."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from markupsafe import Markup

from tankful.casefile.given import field_words
from tankful.casefile.labels import raised
from tankful.casefile.naming import choices_of, name_of, on_form, slot_of
from tankful.desk.form import anchor
from tankful.errors import Fault

STATE_WORDS = {
    "draft": "Draft",
    "advised": "Advised",
    "report_sent": "Report sent",
    "installed": "Installed",
}


def when(at: str) -> str:
    """A time of the records as people here say it."""
    then = datetime.fromisoformat(at).astimezone()
    today = datetime.now(UTC).astimezone().date()
    if then.date() == today:
        return f"today {then:%H:%M}"
    return f"{then.day} {then:%B %Y}"


def state(name: str) -> str:
    """How far the work has come, in words."""
    return STATE_WORDS.get(name, name)


UNITS = "°C|degC|kWh|kW|MJ|m²|m2|L|%|K|km|mm|m|min|h|s|dB|litres|years|days|hours|people|cents"
"""What is not to be parted from its number at the end of a line."""


def unbroken(text: str) -> str:
    """Text, or a part of a page, in which numbers and their units stay on one line."""
    held = re.sub(rf"(?<=\d) (?=(?:{UNITS})(?![A-Za-z]))", "\u00a0", text)
    return type(text)(held)  # a part of a page stays one


def done(what: str) -> str:
    """A line of the record, with the states of the work in words."""
    return re.sub(r"^state is now (\w+)", lambda it: f"state is now “{state(it[1])}”", what)


def fault_words(fault: Fault) -> str:
    """A fault as it stands at its field, in the words of the form."""
    problem, value, allowed, mend = map(
        on_form, (fault.problem, fault.value, fault.allowed, fault.mend)
    )
    if choices_of(fault.field) or allowed in mend:
        allowed = ""  # it stands in the field, or is told below
    value = re.sub('^"(.*)"$', r"“\1”", value).removesuffix(".0")
    parts = (
        problem + (f" (found {value})" if value else ""),
        f"allowed: {allowed}" if allowed else "",
        mend,
        f"line {fault.line} of {fault.file}" if fault.line and fault.file else "",
    )
    return _with_days(" ".join(raised(sentence(part)) for part in parts if part))


def _with_days(words: str) -> str:
    """Words with days as people write them, but for what they quote."""
    iso = r"(?<![\w/.“-])(\d{4})-(\d\d)-(\d\d)(?![\w/”-]|\.\w)"
    return re.sub(iso, lambda day: f"{int(day[3])}/{int(day[2])}/{day[1]}", words)


def said(path: str, text: str) -> str:
    """What was typed into a field, in the words of its choices."""
    return dict(choices_of(path)).get(text, text)


def sentence(words: str) -> str:
    """Words that end as a sentence does."""
    return words if words.endswith((".", "?")) else f"{words}."


def about(path: str) -> str:
    """What an assumed value is about."""
    return raised(on_form(field_words((path,))[path]))


def plain(value: object, path: str) -> str:
    """The assumed value of a field as people say it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:,.6g}"
    return said(path, str(value)).replace("_", " ")


FILTERS: dict[str, Callable[..., Any]] = {
    "when": when,
    "state": state,
    "done": done,
    "unbroken": unbroken,
    "anchor": anchor,
    "slot": slot_of,
    "named": name_of,
    "said": said,
    "sentence": sentence,
    "about": about,
    "plain": plain,
    "fault_words": fault_words,
    "on_form": on_form,
    "raised": raised,
    "drawn": Markup,  # what we drew ourselves; its words were escaped then
}
