"""What values say about each other: faults that stop a case, warnings that do not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path

from tankful.casefile.lines import line_of
from tankful.casefile.read import printable
from tankful.casefile.rule import Rule
from tankful.casefile.rules_bills import BILL_RULES, BILL_WARNINGS
from tankful.casefile.rules_heater import HEATER_RULES, HEATER_WARNINGS
from tankful.casefile.rules_place import PLACE_RULES
from tankful.casefile.rules_power import POWER_RULES, POWER_WARNINGS
from tankful.casefile.rules_quotes import QUOTE_RULES, QUOTE_WARNINGS
from tankful.casefile.rules_supply import SUPPLY_RULES, SUPPLY_WARNINGS
from tankful.errors import Fault
from tankful.model.case import Case

RULES = PLACE_RULES + HEATER_RULES + SUPPLY_RULES + POWER_RULES + QUOTE_RULES + BILL_RULES
WARNINGS = HEATER_WARNINGS + SUPPLY_WARNINGS + POWER_WARNINGS + QUOTE_WARNINGS + BILL_WARNINGS


def case_faults(
    case: Case, path: Path, lines: dict[str, int], broken: list[str]
) -> Iterator[Fault]:
    """Faults of a case in file ``path``; rules that rest on ``broken`` values are left out."""
    whole = (rule for rule in RULES if not rule.rests_on(broken))
    return _find(whole, case, path, lines)


def case_warnings(case: Case, path: Path, lines: dict[str, int]) -> Iterator[Fault]:
    """What deserves a second look in a sound case."""
    return _find(WARNINGS, case, path, lines)


def _find(rules: Iterable[Rule], case: Case, path: Path, lines: dict[str, int]) -> Iterator[Fault]:
    file = printable(str(path))
    for rule in rules:
        for fault in rule.find(case, path.parent):
            yield replace(fault, line=line_of(lines, fault.field), file=file)
