"""Write a case as a commented file, made from the field table.

Every field appears with its help, unit, allowed range and default. What the case gives
stands as ``key = value``; the rest stands ready behind a ``#``.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from textwrap import wrap
from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from tankful.errors import Fault, OutputError
from tankful.model.case import Case
from tankful.model.fields import field_row, is_single, tables_in
from tankful.model.window import Window
from tankful.paths import write_whole

WIDTH = 88

HEAD = """\
One home and its wishes, for Tankful. Everything but the place may be left out.
Lines that begin with "# " explain. Lines that begin with "#" and a key are not in force:
they show the default; remove the "#" to give a value of your own, and the "#" before the
name in square brackets above it, if there is one.
Names and times stand in quotes, numbers and dates without. Prices are in whole money with
tax: 33 cents is 0.33. Fractions are not percentages: 4 % is 0.04.
Hours are windows by the clock on the wall, such as { start = "22:00", end = "07:00" };
add days = "weekday" or "weekend", and months = [6, 7, 8], to narrow them."""


@dataclass(frozen=True)
class Answers:
    """The few things asked of a new case. ``None`` leaves a value to its default."""

    postcode: str
    name: str = "Home"
    people: int | None = None
    heater_kind: str | None = None
    heater_age_years: float | None = None
    panels_kw: float | None = None
    annual_use_kwh: float | None = None
    battery_kwh: float | None = None
    bottled_gas: dict[str, float] | None = None
    """Its price by the name of its field, ``price_per_kg`` or ``price_per_l``."""
    heater_hours: str | tuple[str, str] = "always"
    """``always``, ``off_peak``, or first and last time of a daily window."""
    feed_in_price_per_kwh: float | None = None


def new_case_text(answers: Answers) -> str:
    """A commented case from the few answers; it loads to the case they describe."""
    hours = answers.heater_hours
    timed = isinstance(hours, tuple)
    given: dict[str, dict[str, Any]] = {
        "place": {"postcode": answers.postcode},
        "people": {"count": answers.people},
        "heater": {
            "kind": answers.heater_kind,
            "age_years": answers.heater_age_years,
            "control": "hours" if timed else None if hours == "always" else hours,
            "hours": [{"start": hours[0], "end": hours[1]}] if timed else None,
        },
        "electricity": {
            "annual_use_kwh": answers.annual_use_kwh,
            "feed_in_price_per_kwh": answers.feed_in_price_per_kwh,
            "arrays": [{"kw": answers.panels_kw}] if answers.panels_kw else None,
            "battery": {"capacity_kwh": answers.battery_kwh} if answers.battery_kwh else None,
        },
        "gas": {"bottles": answers.bottled_gas},
    }
    data = {
        table: {name: value for name, value in values.items() if value is not None}
        for table, values in given.items()
    }
    filled = {table: values for table, values in data.items() if values}
    return case_text(Case.model_validate({"name": answers.name, **filled}))


def case_text(case: Case) -> str:
    """Any case as a commented file that loads to an equal case."""
    lines = [f"# {line}" for line in HEAD.split("\n")]
    lines += ["", *_fields(Case, case)]
    return "\n".join(lines) + "\n"


MEND_NAME = "check that the folder exists and may be written, and the name"


def refuse_unwritable(path: Path, *, replace: bool = False) -> None:
    """OutputError when no case can be written there: before anyone answers questions.

    No folder of that name, or (unless ``replace``) a file that is there already.
    """
    try:
        folder, there = path.parent.is_dir(), path.exists() and not replace
    except (OSError, ValueError) as error:
        raise _refused(path, getattr(error, "strerror", None) or str(error), MEND_NAME) from None
    if not folder:
        raise _refused(path, "its folder does not exist", MEND_NAME)
    if there:
        raise _exists(path)


def write_case(path: Path, text: str, *, replace: bool = False) -> None:
    """Write a case file. OutputError when it exists (unless ``replace``) or cannot be written."""
    try:
        write_whole(path, lambda draft: draft.write_text(text, encoding="utf-8"), replace=replace)
    except FileExistsError:
        raise _exists(path) from None
    except OSError as error:
        raise _refused(path, error.strerror or str(error), MEND_NAME) from None


def _exists(path: Path) -> OutputError:
    mend = "choose another name, or add --force to replace it"
    return _refused(path, "the file exists already", mend)


def _refused(path: Path, problem: str, mend: str) -> OutputError:
    fault = Fault(field="", problem=problem, mend=mend, file=str(path))
    return OutputError("The case could not be written.", [fault])


def _fields(table: type[BaseModel], given: BaseModel | None, path: str = "") -> Iterator[str]:
    """The fields of one table, then the tables inside it."""
    inner = []
    for name, info in table.model_fields.items():
        nested = next(tables_in(info.annotation), None)
        if nested is not None and nested is not Window:
            inner.append((name, info, nested))
        else:
            yield from _help(info)
            yield _key(name, info, given)
    for name, info, nested in inner:
        below = f"{path}.{name}" if path else name
        yield from _section(below, name, info, nested, given)


def _section(
    path: str, name: str, info: FieldInfo, table: type[BaseModel], given: BaseModel | None
) -> Iterator[str]:
    """One table, or every entry of a list of tables; a pattern for it when there is none."""
    value = getattr(given, name) if given is not None and name in given.model_fields_set else None
    single = is_single(info.annotation)
    yield ""
    yield from _about(info, table, single)
    header = f"[{path}]" if single else f"[[{path}]]"
    if value is None or value == ():
        yield f"#{header}"
        yield from _fields(table, None, path)
    elif single:
        yield header
        yield from _fields(table, value, path)
    else:
        yield header
        yield from _fields(table, value[0], path)
        for entry in value[1:]:
            yield ""
            yield header
            yield from _given_fields(entry, path)


def _given_fields(entry: BaseModel, path: str) -> Iterator[str]:
    """A further entry of a list: only what it gives, since the first explains the rest."""
    inner = []
    for name, info in type(entry).model_fields.items():
        if name not in entry.model_fields_set:
            continue
        nested = next(tables_in(info.annotation), None)
        if nested is None or nested is Window:
            yield f"{name} = {toml_value(getattr(entry, name))}"
        else:
            inner.append(name)
    for name in inner:
        for row in getattr(entry, name):
            yield ""
            yield f"[[{path}.{name}]]"
            yield from _given_fields(row, f"{path}.{name}")


def _about(info: FieldInfo, table: type[BaseModel], single: bool) -> Iterator[str]:
    words = (table.__doc__ or "").split("\n\n")[0].replace("\n", " ").strip()
    row = field_row("", info)
    if row.when_absent:
        words += f" Left out: {row.when_absent}."
    elif not single:
        words += " Repeat the section for more."
    yield from (f"# {line}" for line in wrap(" ".join(words.split()), WIDTH))


def _help(info: FieldInfo) -> Iterator[str]:
    """What a field is, its unit, what is allowed, and what happens without it."""
    row = field_row("", info)
    words = row.about[:1].upper() + row.about[1:]
    bracket = "; ".join(part for part in (row.unit, row.allowed) if part)
    if bracket:
        words += f" [{bracket}]"
    if row.when_absent:
        words += f". Left out: {row.when_absent}"
    yield from (f"# {line}" for line in wrap(f"{words}.", WIDTH, break_on_hyphens=False))


def _key(name: str, info: FieldInfo, given: BaseModel | None) -> str:
    if given is not None and name in given.model_fields_set:
        return f"{name} = {toml_value(getattr(given, name))}"
    default = None if info.is_required() else info.get_default(call_default_factory=True)
    if default is None:
        return f"#{name} ="
    return f"#{name} = {toml_value(default)}"


def toml_value(value: Any) -> str:
    """A value as TOML writes it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple | list):
        return "[" + ", ".join(toml_value(item) for item in value) + "]"
    if isinstance(value, BaseModel):
        pairs = (
            f"{name} = {toml_value(getattr(value, name))}"
            for name in type(value).model_fields
            if name in value.model_fields_set
        )
        return "{ " + ", ".join(pairs) + " }"
    return repr(value)


def _quoted(text: str) -> str:
    """A text in double quotes; JSON's escapes are TOML's, but for two characters."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
