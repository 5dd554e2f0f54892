"""Rules of thumb held against the homes of a table."""

from __future__ import annotations

from tankful.batch.rules_file import Bound, Claim, Condition, Rule, RulesFile
from tankful.batch.values import Found, Reading, belongs, heater_of, parse
from tankful.errors import Fault
from tankful.model.currency import money
from tankful.model.rules import RuleResult, RulesReport, Verdict
from tankful.model.table import HomeRow, HomesTable

ROUNDING = 1e-9
"""A number this near a limit lies on it: prices are written in decimals."""


def rules_report(rules: RulesFile, table: HomesTable) -> RulesReport:
    """Every rule over every home of the table."""
    results = tuple(rule_result(rule, table) for rule in rules.rules)
    return RulesReport(rules.name, table, results)


def rule_result(rule: Rule, table: HomesTable) -> RuleResult:
    """One rule over the homes of the table."""
    meant = [home for home in table.homes if all(meets(part, home) for part in rule.when)]
    judged = [(home, verdict(rule.claim, home, table.currency)) for home in meant]
    return RuleResult(
        name=rule.name,
        words=rule.words,
        source=rule.source,
        verdicts=tuple(found for _, found in judged if found is not None),
        not_meant=len(table.homes) - len(meant),
        not_known=tuple(home.labels for home, found in judged if found is None),
        unit=_unit(rule.claim, table.currency),
    )


def meets(condition: Condition, home: HomeRow) -> bool:
    """Whether a home meets a condition; one that lacks the value does not."""
    found = _judged(condition, home)
    return found is not None and found[0]


def verdict(claim: Claim, home: HomeRow, currency: str) -> Verdict | None:
    """Whether a claim holds in a home; ``None`` where the home lacks what it is about."""
    if claim.value is None:
        return _cost_verdict(claim, home, currency)
    judged = _judged(claim, home)
    if judged is None:
        return None
    holds, room = judged
    found = _told(_value(claim, home), claim, currency)
    return Verdict(home.labels, holds, room, False, found)


def _cost_verdict(claim: Claim, home: HomeRow, currency: str) -> Verdict | None:
    """Of two costs, the claim's own must be the lower, or that of ``never_best`` the higher."""
    if claim.never_best is not None:
        dear = heater_of(home, claim.never_best)
        others = [option for option in home.options if not belongs(option, claim.never_best)]
        cheap = others[0] if others else None
    else:
        cheap = heater_of(home, claim.cheaper or "")
        dear = heater_of(home, claim.than or "")
    if cheap is None or dear is None:
        return None
    room = dear.cost - cheap.cost
    costs = [f"{option.label} {money(option.cost, currency)}" for option in (cheap, dear)]
    return Verdict(
        home.labels, room > 0.0, room, abs(room) <= home.tie_margin, " against ".join(costs)
    )


def _judged(bound: Bound, home: HomeRow) -> tuple[bool, float | None] | None:
    """Whether the value lies within every limit, and the least room to any."""
    value = _value(bound, home)
    if value is None:
        return None
    if isinstance(value, str):
        inside = bound.one_of is None or value in bound.one_of
        return inside and value not in (bound.none_of or ()), None
    rooms = []
    for key, limit in bound.limits.items():
        number = _read(limit, home) if isinstance(limit, str) else limit
        if not isinstance(number, float | int):
            return None
        room = value - number if key in ("above", "at_least") else number - value
        if abs(room) <= ROUNDING:
            room = 0.0
        rooms.append((room >= 0.0 if key.startswith("at_") else room > 0.0, room))
    return all(inside for inside, _ in rooms), min(room for _, room in rooms)


def _value(bound: Bound, home: HomeRow) -> Found:
    """The value of a bound, divided by ``over`` where that is given."""
    assert bound.value is not None  # the form's own rule
    value = _read(bound.value, home)
    if bound.over is None or value is None:
        return value
    over = _read(bound.over, home)
    if not isinstance(over, float | int) or not isinstance(value, float | int) or over == 0.0:
        return None
    return value / over


def _read(word: str, home: HomeRow) -> Found:
    return _reading(word).of(home)


def _reading(word: str) -> Reading:
    reading = parse(word, "")
    assert not isinstance(reading, Fault)  # the file was checked
    return reading


def _unit(claim: Claim, currency: str) -> str:
    """Unit of a claim's room: the currency, ``share``, ``times``, ..."""
    if claim.value is None:
        return currency
    if claim.over is not None:
        return "times"
    kind = _reading(claim.value).kind
    units = {"money": currency, "price": f"{currency}/kWh", "count": "", "text": ""}
    return units.get(kind, kind)


def _told(value: Found, claim: Claim, currency: str) -> str:
    if isinstance(value, str) or value is None:
        return str(value)
    return in_unit(value, _unit(claim, currency), currency)


def in_unit(value: float, unit: str, currency: str) -> str:
    """A number of a claim as people read it."""
    if unit == currency:
        return money(value, currency)
    if unit == f"{currency}/kWh":
        return f"{money(value, currency, decimals=3)} a kWh"
    if unit == "share":
        return f"{value:.1%}"
    if unit == "times":
        return f"{value:.2f} times"
    decimals = 0 if unit == "kWh" or abs(value) >= 100.0 else 1
    return f"{round(value, decimals) + 0.0:,.{decimals}f} {unit}".strip()
