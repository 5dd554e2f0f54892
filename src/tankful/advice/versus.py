"""Two answers beside each other: two states of a home, or two homes."""

from __future__ import annotations

from tankful.advice.wording import cost_gap, money
from tankful.model.answer import Answer, OptionResult
from tankful.model.versus import OptionPair, Versus

WHOSE = (
    "A cost is what heating water adds to the bills over the years, with its own equipment. "
    "What else sets the two apart, such as the price of a battery or of panels for the house, "
    "is not in it."
)


def versus(first: Answer, second: Answer, names: tuple[str, str]) -> Versus:
    """Set two answers beside each other; ``names`` is what the words call them."""
    apart = _not_subtracted(first, second, names)
    ids = {option.id: None for answer in (first, second) for option in answer.options}
    pairs = tuple(_pair(name, first, second, subtracts=not apart) for name in ids)
    gap = () if apart else (_gap_of_the_best(first, second, names),)
    return Versus(
        names=names,
        first=first,
        second=second,
        pairs=pairs,
        best_changes=not _top(first) & _top(second),
        sentences=(_best_in_both(first, second, names, pairs), *gap),
        remarks=(*apart, *_other_days(first, second, names), WHOSE),
    )


def _not_subtracted(first: Answer, second: Answer, names: tuple[str, str]) -> tuple[str, ...]:
    """Why the costs of the one cannot be taken from those of the other; empty where they can."""
    one, other = names
    why = []
    if first.currency != second.currency:
        why.append(
            f'"{one}" counts in {first.currency} and "{other}" in {second.currency}: their costs '
            "cannot be subtracted."
        )
    if first.horizon_years != second.horizon_years:
        why.append(
            f'"{one}" counts {first.horizon_years} years and "{other}" {second.horizon_years}: '
            "their costs cannot be subtracted. Give both the same years to see the difference."
        )
    return tuple(why)


def _other_days(first: Answer, second: Answer, names: tuple[str, str]) -> tuple[str, ...]:
    """That the two are advice of different days."""
    if first.as_of == second.as_of:
        return ()
    days = [f"{answer.as_of:%-d %B %Y}" for answer in (first, second)]
    return (
        f'"{names[0]}" is advice of {days[0]} and "{names[1]}" of {days[1]}. Certificates and '
        "contracts count from those days and money is that of the day, so that a part of any "
        "difference may come from the day alone.",
    )


def _pair(name: str, first: Answer, second: Answer, *, subtracts: bool) -> OptionPair:
    """An option of one of the answers at least, in both."""
    one, other = (_option(answer, name) for answer in (first, second))
    found = one or other
    assert found is not None
    if one and other:
        gap = cost_gap(other.net_present_cost, one.net_present_cost) if subtracts else None
        return OptionPair(name, _label_of_both(one, other), one, other, gap, "")
    return OptionPair(name, found.label, one, other, None, _why_out(second if one else first, name))


def _option(answer: Answer, name: str) -> OptionResult | None:
    return next((option for option in answer.options if option.id == name), None)


def _why_out(answer: Answer, name: str) -> str:
    """Why an answer rules an option out, by itself or with all of its kind."""
    kinds = (item for item in answer.excluded if f"{name}-".startswith(f"{item.id}-"))
    return next((item.reason for item in kinds), "")


def _label_of_both(one: OptionResult, other: OptionResult) -> str:
    """The option's name; where they buy by different quotes, with the quotes of both."""
    (plain, quote), (other_plain, other_quote) = _split(one.label), _split(other.label)
    if one.label == other.label:
        return one.label
    if plain != other_plain:
        return f"{one.label} (in the second: {other.label})"
    return f"{plain} (first: {quote or 'no quote'}; second: {other_quote or 'no quote'})"


def _split(label: str) -> tuple[str, str]:
    """An option's name without quotes, and the names of these."""
    plain, _, quotes = label.partition(" (")
    return plain, quotes.removesuffix(")")


def _top(answer: Answer) -> frozenset[str]:
    """The best, or those that tie."""
    return frozenset(option.id for option in answer.tied) | {answer.best.id}


def _best_in_both(
    first: Answer, second: Answer, names: tuple[str, str], pairs: tuple[OptionPair, ...]
) -> str:
    """Whether the best changes."""
    top, other_top = _top(first), _top(second)
    shared = [pair.label for pair in pairs if pair.id in top & other_top]
    if not shared:
        told = (f'In "{name}": {_best(a)}.' for name, a in zip(names, (first, second), strict=True))
        return f"The best changes. {' '.join(told)}"
    if len(top) == len(other_top) == 1:
        return f"The best stays the same: {shared[0]}."
    if top == other_top:
        return f"The same tie in both: {'; '.join(shared)}."
    kind = "is" if len(shared) == 1 else "are:"
    return f"The best does not clearly change. At the top of both {kind} {'; '.join(shared)}."


def _best(answer: Answer) -> str:
    """The best, or those that tie."""
    if len(answer.tied) > 1:
        return f"a tie of {'; '.join(option.label for option in answer.tied)}"
    return answer.best.label


def _gap_of_the_best(first: Answer, second: Answer, names: tuple[str, str]) -> str:
    """What the best costs in the one and in the other; where several tie, the first of them."""
    gap = cost_gap(second.best.net_present_cost, first.best.net_present_cost)
    was, now = (money(a.best.net_present_cost, a.currency) for a in (first, second))
    same = first.best.id == second.best.id
    who = "it" if same and not first.tied and not second.tied else "the best"
    years = f"Over {first.horizon_years} years {who} costs"
    if not gap:
        return f"{years} the same in both, {was}."
    way = "more" if gap > 0 else "less"
    amount = money(abs(gap), first.currency)
    return f'{years} {amount} {way} in "{names[1]}": {now}, against {was} in "{names[0]}".'


def ruled_out(found: Versus) -> tuple[str, ...]:
    """Why an option is in one of the two alone, where its absence has a reason."""
    return tuple(
        f"{pair.label} is ruled out in the {'second' if pair.first else 'first'}: "
        f"{pair.why_missing}."
        for pair in found.pairs
        if pair.why_missing
    )


def signed(gap: int, currency: str) -> str:
    """A difference with its sign: ``+$350``, ``-$40``, ``$0``."""
    return f"{'+' if gap > 0 else ''}{money(gap, currency)}"
