"""The same home across places, people and tariffs, and rules of thumb held against it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, replace
from functools import partial
from pathlib import Path
from typing import Any

from tankful.advice.compare import Progress
from tankful.advice.option import Option
from tankful.advice.quick import on_long_step
from tankful.batch.plan import TablePlan, Written, load_plan
from tankful.batch.pool import mapped, processes_for, while_wanted
from tankful.batch.row import home_row
from tankful.batch.rules import rules_report
from tankful.batch.rules_file import RulesFile, load_rules
from tankful.batch.values import Reading, parse
from tankful.batch.vary import Variant, variants_of
from tankful.casefile.resolve import resolve
from tankful.errors import CaseError, Fault, TankfulError
from tankful.model.rules import RulesReport
from tankful.model.table import HomeRow, HomesTable
from tankful.service.homes import heater_today_w, silent, weigh

QUICK_TRIED = 12
"""Settings tried of each option in a quick table, spread over its list."""


def read_plan(path: Path) -> tuple[TablePlan, Written, tuple[Reading, ...]]:
    """The plan of a table and its columns. CaseError with every fault of the file itself."""
    plan, written = load_plan(path)
    return plan, written, columns_of(plan.columns, written)


def columns_of(texts: Sequence[str], written: Written) -> tuple[Reading, ...]:
    """The words of columns as readings. CaseError with every word that is none."""
    found = [parse(text, "columns") for text in texts]
    faults = [
        written.place(item, f"columns[{i}]")
        for i, item in enumerate(found, start=1)
        if isinstance(item, Fault)
    ]
    if faults:
        raise CaseError("The plan of the table needs mending.", faults)
    return tuple(item for item in found if isinstance(item, Reading))


def table_of_homes(
    plan: TablePlan,
    written: Written,
    *,
    quick: bool = False,
    progress: Progress = silent,
    processes: int | None = None,
) -> HomesTable:
    """Every home of the plan with its options weighed.

    A quick table is made on a longer step with fewer settings. CaseError, before any work, with
    every fault of every home; any TankfulError of the work itself names its home.
    """
    heads, variants = variants_of(plan, written)
    currencies = {variant.loaded.case.wishes.currency for variant in variants}
    if len(currencies) > 1:
        mend = "make a table for each of them"
        fault = Fault("wishes.currency", "differs", ", ".join(sorted(currencies)), mend=mend)
        raise CaseError("Money of several currencies cannot be compared.", [fault])
    rows = mapped(
        partial(row_of, quick=quick),
        variants,
        first=lambda variant: repr(variant.loaded.case.place),
        name=lambda variant: variant.text,
        progress=progress,
        processes=processes or processes_for(len(variants)),
    )
    horizons = {variant.loaded.case.wishes.horizon_years for variant in variants}
    return HomesTable(
        name=plan.name,
        currency=currencies.pop(),
        horizon_years=horizons.pop() if len(horizons) == 1 else None,
        heads=heads,
        homes=tuple(rows),
        quick=quick,
    )


def row_of(variant: Variant, *, quick: bool) -> HomeRow:
    """One home of a table."""
    loaded = on_long_step(variant.loaded) if quick else variant.loaded
    try:
        home = resolve(loaded, heater_series=heater_today_w)
        weighed = weigh(home, while_wanted, thinned if quick else lambda options: options)
    except TankfulError as error:
        error.message = f"{variant.text}: {error.message}"
        raise
    return home_row(variant.labels, weighed.comparison, weighed.results)


def thinned(options: tuple[Option, ...]) -> tuple[Option, ...]:
    """The options with few of their settings, spread over the list."""
    return tuple(
        replace(option, controls=option.controls[:: -(-len(option.controls) // QUICK_TRIED)])
        for option in options
    )


def table_as_json(table: HomesTable) -> dict[str, Any]:
    """The table as plain data, every option of every home."""
    return asdict(table)


def read_rules(path: Path) -> tuple[RulesFile, TablePlan, Written]:
    """Rules of thumb and the plan of the homes they are held against. CaseError with every
    fault of both."""
    return load_rules(path)


def hold_rules(
    rules: RulesFile,
    plan: TablePlan,
    written: Written,
    *,
    quick: bool = False,
    progress: Progress = silent,
    processes: int | None = None,
) -> RulesReport:
    """Every rule over every home of the plan; raises what ``table_of_homes`` raises."""
    made = table_of_homes(plan, written, quick=quick, progress=progress, processes=processes)
    return rules_report(rules, made)


def rules_as_json(report: RulesReport) -> dict[str, Any]:
    """The report as plain data: each rule with its verdicts, and the homes."""
    rules = [{**asdict(rule), "holds_in": rule.holding} for rule in report.rules]
    return {"name": report.name, "rules": rules, "table": table_as_json(report.table)}
