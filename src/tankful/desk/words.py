"""Small words of the pages."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from markupsafe import Markup

from tankful.casefile.typed import field_at
from tankful.desk.form import FormField, Source, anchor, item_at, slot_of
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
    """A fault as it stands at its field."""
    head = fault.problem[:1].upper() + fault.problem[1:]
    parts = [head + (f" (found {fault.value})" if fault.value else "")]
    if fault.allowed:
        parts.append(f"allowed: {fault.allowed}")
    if fault.mend:
        parts.append(fault.mend)
    return "; ".join(parts).replace(" in quotes", "").replace(", without quotes", "") + "."


def degrees(text: str) -> str:
    """Text with the sign of degrees, which not every terminal has."""
    return text.replace("degC", "°C")


def name_of(path: str) -> str:
    """What the form calls a field."""
    item = item_at(path, Source({}, {})) if field_at(path) is not None else None
    return item.label if isinstance(item, FormField) else path


FILTERS: dict[str, Callable[..., Any]] = {
    "when": when,
    "state": state,
    "anchor": anchor,
    "slot": slot_of,
    "named": name_of,
    "fault_words": fault_words,
    "degrees": degrees,
    "drawn": Markup,  # what we drew ourselves; its words were escaped then
}
