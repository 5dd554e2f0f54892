"""The answer in a few sentences."""

from __future__ import annotations

from tankful.advice.last_gas import last_gas_sentences
from tankful.advice.option import KEEP
from tankful.advice.panel_words import plain
from tankful.advice.wording import control_sentence, cost_gap, lead, money
from tankful.model.answer import Answer
from tankful.model.case import SOLAR_THERMAL
from tankful.model.quotes import QuotesCompared, QuoteStanding
from tankful.model.runner_up import next_kind


def headline(answer: Answer) -> tuple[str, str]:
    """What is best, or that several tie; and by how much, or how to choose."""
    if len(answer.tied) > 1:
        names = "; ".join(option.label for option in answer.tied)
        span = money(answer.tie_margin, answer.currency)
        choose = "Choose among them by what suits the home; the sums cannot tell."
        return f"A tie within {span}: {names}.", choose
    return f"Best: {answer.best.label}.", _ahead(answer)


def _ahead(answer: Answer) -> str:
    """By how much the best leads; what leaves showers cold stands behind it even where cheaper."""
    if len(answer.options) == 1:
        return "Nothing else fits the home."
    if answer.best.choice.usable and not answer.options[1].choice.usable:
        return "Every other option leaves more than a shower a week cold."
    margin = money(lead(answer), answer.currency)
    kind = next_kind(answer)
    if kind is None:
        return f"It is {margin} ahead of the next over {answer.horizon_years} years."
    further = money(cost_gap(kind.net_present_cost, answer.best.net_present_cost), answer.currency)
    return (
        f"Over {answer.horizon_years} years it is {margin} ahead of the next, which is the same "
        f"heater set another way, and {further} ahead of another kind of heater: "
        f"{plain(kind.label)}."
    )


def after_headline(answer: Answer) -> tuple[str, ...]:
    """How to run the best, what it saves against keeping today's heater, and how the quotes of
    one kind compare."""
    best = answer.best
    sentences = []
    if control_sentence(best, answer.currency):
        setting = best.choice.control.text(best.heater.kind)
        sentences.append(f"Run {_what_runs(answer)}: {setting}.")
    if cold_warning(answer):
        sentences.append(cold_warning(answer))
    keep = next((option for option in answer.options if option.id == KEEP), None)
    if keep is not None and best is not keep:
        gain = cost_gap(keep.net_present_cost, best.net_present_cost)
        effect = "saves" if gain >= 0 else "costs"
        more = "" if gain >= 0 else " more, but showers stay warm"
        sentences.append(
            f"Against keeping today's heater it {effect} {money(abs(gain), answer.currency)}"
            f"{more} over {answer.horizon_years} years."
        )
    sentences += [_quotes_sentence(kind, answer) for kind in answer.quotes if kind.standings[1:]]
    sentences += last_gas_sentences(answer)
    if with_panels(answer):
        sentences.append(with_panels(answer))
    return tuple(sentences)


def cold_warning(answer: Answer) -> str:
    """That the best leaves showers cold, and the cheapest that does not; empty where it keeps
    them warm, or nothing does."""
    best = answer.best
    warm = next((option for option in answer.options if option.choice.comfort_kept), None)
    if best.choice.comfort_kept or warm is None:
        return ""
    gap = cost_gap(warm.net_present_cost, best.net_present_cost)
    count = best.sums.cold_draws
    return (
        f"But {count} showers and baths a year come more than 2 degrees too cold; the cheapest "
        f"that keeps them warm is {warm.label}, {money(gap, answer.currency)} dearer."
    )


def _quotes_sentence(kind: QuotesCompared, answer: Answer) -> str:
    """How the quotes of one kind compare, each run at its best."""
    first, *others = kind.standings
    told = [f'"{other.name}" {_behind(other, first, answer)}' for other in others]
    alike = ""
    if kind.alike:
        apart = f"only {_all(kind.apart)} tell" if kind.apart else "nothing tells"
        alike = f" They were given the same assumed {_all(kind.alike)}: {apart} them apart."
    return (
        f'Of the quotes ({kind.words}) "{first.name}" is best over {answer.horizon_years} years; '
        f"{', '.join(told)}.{alike}"
    )


def _all(words: tuple[str, ...]) -> str:
    return " and ".join(part for part in (", ".join(words[:-1]), words[-1]) if part)


def _behind(other: QuoteStanding, first: QuoteStanding, answer: Answer) -> str:
    if first.usable and not other.usable:
        return "leaves more than a shower a week cold"
    gap = cost_gap(other.net_present_cost, first.net_present_cost)
    close = " (too close to tell)" if gap <= answer.tie_margin else ""
    return f"costs {money(gap, answer.currency)} more{close}" if gap else "costs the same"


def with_panels(answer: Answer) -> str:
    """That another heater is clearly best once new panels are bought; empty where none is."""
    study = answer.panels
    tied = {option.id for option in answer.tied} | {answer.best.id}
    if study is None or study.gain <= study.tie_margin or study.best.option_id in tied:
        return ""
    gain = money(study.gain, answer.currency)
    return (
        f"New panels would change the answer: {study.best.kw:g} kW and "
        f"{plain(study.best.label)} come {gain} cheaper together, the panels paid."
    )


def _what_runs(answer: Answer) -> str:
    """What the best option's setting is the setting of."""
    which = "the first" if answer.tied else "it"
    if answer.best.heater.kind in SOLAR_THERMAL:
        return f"the boost of {which}"
    return which
