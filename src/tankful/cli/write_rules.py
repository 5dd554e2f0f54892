"""Rules of thumb and where they hold, in sentences: for the screen and as Markdown."""

from __future__ import annotations

from collections.abc import Iterator

from tankful.batch.rules import in_unit
from tankful.cli.write_table import escaped
from tankful.model.rules import RuleResult, RulesReport, Verdict

FAILS_TOLD = 6
"""Homes in which a rule fails, told one by one on the screen."""


def head_sentence(rule: RuleResult, homes: int) -> str:
    """In how many homes a rule holds, of those it speaks of."""
    count = len(rule.verdicts)
    if not count:
        return f"It speaks of none of the {homes} homes."
    sentence = f"Holds in {rule.holding} of {count} homes"
    parts = []
    close = sum(verdict.close for verdict in rule.verdicts)
    if close:
        parts.append(f"{close} of them too close to call")
    if rule.not_meant:
        parts.append(f"{rule.not_meant} more are not meant")
    if rule.not_known:
        parts.append(f"{len(rule.not_known)} more lack what it is about")
    return f"{sentence} ({'; '.join(parts)})." if parts else f"{sentence}."


def verdict_text(verdict: Verdict, rule: RuleResult, currency: str) -> str:
    """One home: its name, what was found, and by how much the rule holds or fails."""
    name = ", ".join(verdict.labels) or "the home"
    text = f"{name}: {verdict.found}"
    if verdict.room is not None:
        word = "holds" if verdict.holds else "fails"
        room = in_unit(abs(verdict.room), rule.unit, currency).removesuffix(" times")
        text += f"; {word} by {room}"
    return f"{text} (too close to call)" if verdict.close else text


def rule_lines(rule: RuleResult, currency: str, most: int) -> Iterator[tuple[str, str]]:
    """Where a rule fails, nearest to the border first, and where it barely holds: mark, text."""
    failing = rule.failing
    for verdict in failing[:most]:
        yield "-", f"fails in {verdict_text(verdict, rule, currency)}"
    if len(failing) > most:
        yield "-", f"and fails further in {len(failing) - most} more"
    if rule.barely is not None:
        yield "+", f"holds, nearest to the border, in {verdict_text(rule.barely, rule, currency)}"


def markdown_rules(report: RulesReport) -> str:
    """The whole report in Markdown, every home in which a rule fails."""
    lines = [f"## {escaped(report.name)}", "", escaped(homes_sentence(report))]
    currency = report.table.currency
    for rule in report.rules:
        lines += ["", f"### {escaped(rule.name)}", ""]
        lines += [f"{escaped(rule.words)} ({escaped(rule.source)})".strip(), ""]
        lines += [f"**{escaped(head_sentence(rule, len(report.table.homes)))}**", ""]
        lines += [
            f"- {escaped(text)}" for _, text in rule_lines(rule, currency, len(rule.verdicts))
        ]
    return "\n".join(lines).rstrip() + "\n"


def homes_sentence(report: RulesReport) -> str:
    """What the rules were held against."""
    table = report.table
    heads = ", ".join(head.lower() for head in table.heads)
    varied = f", varied by {heads}" if heads else ""
    quick = " Made quickly: estimates." if table.quick else ""
    return f"Held against {len(table.homes)} homes{varied}.{quick}"
