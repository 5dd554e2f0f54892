"""The one field table: every input carries unit, range, help, and the source of its default.

Messages, the commented case file, the list of assumptions and the manual are all made
from what is declared here through ``field``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any, Literal, get_args, get_origin
from unicodedata import category

from pydantic import AfterValidator, BaseModel, ConfigDict, Field
from pydantic.fields import FieldInfo

from tankful.marked import Marked


class Table(BaseModel):
    """A table of the case file: frozen, no unknown keys, numbers are numbers."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


class UnfitError(ValueError):
    """What a validator raises: a problem with several fields at once, and its mend."""

    def __init__(self, problem: str, mend: str) -> None:
        super().__init__(f"{Marked(problem)}; {Marked(mend)}")
        self.problem = problem
        self.mend = mend


_UNPRINTED = ("Cc", "Cf", "Cs", "Zl", "Zp")
"""Unicode categories that move the cursor, turn the writing round or cannot be written."""
_JOINERS = "\u200c\u200d"
"""Needed inside words of some scripts."""


def _one_line(text: str) -> str:
    if any(category(c) in _UNPRINTED and c not in _JOINERS for c in text):
        raise UnfitError("holds characters that cannot be printed", "type it anew, on one line")
    return text


def _some(text: str) -> str:
    if not text.strip():
        raise UnfitError("is empty", "write it, or `remove the line|leave it open`")
    return text


Words = Annotated[str, AfterValidator(_one_line)]
"""Text that is shown as it is written: one line without control characters."""

Title = Annotated[Words, AfterValidator(_some)]
"""The same, and never empty."""


Height = Annotated[float, Field(ge=0, le=90)]
Horizon = Annotated[tuple[Height, ...], Field(strict=False, min_length=4, max_length=360)]
"""Heights of the horizon [degrees] at even steps of direction, clockwise from north."""


def field(
    default: Any = ...,
    *,
    about: str,
    default_factory: Any = None,
    unit: str = "",
    source: str = "",
    when_absent: str = "",
    allowed: str = "",
    **limits: Any,
) -> Any:
    """Declare one input.

    ``source`` is the source id of the default; ``when_absent`` says in words what an absent
    value means where the default depends on the home (default ``None``); ``allowed`` is for
    texts, whose allowed values the type does not tell. What only a case file says stands between
    marks (see ``tankful.marked``). ``limits`` are pydantic's (``ge``, ``gt``, ``le``, ``lt``,
    ``min_length``, ...).
    """
    extra: dict[str, Any] = {
        "unit": unit,
        "source": source,
        "when_absent": Marked(when_absent),
        "allowed": Marked(allowed),
    }
    if default_factory is not None:
        limits["default_factory"] = default_factory
    else:
        limits["default"] = default
    return Field(description=Marked(about), json_schema_extra=extra, **limits)


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
        allowed=_words(meta, "allowed") or Marked(allowed_text(info)),
        about=info.description or "",
        default=default,
        required=required,
        source=str(meta.get("source", "")),
        when_absent=_words(meta, "when_absent"),
    )


def _words(meta: dict[str, Any], name: str) -> str:
    words = meta.get(name, "")
    return words if isinstance(words, Marked) else str(words)


def field_table(model: type[BaseModel], prefix: str = "") -> Iterator[FieldRow]:
    """Every input of ``model`` and the tables below it, in file order.

    Lists of tables appear as ``name[]``.
    """
    for name, info in model.model_fields.items():
        path = f"{prefix}{name}"
        nested = list(tables_in(info.annotation))
        if not nested:
            yield field_row(path, info)
            continue
        mark = "" if is_single(info.annotation) else "[]"
        for table in nested:
            yield from field_table(table, f"{path}{mark}.")


def allowed_text(info: FieldInfo) -> str:
    """The allowed values in words with marks, from the limits and the type."""
    choices = list(choices_in(info.annotation))
    if choices:
        return ", ".join(
            f"`{choice}`" if isinstance(choice, str) else f"{choice}" for choice in choices
        )
    if _is_bool(info.annotation):
        return "`true, false|yes, no`"
    limits = {name: value for item in info.metadata for name, value in _limits(item)}
    parts = [words.format(limits[name]) for name, words in _LIMIT_WORDS.items() if name in limits]
    return ", ".join(parts)


_LIMIT_WORDS = {
    "ge": "at least {}",
    "gt": "more than {}",
    "le": "at most {}",
    "lt": "less than {}",
}


def _limits(item: Any) -> Iterator[tuple[str, Any]]:
    for name in _LIMIT_WORDS:
        value = getattr(item, name, None)
        if value is not None:
            yield name, value


def choices_in(annotation: Any) -> Iterator[str | int]:
    """The choices of a type that allows only certain words or numbers."""
    if get_origin(annotation) is Literal:
        yield from get_args(annotation)
        return
    for arg in get_args(annotation):
        yield from choices_in(arg)


def _is_bool(annotation: Any) -> bool:
    return annotation is bool or bool in get_args(annotation)


def tables_in(annotation: Any) -> Iterator[type[BaseModel]]:
    """The tables that a type holds, alone or in a list."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for arg in get_args(annotation):
        yield from tables_in(arg)


def is_single(annotation: Any) -> bool:
    """Whether a type holds one table (not a list of them)."""
    return "tuple" not in str(annotation)
