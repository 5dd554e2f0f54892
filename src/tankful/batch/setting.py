"""One way a variation goes: what it does to a case's plain data."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from copy import deepcopy
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tankful.batch.plan import Variation, Written
from tankful.casefile.lines import scan_keys
from tankful.casefile.offers import STATES, default_electricity_tariff
from tankful.casefile.read import printable, read_text
from tankful.casefile.syntax import parse_text
from tankful.casefile.typed import split_path, typed_text
from tankful.errors import CaseError, Fault

Data = dict[str, Any]

PLAN_KEYS = (
    "tariff",
    "usage_price_per_kwh",
    "off_peak_price_per_kwh",
    "feed_in_price_per_kwh",
)
"""What an electricity plan is made of, in the section ``electricity`` of a case."""


class UnsettableError(Exception):
    """A path leads through a value that is no section."""


@dataclass(frozen=True)
class Setting:
    """One way a variation goes: its name in the table, what it does to a case's data, the
    paths of the case it touches, and where it stands in the plan."""

    label: str
    apply: Callable[[Data], None]
    touches: tuple[str, ...]
    at: str


def setting_of(variation: Variation, i: int, at: str, written: Written) -> Setting:
    label = variation.labels[i] if variation.labels else None
    if variation.plans is not None:
        return _plan_setting(variation.plans[i], label, f"{at}.plans[{i + 1}]", written)
    if variation.choices is not None:
        choice = variation.choices[i]
        place = f"{at}.choices[{i + 1}]"
        for path in choice.without:
            _path_parts(path, f"{place}.without", written)

        def apply(data: Data) -> None:
            for path in choice.without:
                _take_out(data, path)
            _overlay(data, choice.set)

        return Setting(choice.name, apply, (*_leaves(choice.set), *choice.without), place)
    assert variation.path is not None  # the plan's own rule
    assert variation.values is not None
    _path_parts(variation.path, f"{at}.path", written)
    path, value = variation.path, variation.values[i]
    return Setting(
        label or printable(typed_text(value)) or "none",
        lambda data: _put(data, path, deepcopy(value)),
        (path,),
        f"{at}.values[{i + 1}]",
    )


def _path_parts(path: str, at: str, written: Written) -> list[tuple[str, int | None]]:
    parts = split_path(path)
    if parts is None:
        fault = Fault(
            at.rpartition(".")[2],
            "is no path of a field",
            printable(path)[:60],
            mend="write it as in people.count or electricity.arrays[1].kw",
        )
        raise CaseError("The path is none.", [written.place(fault, at)])
    return parts


def _plan_setting(text: str, label: str | None, at: str, written: Written) -> Setting:
    """An electricity plan by its name or file."""
    new: Data = {}
    if text in STATES:
        tariff, _ = default_electricity_tariff(text)
        new["tariff"] = tariff.model_dump(exclude_unset=True, exclude_none=True)
        words = f"default plan of {text}"
    elif text == "default":
        words = "default plan"
    else:
        data, _ = case_data(written.path.parent / text)
        power = data.get("electricity")
        new = (
            {key: power[key] for key in PLAN_KEYS if key in power}
            if isinstance(power, dict)
            else {}
        )
        if not new:
            fault = Fault(
                "plans",
                "holds no electricity plan",
                printable(text)[:60],
                mend='name a case file with [electricity.tariff], or "default", or a state',
            )
            raise CaseError("No plan.", [written.place(fault, at)])
        words = (
            str(new["tariff"].get("name", text)) if isinstance(new.get("tariff"), dict) else text
        )

    def apply(data: Data) -> None:
        power = data.setdefault("electricity", {})
        if isinstance(power, dict):
            for key in PLAN_KEYS:
                power.pop(key, None)
            power.update(deepcopy(new))

    touches = tuple(f"electricity.{key}" for key in PLAN_KEYS)
    return Setting(label or printable(words), apply, touches, at)


def _leaves(data: Data, prefix: str = "") -> Iterator[str]:
    for key, value in data.items():
        if isinstance(value, dict):
            yield from _leaves(value, f"{prefix}{key}.")
        else:
            yield f"{prefix}{key}"


def _overlay(data: Data, changes: Data) -> None:
    """Put ``changes`` over ``data``: sections key by key, everything else whole."""
    for key, value in changes.items():
        if isinstance(value, dict) and isinstance(data.get(key), dict):
            _overlay(data[key], value)
        else:
            data[key] = deepcopy(value)


def _put(data: Data, path: str, value: Any) -> None:
    """Set the value at ``path``, making the sections on the way. UnsettableError where a value
    stands in the way, or a list has no such place and no next one."""
    *way, (leaf, position) = split_path(path) or []
    for name, number in way:
        data = _step(data, name, number)
    if position is None:
        data[leaf] = value
        return
    row = data.setdefault(leaf, [])
    if not isinstance(row, list) or position > len(row) + 1:
        raise UnsettableError
    row[position - 1 : position] = [value]


def _step(data: Data, name: str, number: int | None) -> Data:
    inner = data.setdefault(name, {} if number is None else [])
    if number is not None:
        if not isinstance(inner, list) or number > len(inner) + 1:
            raise UnsettableError
        if number == len(inner) + 1:
            inner.append({})
        inner = inner[number - 1]
    if not isinstance(inner, dict):
        raise UnsettableError
    return inner


def _take_out(data: Data, path: str) -> None:
    """Remove what stands at ``path``, if anything does."""
    *way, (leaf, position) = split_path(path) or []
    inner: Any = data
    for name, number in way:
        inner = inner.get(name) if isinstance(inner, dict) else None
        if number is not None:
            inner = inner[number - 1] if isinstance(inner, list) and number <= len(inner) else None
    if not isinstance(inner, dict):
        return
    if position is None:
        inner.pop(leaf, None)
    elif isinstance(inner.get(leaf), list):
        del inner[leaf][position - 1 : position]


def case_data(path: Path) -> tuple[Data, Written]:
    text = read_text(path)
    data = parse_text(text, printable(str(path)))
    return data, Written(path, text, scan_keys(text).lines)
