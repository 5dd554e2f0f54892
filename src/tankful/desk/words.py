"""Small words of the pages."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from markupsafe import Markup

from tankful.casefile.given import field_words
from tankful.casefile.typed import field_at
from tankful.desk.form import FormField, Group, Source, anchor, item_at, slot_of
from tankful.desk.labels import LISTS, any_row, raised, spoken
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


def fault_words(fault: Fault) -> str:
    """A fault as it stands at its field, in the words of the form."""
    parts = [fault.problem + (f" (found {fault.value})" if fault.value else "")]
    if fault.allowed:
        parts.append(f"allowed: {fault.allowed}")
    if fault.mend:
        parts.append(fault.mend)
    return raised(f"{_formed('; '.join(parts))}.")


def _formed(words: str) -> str:
    """Words that speak of a case file, speaking of the form."""
    words = re.sub(r"(?:a section )?\[+([a-z_.]+)\]+", lambda path: f"“{name_of(path[1])}”", words)
    words = re.sub(r"add [a-z_]+ = \.\.\. \((.*)\)", r"give it: \1", words)
    words = re.sub(r'[a-z_]+ = \[\{ start = "([^"]+)", end = "([^"]+)" \}\]', r"\1 to \2", words)
    return spoken(words).replace(", without quotes", "").replace(" without quotes", "")


def name_of(path: str) -> str:
    """What the form calls a field or table: ``quotes[2].tank_l`` is "Quote 2: Tank volume"."""
    found = re.finditer(r"([\w.\[\]]+?)\[(\d+)\]", path)
    ends = [(path[: match.start(2) - 1], match[2]) for match in found]
    rows = [f"{LISTS[any_row(end)][1]} {number}" for end, number in ends if any_row(end) in LISTS]
    slot = slot_of(path)
    if not slot:
        return path
    if slot.endswith("]"):
        return raised(", ".join(rows))
    item = item_at(slot, Source({}, {}))
    name = item.title if isinstance(item, Group) else item.label
    return f"{raised(', '.join(rows))}: {name}" if rows else name


def said(path: str, text: str) -> str:
    """What was typed into a field, in the words of its choices."""
    item = item_at(path, Source({}, {})) if field_at(path) is not None else None
    return dict(item.choices).get(text, text) if isinstance(item, FormField) else text


def sentence(words: str) -> str:
    """Words that end as a sentence does."""
    return words if words.endswith(".") else f"{words}."


def degrees(words: str) -> str:
    """Degrees as a sign, where the terminal writes letters."""
    return words.replace("degC", "°C")


def about(path: str) -> str:
    """What an assumed value is about."""
    return raised(spoken(field_words((path,))[path]))


def plain(value: object) -> str:
    """An assumed value as people say it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:,.6g}"
    return str(value).replace("_", " ")


FILTERS: dict[str, Callable[..., Any]] = {
    "when": when,
    "state": state,
    "anchor": anchor,
    "slot": slot_of,
    "named": name_of,
    "said": said,
    "sentence": sentence,
    "about": about,
    "plain": plain,
    "fault_words": fault_words,
    "degrees": degrees,
    "raised": raised,
    "drawn": Markup,  # what we drew ourselves; its words were escaped then
}
