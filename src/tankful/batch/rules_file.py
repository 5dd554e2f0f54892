"""Rules of thumb as a TOML file: words, a condition and a claim, from a fixed set of forms."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Self

from pydantic import Field, model_validator

from tankful.batch.plan import TablePlan, Texts, Written, load_plan, read_file
from tankful.batch.values import heater_fault, parse
from tankful.errors import CaseError, Fault
from tankful.model.fields import Table, UnfitError, Words, field

NUMBERS = ("above", "below", "at_least", "at_most")
WHAT = "The file of rules"

Limit = float | Words | None


class Bound(Table):
    """A value and where it must lie: as a number, against another value, or among texts."""

    value: Words | None = field(None, about='a word of the table, such as "feed-in"')
    over: Words | None = field(None, about="another word, to divide the value by")
    above: Limit = field(None, about="more than this number or word")
    below: Limit = field(None, about="less than this number or word")
    at_least: Limit = field(None, about="this number or word, or more")
    at_most: Limit = field(None, about="this number or word, or less")
    one_of: Texts | None = field(None, about="one of these texts")
    none_of: Texts | None = field(None, about="none of these texts")

    @property
    def limits(self) -> dict[str, float | str]:
        """The limits given, by their key."""
        found = {key: getattr(self, key) for key in NUMBERS}
        return {key: limit for key, limit in found.items() if limit is not None}

    @model_validator(mode="after")
    def _limited(self) -> Self:
        texts = self.one_of is not None or self.none_of is not None
        if self.value is not None and texts == bool(self.limits):
            raise UnfitError(
                "says not where the value must lie",
                f"give {', '.join(NUMBERS)} for a number, one_of or none_of for a text",
            )
        return self


class Condition(Bound):
    """When a rule speaks of a home."""

    @model_validator(mode="after")
    def _of_a_value(self) -> Self:
        if self.value is None:
            raise UnfitError("has no value", 'write { value = "feed-in", above = 0.15 }')
        return self


class Claim(Bound):
    """What a rule says: where a value lies, which of two is cheaper, or what is never best."""

    cheaper: Words | None = field(None, about='heaters, such as "heat pump"')
    than: Words | None = field(None, about="heaters that cost more over the years")
    never_best: Words | None = field(None, about="heaters that others always beat")

    @model_validator(mode="after")
    def _one_claim(self) -> Self:
        given = [self.value, self.cheaper, self.never_best]
        if sum(item is not None for item in given) != 1 or (self.cheaper is None) != (
            self.than is None
        ):
            raise UnfitError(
                "is not exactly one claim",
                "give value with its limits, or cheaper and than, or never_best",
            )
        return self


class Rule(Table):
    """A rule of thumb."""

    name: Words = field(about="what the rule is called")
    words: Words = field("", about="the rule as people say it")
    source: Words = field("no source given", about="where it comes from")
    when: Annotated[tuple[Condition, ...], Field(strict=False, max_length=20)] = field(
        (), about="conditions that a home must meet, all of them"
    )
    claim: Claim = field(about="what the rule says of such a home")


class RulesFile(Table):
    """Rules, and the homes they are held against."""

    name: Words = field("Rules of thumb", about="title of the report")
    table_file: Words | None = field(None, about="plan of a table, relative to this file")
    table: TablePlan | None = field(None, about="plan of a table written here")
    rules: Annotated[tuple[Rule, ...], Field(strict=False, min_length=1, max_length=100)] = field(
        about="the rules"
    )

    @model_validator(mode="after")
    def _one_table(self) -> Self:
        if (self.table_file is None) == (self.table is None):
            raise UnfitError(
                "rules need the homes of one table",
                'give table_file = "plan.toml", or write the plan in a section [table]',
            )
        return self


def load_rules(path: Path) -> tuple[RulesFile, TablePlan, Written]:
    """Read rules and the plan of their homes. CaseError with every fault of both."""
    rules, written = read_file(path, RulesFile, WHAT)
    faults = [written.place(fault, at) for at, fault in _word_faults(rules)]
    plan, plan_written = rules.table, replace(written, prefix="table")
    if rules.table_file is not None:
        try:
            plan, plan_written = load_plan(path.parent / rules.table_file)
        except CaseError as error:
            faults += error.faults
    if faults or plan is None:
        raise CaseError(f"{WHAT} needs mending.", faults)
    return rules, plan, plan_written


def _word_faults(rules: RulesFile) -> Iterator[tuple[str, Fault]]:
    """Where each unknown word stands, and what is wrong with it."""
    for i, rule in enumerate(rules.rules, start=1):
        for j, condition in enumerate(rule.when, start=1):
            at = f"rules[{i}].when[{j}]"
            yield from ((at, fault) for fault in _bound_faults(condition, at))
        at = f"rules[{i}].claim"
        yield from ((at, fault) for fault in _bound_faults(rule.claim, at))
        for key in ("cheaper", "than", "never_best"):
            heater = getattr(rule.claim, key)
            if heater is not None and heater != "best":
                fault = heater_fault(heater, f"{at}.{key}")
                if fault is not None:
                    yield at, fault
            elif heater == "best":
                mend = "name the heaters that are meant"
                yield at, Fault(f"{at}.{key}", "the best is none of its own", mend=mend)


def _bound_faults(bound: Bound, at: str) -> Iterator[Fault]:
    texts = bound.one_of is not None or bound.none_of is not None
    words = {"value": bound.value, "over": bound.over}
    words |= {key: limit for key, limit in bound.limits.items() if isinstance(limit, str)}
    for key, word in words.items():
        if word is None:
            continue
        reading = parse(word, f"{at}.{key}")
        if isinstance(reading, Fault):
            yield reading
        elif (reading.kind == "text") != texts:
            need = "text" if texts else "number"
            mend = (
                "compare numbers with above, below, at_least, at_most, texts with one_of, none_of"
            )
            yield Fault(f"{at}.{key}", f"is no {need}", word[:60], mend=mend)
