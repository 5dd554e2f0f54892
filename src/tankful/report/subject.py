"""What the sections share: who is compared with whom, and how names and sums are said."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate

from tankful.model.answer import Answer, Caution, OptionResult
from tankful.model.currency import money
from tankful.model.report_facts import ReportFacts
from tankful.report.look import DEFAULT_ACCENT
from tankful.report.say import one_line, said_money
from tankful.report.words_of import say

BASES = ("keep", "electric-always")
"""What the best is measured against: today's heater, or a plain tank where none is."""


@dataclass(frozen=True, eq=False)
class Subject:
    """The facts with the comparison that every section makes."""

    facts: ReportFacts
    accent: str = DEFAULT_ACCENT

    @property
    def answer(self) -> Answer:
        return self.facts.answer

    @property
    def best(self) -> OptionResult:
        return self.answer.best

    @property
    def years(self) -> int:
        return self.answer.horizon_years

    @cached_property
    def base(self) -> OptionResult:
        """What paybacks are measured against; may be the best itself."""
        return base_of(self.answer)

    @cached_property
    def next_best(self) -> OptionResult | None:
        """The first choice behind the best one, or behind those that tie with it."""
        tied = self.answer.tied
        others = [o for o in self.answer.options if o is not self.best and o not in tied]
        if not others and len(self.answer.options) > 1:
            return self.answer.options[1]
        return others[0] if others else None

    @property
    def rival(self) -> OptionResult | None:
        """What the best is set against in pictures: the base, or the next choice if it is that."""
        return self.next_best if self.base is self.best else self.base

    @property
    def rival_name(self) -> str:
        """The rival in the middle of a sentence."""
        if self.base is self.best:
            return say("page.the_next")
        return say("page.today_heater" if self.base.id == BASES[0] else "page.plain_tank")

    @property
    def rival_line(self) -> str:
        """The rival as a label."""
        rival = self.rival
        if rival is None or self.base is self.best:
            return one_line(rival.label) if rival else ""
        return say("page.keeping_today" if rival.id == BASES[0] else "page.plain_tank_line")

    @property
    def best_part(self) -> str:
        """The kind of the best option's heater; where several are quoted for, which of them."""
        kind = self.best.heater.kind
        quoted = [s for each in self.answer.quotes if each.family == kind for s in each.standings]
        return next((each.part for each in quoted if each.option_id == self.best.id), kind)

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """Those that concern the best choice, or those that tie with it."""
        return self.answer.cautions_of(self.best.id, *(o.id for o in self.answer.tied))

    def money(self, amount: float) -> str:
        """Money as people say it."""
        return said_money(amount, self.answer.currency)

    def exact(self, amount: float) -> str:
        """Money to the whole unit."""
        return money(amount, self.answer.currency)

    def is_top(self, option: OptionResult) -> bool:
        """Among the best: the first, or tied with it."""
        return option is self.best or option.tied_with_best


def base_of(answer: Answer) -> OptionResult:
    """What the options of an answer are measured against."""
    found = (option for name in BASES for option in answer.options if option.id == name)
    return next(found, answer.options[-1])


def name_of(option: OptionResult) -> str:
    """An option's name on one line."""
    return one_line(option.label)


def paid_sums(option: OptionResult) -> list[float]:
    """Money paid from the start to each year, without what is still of worth at the end."""
    return list(accumulate(cost.total - cost.residual for cost in option.costs))
