"""A table's plan to its homes: every combination of the variations, checked as cases."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from copy import deepcopy
from dataclasses import dataclass, replace
from itertools import product
from pathlib import Path

from tankful.batch.plan import TablePlan, Variation, Written
from tankful.batch.setting import Data, Setting, UnsettableError, case_data, setting_of
from tankful.casefile.load import LoadedCase, check_data
from tankful.errors import CaseError, Fault, PlaceError
from tankful.site.place import find_place

HOMES_NAMED = 3
"""A fault of several homes names so many of them."""


@dataclass(frozen=True)
class Variant:
    """One home of a table, sound and named."""

    labels: tuple[str, ...]
    loaded: LoadedCase

    @property
    def text(self) -> str:
        return ", ".join(self.labels) or self.loaded.case.name


@dataclass(frozen=True)
class Base:
    """The base case as plain data, the file it stands in, and the lines of its keys."""

    data: Data
    written: Written
    case_path: Path


def variants_of(plan: TablePlan, written: Written) -> tuple[tuple[str, ...], tuple[Variant, ...]]:
    """Heads of the variations, and every home. CaseError with every fault of every home."""
    base = _base(plan, written)
    faults: list[Fault] = []
    axes = [*_places(plan, base, written, faults)]
    heads = ["Place"] if axes else []
    for number, variation in enumerate(plan.vary, start=1):
        axes.append(_settings(variation, f"vary[{number}]", written, faults))
        heads.append(_head(variation))
    if faults:
        raise CaseError("The plan of the table needs mending.", faults)
    return tuple(heads), _checked(axes, base, written)


def _head(variation: Variation) -> str:
    if variation.name:
        return variation.name
    if variation.path:
        return variation.path.rpartition(".")[2].replace("_", " ").capitalize()
    return "Plan" if variation.plans else "Home"


def _base(plan: TablePlan, written: Written) -> Base:
    if plan.case is not None:
        inner = f"{written.prefix}.case" if written.prefix else "case"
        start = f"{inner}."
        lines = {
            path.removeprefix(start): line
            for path, line in written.lines.items()
            if path.startswith(start)
        }
        return Base(plan.case, replace(written, lines=lines, prefix=""), written.path)
    assert plan.case_file is not None  # the plan's own rule
    data, case_written = case_data(written.path.parent / plan.case_file)
    return Base(data, case_written, case_written.path)


def _places(
    plan: TablePlan, base: Base, written: Written, faults: list[Fault]
) -> Iterator[list[Setting]]:
    """The places as a first variation; nothing where the plan names none."""
    if plan.places is None:
        return
    given = base.data.get("place")
    for key in ("weather_file", "cold_water_c"):
        if isinstance(given, dict) and key in given:
            mend = "take it out of the base case, or give no places"
            fault = Fault(f"place.{key}", "belongs to one place, and the places differ", mend=mend)
            faults.append(base.written.place(fault, fault.field))
    settings = []
    for name, postcode in plan.postcodes:
        try:
            name = name or f"{find_place(postcode).name} {postcode}"
        except PlaceError as error:
            for fault in error.faults:
                faults.append(written.place(replace(fault, field="places"), "places"))
            continue
        settings.append(Setting(name, _sets_place(postcode), ("place",), "places"))
    yield settings


def _sets_place(postcode: str) -> Callable[[Data], None]:
    def apply(data: Data) -> None:
        data["place"] = {"postcode": postcode}

    return apply


def _settings(
    variation: Variation, at: str, written: Written, faults: list[Fault]
) -> list[Setting]:
    settings = []
    for i in range(variation.count):
        try:
            settings.append(setting_of(variation, i, at, written))
        except CaseError as error:
            faults += [fault for fault in error.faults if fault not in faults]
    return settings


def _checked(axes: list[list[Setting]], base: Base, written: Written) -> tuple[Variant, ...]:
    """Every combination as a sound case; CaseError with what is wrong in any."""
    variants: list[Variant] = []
    found: dict[tuple[Fault, str], list[str]] = {}
    alike: Counter[str] = Counter()
    for settings in product(*axes):
        alike.update(["", *(setting.at for setting in settings)])
        labels = tuple(setting.label for setting in settings)
        try:
            variants.append(Variant(labels, _loaded(settings, base, written)))
        except (CaseError, PlaceError) as error:
            for fault in error.faults:
                at = _blamed(fault, settings, base)
                placed = written.place(fault, at) if at else fault
                found.setdefault((placed, at), []).append(", ".join(labels))
    if found:
        faults = [
            fault if len(homes) == alike[at] else _with_homes(fault, homes)
            for (fault, at), homes in found.items()
        ]
        raise CaseError("Not every home of the table is sound.", faults)
    return tuple(variants)


def _loaded(settings: tuple[Setting, ...], base: Base, written: Written) -> LoadedCase:
    data = deepcopy(base.data)
    for setting in settings:
        try:
            setting.apply(data)
        except UnsettableError:
            path = setting.touches[0]
            mend = "check the path, and count list entries from 1"
            fault = Fault(path, "nothing can be set there", mend=mend)
            raise CaseError("A path leads nowhere.", [fault]) from None
    loaded = check_data(data, base.case_path, base.written.text, base.written.lines)
    postcode = loaded.case.place.postcode
    if postcode is not None:
        try:
            find_place(postcode)
        except PlaceError as error:
            faults = [replace(fault, field=f"place.{fault.field}") for fault in error.faults]
            raise PlaceError(error.message, faults) from None
    return loaded


def _blamed(fault: Fault, settings: tuple[Setting, ...], base: Base) -> str:
    """Where the setting stands that brought the fault; empty where the base case did."""
    for setting in reversed(settings):
        for path in setting.touches:
            if fault.field == path or fault.field.startswith((f"{path}.", f"{path}[")):
                return setting.at
            brought = fault.field and fault.field not in base.written.lines
            if brought and path.startswith((f"{fault.field}.", f"{fault.field}[")):
                return setting.at
    return ""


def _with_homes(fault: Fault, homes: list[str]) -> Fault:
    """A fault that only some of the homes have, with their names."""
    more = len(homes) - HOMES_NAMED
    tail = f" and {more} more" if more > 0 else ""
    named = "; ".join(homes[:HOMES_NAMED])
    return replace(fault, problem=f"{fault.problem}, in {named}{tail}")
