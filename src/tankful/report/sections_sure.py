"""How sure the answer is, and what could change it, on the first page."""

from __future__ import annotations

from tankful.model.answer import OptionResult
from tankful.model.runner_up import next_kind
from tankful.report.say import listed, said
from tankful.report.sections_doubt import (
    best_chance,
    crossing_text,
    lever_name,
    nearest_flips,
)
from tankful.report.subject import Subject, name_of
from tankful.report.words_of import say, section_words

LARGE = 5.0
"""A gain of so many tie margins may be large, a lead of two is clear (judgement)."""

LARGE_SHARE = 1 / 3
"""It is large only where it is such a share of what the other costs as well: less than that goes
where a heater fails some years early (judgement)."""
CLEAR = 2.0
COLD_SAID = 10
"""Fewer cold showers a year than this need no word on the first page (judgement)."""
ASSUMED_SAID = 3
FLIPS_SAID = 2
AGREED = 80
"""A lead is clear only where it holds in so many of 100 futures, if they were tried (judgement)."""


def sure_texts(subject: Subject) -> list[str]:
    answer, best, rival = subject.answer, subject.best, subject.rival
    texts = []
    following, chance = subject.next_best, best_chance(subject)
    if len(answer.tied) > 1:
        texts.append(say("sure.tie", money=subject.exact(answer.tie_margin), years=subject.years))
    elif following is None:
        return [say("sure.one_only")]
    else:
        texts += _lead(subject, following, None if chance is None else chance[0])
    if rival is not None and best is not subject.base and rival is not following:
        gain = rival.net_present_cost - best.net_present_cost
        share = gain / max(rival.net_present_cost, 1.0)
        large = gain >= LARGE * answer.tie_margin and share >= LARGE_SHARE
        key = "against_base" if large else "against_base_small"
        texts.append(say(f"sure.{key}", base=subject.rival_name))
    if chance is not None:
        texts.append(say("sure.futures", chance=chance[0], count=chance[1]))
    if best.sums.cold_draws >= COLD_SAID:
        texts.append(say("sure.cold", count=said(best.sums.cold_draws)))
    return texts


def _lead(subject: Subject, following: OptionResult, chance: int | None) -> list[str]:
    """How far the next is behind, and the next kind of heater where that one is the same machine.
    ``chance``: in how many of 100 futures the best is the best."""
    best = subject.best
    lead = following.net_present_cost - best.net_present_cost
    key = "small"
    if lead >= CLEAR * subject.answer.tie_margin:
        key = "clear" if chance is None or chance >= AGREED else "fair"
    money, name = subject.money(lead), name_of(following)
    texts = [say(f"sure.{key}", money=money, next=name, years=subject.years)]
    kind = next_kind(subject.answer)
    if kind is not None:
        gap = subject.money(kind.net_present_cost - best.net_present_cost)
        texts.append(say("sure.next_kind", money=gap, name=name_of(kind)))
    return texts


def change_texts(subject: Subject) -> list[str]:
    texts = []
    for flip, to in nearest_flips(subject)[:FLIPS_SAID]:
        texts.append(
            say("change.flip", what=lever_name(flip), text=crossing_text(subject, flip, to))
        )
    if not texts:
        texts += _price_change(subject)
    assumed = assumed_things(subject, ASSUMED_SAID)
    if assumed:
        texts.append(say("change.assumed", things=listed(assumed, say("page.and"))))
    return texts


def _price_change(subject: Subject) -> list[str]:
    """What quotes may change, where nothing else was tried or nothing else turned the answer."""
    facts, tied = subject.facts, subject.answer.tied
    if facts.flips is not None:
        return [say("flips.none")]
    if len(tied) > 1:
        return [_price_of_tied(subject)]
    turn = facts.price_turn
    if turn is None or turn.above is None:
        return []
    text = crossing_text(subject, turn, turn.above)
    return [say("change.flip", what=lever_name(turn), text=text)]


def _price_of_tied(subject: Subject) -> str:
    """What a quote for each of those that tie can tell: nothing where all cost the same."""
    tied = subject.answer.tied
    bought = {(option.heater.kind, round(option.upfront.total)) for option in tied}
    if len(bought) == 1:
        return say("change.price_tie_same", money=subject.exact(tied[0].upfront.total))
    listing = "; ".join(
        say(
            "change.price_tie_item", name=name_of(option), money=subject.exact(option.upfront.total)
        )
        for option in tied
    )
    return say("change.price_tie", list=listing)


def assumed_things(subject: Subject, count: int) -> list[str]:
    """What was not known and usually weighs most, in words."""
    kind = subject.best_part
    words = {path.replace("{kind}", kind): text for path, text in section_words("assumed").items()}
    open_paths = {item.path for item in subject.answer.assumptions}
    return [text for path, text in words.items() if path in open_paths][:count]
