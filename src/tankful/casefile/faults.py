"""What the types refuse, told as faults: field, value, allowed, line and mend."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time
from typing import Any, cast

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from tankful.casefile import mends
from tankful.casefile.lines import Loc, line_of, path_text
from tankful.casefile.read import printable
from tankful.errors import Fault
from tankful.marked import marks_of
from tankful.model.case import Case
from tankful.model.fields import FieldRow, UnfitError, field_row, is_single, tables_in
from tankful.model.window import Window

MOST_FAULTS = 200
"""Faults of one file that are told."""


@dataclass(frozen=True)
class Spot:
    """A place in the field table: its table, its field and its row, as far as known."""

    table: type[BaseModel]
    info: FieldInfo | None
    row: FieldRow | None


def spot_of(loc: Loc, root: type[BaseModel] = Case) -> Spot:
    """Follow keys and list positions down the field table of a case or another file."""
    table = root
    info: FieldInfo | None = None
    for part in loc:
        if isinstance(part, int):
            continue
        if info is not None:
            inner = next(tables_in(info.annotation), None)
            if inner is None:
                break
            table = inner
        info = table.model_fields.get(part)
        if info is None:
            break
    return Spot(table, info, field_row(path_text(loc), info) if info else None)


def type_faults(
    error: ValidationError, lines: dict[str, int], file: str, root: type[BaseModel] = Case
) -> list[Fault]:
    """Every fault of a validation of a case or of another file's ``root`` table."""
    found = [item for item in error.errors(include_url=False) if not _only_seems_short(item)]
    told = [_fault(item, lines, file, root) for item in found[:MOST_FAULTS]]
    return told + ([the_rest(len(found) - MOST_FAULTS)] if len(found) > MOST_FAULTS else [])


def the_rest(count: int) -> Fault:
    """What stands for the faults beyond the first: nobody reads more, and looking for what each
    meant takes long."""
    return Fault("", f"{count:,} more faults are not listed", mend="mend those above first")


def _only_seems_short(error: ErrorDetails) -> bool:
    """A list is called too short when its refused entries are not counted."""
    at_least = (error.get("ctx") or {}).get("min_length")
    return error["type"] == "too_short" and len(error["input"]) >= cast(int, at_least)


def _fault(error: ErrorDetails, lines: dict[str, int], file: str, root: type[BaseModel]) -> Fault:
    loc = error["loc"]
    path = path_text(loc)
    spot = spot_of(loc, root)
    problem, mend = _words(error, spot, root)
    row = spot.row
    unit = f" {row.unit}" if row and row.unit else ""
    if "money" in unit:
        unit = f"`{unit}|`"  # a form names its currency beside the field
    missing = error["type"] == "missing"
    plain = missing or error["type"] == "date_type"  # the mend says it all
    whole = isinstance(error["input"], dict) and error["type"] == "value_error"
    return Fault(
        field=path,
        problem=problem,
        value="" if missing or whole else shown(error["input"]),
        allowed=marks_of(row.allowed) + unit if row and row.allowed and not plain else "",
        mend=mend,
        line=line_of(lines, path),
        file=file,
    )


def shown(value: Any) -> str:
    """A value as the case file writes it, short and safe to print, in words with marks."""
    if isinstance(value, bool):
        return "`true|yes`" if value else "`false|no`"
    if isinstance(value, dict):
        return "a section"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, int) and abs(value) >= 10**20:
        return "a very large number"
    text = printable(str(value)).replace("`", "'")
    text = text if len(text) <= 40 else text[:37] + "..."
    return f'"{text}"' if isinstance(value, str) else text


