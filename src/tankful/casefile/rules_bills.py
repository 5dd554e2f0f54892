"""Rules of bills of use."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from itertools import pairwise
from pathlib import Path

from tankful.casefile.rule import Rule, rule
from tankful.errors import Fault
from tankful.model.bills import Bill
from tankful.model.case import BURNS_GAS, Case

LONGEST_DAYS = 400
SHORTEST_DAYS = 7
"""Shorter than a week says little, longer than a year is a slip (judgement)."""

MOST_MJ_PER_DAY = 2_000.0
MOST_KWH_PER_DAY = 200.0
"""No home uses so much in a day (judgement): more is a wrong unit or a reading of the meter."""


def _lists(case: Case) -> Iterator[tuple[str, tuple[Bill, ...]]]:
    yield "gas.bills", case.gas.bills
    yield "electricity.off_peak_bills", case.electricity.off_peak_bills
    yield "electricity.bills", case.electricity.bills


@rule("gas.bills", "electricity.off_peak_bills", "electricity.bills")
def bills_do_not_overlap(case: Case, folder: Path) -> Iterator[Fault]:
    for path, bills in _lists(case):
        numbered = sorted(enumerate(bills, start=1), key=lambda item: item[1].first)
        for (earlier, before), (i, bill) in pairwise(numbered):
            if bill.first <= before.last:
                yield Fault(
                    f"{path}[{i}].first",
                    f"bill {earlier} runs until {before.last}, so days are counted twice",
                    bill.first.isoformat(),
                    mend=f"begin this bill on {before.last + timedelta(days=1)}",
                )


@rule("gas.bills", "electricity.off_peak_bills", "electricity.bills")
def bills_are_as_long_as_bills(case: Case, folder: Path) -> Iterator[Fault]:
    for path, bills in _lists(case):
        for i, bill in enumerate(bills, start=1):
            if not SHORTEST_DAYS <= bill.days <= LONGEST_DAYS:
                yield Fault(
                    f"{path}[{i}].last",
                    f"this bill spans {bill.days} days",
                    bill.last.isoformat(),
                    f"{SHORTEST_DAYS} to {LONGEST_DAYS} days",
                    "check the year of both days",
                )


@rule("gas.bills", "electricity.off_peak_bills", "electricity.bills")
def bills_are_of_one_home(case: Case, folder: Path) -> Iterator[Fault]:
    for i, gas in enumerate(case.gas.bills, start=1):
        name, amount = ("mj", gas.mj) if gas.mj is not None else ("kwh", gas.kwh or 0.0)
        most = MOST_MJ_PER_DAY if name == "mj" else MOST_MJ_PER_DAY / 3.6
        yield from _too_much(f"gas.bills[{i}].{name}", amount, gas.days, most)
    for i, bill in enumerate(case.electricity.off_peak_bills, start=1):
        path = f"electricity.off_peak_bills[{i}].kwh"
        yield from _too_much(path, bill.kwh, bill.days, MOST_KWH_PER_DAY)
    for i, use in enumerate(case.electricity.bills, start=1):
        yield from _too_much(f"electricity.bills[{i}].kwh", use.kwh, use.days, MOST_KWH_PER_DAY)


def _too_much(path: str, amount: float, days: int, most: float) -> Iterator[Fault]:
    if amount > most * days:
        yield Fault(
            path,
            f"{amount / days:,.0f} a day is more than a home can use",
            f"{amount:g}",
            f"at most {most:,.0f} a day",
            "give what was used, not the reading of the meter, and check the unit",
        )


@rule("gas.bills", "electricity.off_peak_bills", "heater", "people.pattern")
def bills_hold_the_heater(case: Case, folder: Path) -> Iterator[Fault]:
    """Bills from which nothing can be learnt about today's heater."""
    heater, power = case.heater, case.electricity
    if case.gas.bills and heater.kind not in BURNS_GAS:
        yield _unused("gas.bills", "today's heater burns no gas `by the case|as described`")
    elif case.gas.bills and heater.kind not in ("gas_storage", "gas_continuous"):
        yield _unused("gas.bills", "how much the sun gave is not in them")
    if power.off_peak_bills and heater.kind != "electric_storage":
        yield _unused("electricity.off_peak_bills", "they are read for electric tanks only")
    elif power.off_peak_bills and heater.control != "off_peak":
        mend = (
            '`write control = "off_peak" under [heater]|set <heater.control> to “on the off-peak '
            "circuit”` if it hangs on that circuit"
        )
        words = "today's heater is not on the off-peak circuit `by the case|as described`"
        yield _unused("electricity.off_peak_bills", words, mend)
    if (case.gas.bills or power.off_peak_bills) and case.people.pattern != "household":
        mend = '`write pattern = "household"` to use them, or remove them'
        yield _unused("people.pattern", "a standard day stands in for the people", mend)


def _unused(path: str, why: str, mend: str = "remove them, or correct the heater") -> Fault:
    return Fault(path, f"the bills are not used: {why}", mend=mend)


BILL_RULES: tuple[Rule, ...] = (
    bills_do_not_overlap,
    bills_are_as_long_as_bills,
    bills_are_of_one_home,
)
BILL_WARNINGS: tuple[Rule, ...] = (bills_hold_the_heater,)
