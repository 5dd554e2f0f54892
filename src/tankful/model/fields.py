"""The one field table: every input carries unit, range, help, and the source of its default.

Messages, the commented case file, the list of assumptions and the manual are all made
from what is declared here through ``field``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, get_args

from pydantic import BaseModel, ConfigDict, Field
from pydantic.fields import FieldInfo


class Table(BaseModel):
    """A table of the case file: frozen, no unknown keys, numbers are numbers."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


def field(
    default: Any = ...,
    *,
    about: str,
    default_factory: Any = None,
    unit: str = "",
    source: str = "",
    when_absent: str = "",
    **limits: Any,
) -> Any:
    """Declare one input.

    ``source`` is the source id of the default; ``when_absent`` says in words what an
    absent value means where the default depends on the home (default ``None``).
    ``limits`` are pydantic's (``ge``, ``gt``, ``le``, ``lt``, ``min_length``, ...).
    """
    extra: dict[str, Any] = {"unit": unit, "source": source, "when_absent": when_absent}
    if default_factory is not None:
        limits["default_factory"] = default_factory
    else:
        limits["default"] = default
    return Field(description=about, json_schema_extra=extra, **limits)


@dataclass(frozen=True)
class FieldRow:
    """One row of the field table."""

    path: str
    unit: str
    allowed: str
    about: str
    default: Any
    required: bool
    source: str
    when_absent: str


def field_row(path: str, info: FieldInfo) -> FieldRow:
    """The row of one declared input."""
    extra = info.json_schema_extra
    meta = extra if isinstance(extra, dict) else {}
    required = info.is_required()
    default = None if required else info.get_default(call_default_factory=True)
    return FieldRow(
        path=path,
        unit=str(meta.get("unit", "")),
        allowed=allowed_text(info),
        about=info.description or "",
        default=default,
        required=required,
        source=str(meta.get("source", "")),
        when_absent=str(meta.get("when_absent", "")),
    )


def field_table(model: type[BaseModel], prefix: str = "") -> Iterator[FieldRow]:
    """Every input of ``model`` and the tables below it, in file order.

    Lists of tables appear as ``name[]``.
    """
    for name, info in model.model_fields.items():
        path = f"{prefix}{name}"
        nested = list(_tables_in(info.annotation))
        if not nested:
            yield field_row(path, info)
            continue
        mark = "" if _is_single(info.annotation) else "[]"
        for table in nested:
            yield from field_table(table, f"{path}{mark}.")


def allowed_text(info: FieldInfo) -> str:
    """The allowed values in words, from the limits and the type."""
    low = high = ""
    for item in info.metadata:
        if getattr(item, "ge", None) is not None:
            low = f"at least {item.ge}"
        elif getattr(item, "gt", None) is not None:
            low = f"more than {item.gt}"
        if getattr(item, "le", None) is not None:
            high = f"at most {item.le}"
        elif getattr(item, "lt", None) is not None:
            high = f"less than {item.lt}"
    choices = list(_choices_in(info.annotation))
    if choices:
        return ", ".join(choices)
    return ", ".join(part for part in (low, high) if part)


def _choices_in(annotation: Any) -> Iterator[str]:
    args = get_args(annotation)
    if args and all(isinstance(arg, str) for arg in args):
        yield from args
    else:
        for arg in args:
            yield from _choices_in(arg)


def _tables_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for arg in get_args(annotation):
        yield from _tables_in(arg)


def _is_single(annotation: Any) -> bool:
    return "tuple" not in str(annotation)
