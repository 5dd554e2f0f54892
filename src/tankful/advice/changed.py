"""What a later answer says otherwise than an earlier one of the same home, in sentences."""

from __future__ import annotations

from tankful.advice.wording import lead, money
from tankful.model.answer import Answer, OptionResult


def changed_best(before: Answer, now: Answer) -> str:
    """What a change of the case did to the first place; empty where it did nothing to it."""
    if _top(before) != _top(now):
        return f"This changes the answer. Before, {_lead(before)}."
    if len(now.tied) > 1 or len(before.options) < 2 or len(now.options) < 2:
        return ""
    if lead(before) == lead(now) or before.currency != now.currency:
        return ""
    return f"Before, {_lead(before)}."


def search_corrects(quick: Answer, whole: Answer) -> str:
    """Why the whole search puts another option first than the quick estimate did; empty where
    it does not."""
    if _top(quick) == _top(whole):
        return ""
    said = f"The quick estimate said otherwise: there, {_lead(quick)}."
    best = whole.best
    guess = next((option for option in quick.options if option.id == best.id), None)
    if guess is None or quick.best.id == best.id:
        return f"{said} The whole search is finer and tries every setting."
    return f"{said} {_gained(guess, best, whole)}"


def _gained(guess: OptionResult, best: OptionResult, whole: Answer) -> str:
    """What the search found for the option that it puts first."""
    gain = money(guess.net_present_cost - best.net_present_cost, whole.currency)
    if guess.choice.control == best.choice.control or guess.net_present_cost < (
        best.net_present_cost + 1.0
    ):
        return "With every option under its own best setting the order is another."
    return (
        f"The search tried {best.choice.tried} settings of {best.label} and found one that is "
        f"{gain} cheaper over {whole.horizon_years} years."
    )


def _top(answer: Answer) -> frozenset[str]:
    """The best, or those that tie."""
    return frozenset(option.id for option in answer.tied) | {answer.best.id}


def _lead(answer: Answer) -> str:
    """Who led and by how much, inside a sentence."""
    if len(answer.tied) > 1:
        names = "; ".join(option.label for option in answer.tied)
        return f"these tied within {money(answer.tie_margin, answer.currency)}: {names}"
    if len(answer.options) < 2:
        return f"the best was {answer.best.label}"
    ahead = money(lead(answer), answer.currency)
    return f"the best was {answer.best.label}, {ahead} ahead of the next"
