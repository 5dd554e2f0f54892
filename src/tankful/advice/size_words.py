"""Sizes in plain words: why this size, how it copes, what the next one would change."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from tankful.advice.option import KEEP
from tankful.advice.wording import money
from tankful.model.answer import OptionResult
from tankful.model.sizing import OtherSize, Sizing, WorstWeek


def week_sentence(week: WorstWeek) -> str:
    """What the hardest week asks of any heater."""
    showers = _count(week.peak_showers, "shower or bath", "showers and baths")
    return (
        f"The hardest week ({_span(week.first, week.last)}) asks for {week.heat_kwh:.0f} kWh of "
        f"heat with cold water of {week.cold_c:.0f} degC, and at most {week.peak_l:.0f} L of warm "
        f"water in two hours ({showers} among it)."
    )


def size_sentence(option: OptionResult, currency: str) -> str:
    """One option's size, its reason and its test; empty without a tank."""
    sizing = option.sizing
    if sizing is None:
        return ""
    return " ".join(
        part
        for part in (
            f"{_chosen(sizing)}; {_rule(sizing)}.",
            f"In that week {_week(sizing)}; {_recovery(sizing)}{_running(sizing)}.",
            _verdict(sizing, currency),
        )
        if part
    )


def size_lines(options: Sequence[OptionResult], currency: str) -> list[tuple[str, str]]:
    """Label and sentence of the best option, its ties and what is there today, and of every
    other tank that is small or ample, each tank once."""
    seen: set[tuple[str, float, float]] = set()
    lines = []
    for i, option in enumerate(options):
        key = (option.heater.kind, option.heater.tank_l, option.heater.boost_element_w)
        told = i == 0 or option.tied_with_best or option.id == KEEP
        if option.sizing is None or key in seen or not (told or option.sizing.verdict != "right"):
            continue
        seen.add(key)
        lines.append((option.label, size_sentence(option, currency)))
    return lines


def _chosen(sizing: Sizing) -> str:
    who = {
        "today": "as it is today",
        "quote": "as quoted",
        "people": f"the usual size for {_count(sizing.people, 'person', 'people')}",
    }[sizing.chosen_by]
    area = "" if sizing.collector_m2 is None else f" with {sizing.collector_m2:g} m2 of collectors"
    return f"{sizing.tank_l:g} L{area}, {who}"


def _rule(sizing: Sizing) -> str:
    if sizing.bridges == "day":
        return f"a day of the hardest week takes {sizing.rule_l:.0f} L"
    return f"the largest two hours take {sizing.rule_l:.0f} L beside what it heats meanwhile"


def _week(sizing: Sizing) -> str:
    if sizing.cold_draws_week == 0:
        return "no shower runs cold"
    cold = _count(sizing.cold_draws_week, "shower or bath runs", "showers and baths run")
    return f"{cold} cold and {sizing.coverage:.1%} of the heat comes warm enough"


def _recovery(sizing: Sizing) -> str:
    if sizing.recovery_h is None:
        return "the tank does not recover within a week from the largest two hours"
    return f"the tank is hot again {sizing.recovery_h:.0f} h after the largest two hours"


def _running(sizing: Sizing) -> str:
    if sizing.run_h_per_day is None:
        return ""
    share = sizing.collector_share
    sun = "" if share is None else f", the collectors bring {share:.0%} of the heat"
    return f"; {sizing.power_kw:.1f} kW of heat run {sizing.run_h_per_day:.1f} h a day{sun}"


def _verdict(sizing: Sizing, currency: str) -> str:
    words = {"ample": "Ample", "right": "The right size", "small": "Small"}[sizing.verdict]
    cold = f"{_count(sizing.cold_draws, 'cold shower', 'cold showers')} a year"
    year = f"{words}: {cold if sizing.cold_draws else 'no cold shower all year'}"
    if sizing.other is None:
        return f"{year}."
    return f"{year}; {_other(sizing.other, currency)}."


def _other(other: OtherSize, currency: str) -> str:
    cost = money(abs(other.year_one_change), currency)
    dearer = "more" if other.year_one_change >= 0.0 else "less"
    return (
        f"with {other.tank_l:g} L about {other.cold_draws}, and {cost} a year {dearer} for energy"
    )


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"


def _span(first: date, last: date) -> str:
    month = "" if first.month == last.month else f" {first:%B}"
    return f"{first.day}{month} to {last.day} {last:%B}"