def _words(error: ErrorDetails, spot: Spot, root: type[BaseModel]) -> tuple[str, str]:
    """Problem and mend of one refusal."""
    kind, value = error["type"], error["input"]
    name = str(error["loc"][-1]) if error["loc"] else ""
    if kind == "missing":
        return "`missing|needed, but not filled in`", _mend_missing(name, error["loc"], spot)
    if kind == "extra_forbidden":
        return "no such key", mends.unknown_key(name, spot.table, root)
    if kind == "value_error":
        return _validator_words(error)
    row = spot.row
    if row is None:
        return error["msg"].lower(), "see the field in the file that tankful new writes"
    if kind in ("float_type", "int_type", "finite_number"):
        whole = kind == "int_type"
        problem = "not a whole number" if whole else "not a number"
        return problem, mends.number(value, row, whole=whole)
    if kind in ("greater_than", "greater_than_equal", "less_than", "less_than_equal"):
        return "out of range", mends.in_range(cast(float | date, value), row, name)
    if kind in ("model_type", "tuple_type", "dict_type"):
        return _shape_words(spot, name, error["loc"], value)
    if kind in ("string_too_long", "too_long") and isinstance(value, str):
        return "too long", f"shorten it to {(error.get('ctx') or {}).get('max_length')} characters"
    if kind == "too_long" and not row.allowed:
        return "too many entries", f"give at most {(error.get('ctx') or {}).get('max_length')}"
    if kind in ("too_short", "too_long"):
        allowed = marks_of(row.allowed) or "at least one entry"
        return "wrong number of entries", f"give {allowed}"
    return _text_words(kind, value, spot, row)


def _text_words(kind: str, value: Any, spot: Spot, row: FieldRow) -> tuple[str, str]:
    if kind == "bool_type":
        return "`not true or false|neither yes nor no`", mends.true_or_false(value)
    if kind == "date_type":
        return "not a date", mends.day(value)
    if kind == "literal_error":
        return "not one of the choices", mends.choice(value, spot.info)
    if kind == "string_pattern_mismatch":
        return f"not {marks_of(row.allowed)}", mends.pattern(value, row)
    if kind == "string_type":
        return "not a text` in quotes|`", mends.text(value, row)
    return f"unfit ({kind.replace('_', ' ')})", "see the field in the file that tankful new writes"


def _validator_words(error: ErrorDetails) -> tuple[str, str]:
    cause = (error.get("ctx") or {}).get("error")
    if isinstance(cause, UnfitError):
        return cause.problem, cause.mend
    return str(cause or error["msg"]), ""


def _shape_words(spot: Spot, name: str, loc: Loc, value: Any) -> tuple[str, str]:
    """A section where a list belongs, or the other way round."""
    path = ".".join(part for part in loc if isinstance(part, str))
    info = spot.info
    nested = info is not None and next(tables_in(info.annotation), None) is not None
    if info is not None and next(tables_in(info.annotation), None) is Window:
        key = next(part for part in reversed(loc) if isinstance(part, str))
        return "not a list of clock hours", mends.hours(value, key)
    if not nested:
        mend = f"`write {name} = [...] in square brackets|write them with commas between`"
        return "`not a list|not a list of numbers`", mend
    if isinstance(loc[-1], int) or (info is not None and is_single(info.annotation)):
        return "not a section", f"`write a section [{path}] with its keys on the lines below|`"
    return "not a list of sections", f"write [[{path}]] in double brackets, once for each entry"


def _mend_missing(name: str, loc: Loc, spot: Spot) -> str:
    info, row = spot.info, spot.row
    if info is None or row is None:
        return f"`add {name}|`"
    if loc == ("place",):
        return '`add a section [place] with postcode = "2480"|give the postcode`'
    inner = next(tables_in(info.annotation), None)
    if inner is Window:
        in_file = f'add {name} = [{{ start = "22:00", end = "07:00" }}]'
        return f"`{in_file}|give the hours, such as 22:00 to 07:00`"
    if inner is not None and not is_single(info.annotation):
        path = ".".join(part for part in loc if isinstance(part, str))
        return f"`add a section [[{path}]]|fill in at least one entry`"
    unit = f" in {row.unit}" if row.unit else ""
    return f"`add {name} = ... ({row.about}{unit})|`"
