"""Two cases of a client beside each other: what came of them, and what was entered otherwise."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from tankful.advice.headline import headline
from tankful.advice.versus import ruled_out, signed
from tankful.advice.wording import money
from tankful.casefile.differing import with_unit
from tankful.casefile.labels import signs
from tankful.casefile.naming import name_of
from tankful.desk.pictures.sheet import Picture, Sheet, picture, table
from tankful.desk.words import said
from tankful.model.answer import Answer, OptionResult
from tankful.model.versus import CasesCompared, Differing, OptionPair, Versus
from tankful.report.charts_pair import pair_chart
from tankful.report.document import Column, Spec, Table
from tankful.report.look import Room
from tankful.report.say import one_line

WHICH = ("First", "Second")
LONGEST = 36
"""Letters of a case's name in a legend."""
HEADS = ("Option", "Place, first", "Cost, first", "Place, second", "Cost, second", "Difference")
NOTE = (
    "Costs over the years in today's money; = is a tie. The difference is the second less the "
    "first: a minus is cheaper in the second."
)
COLD = "Behind the others, whatever it costs, stands what leaves too many showers cold (!)."


def pair_sheet(found: CasesCompared) -> Sheet:
    """What two cases come to: sentences, costs with their differences, what was entered
    otherwise."""
    versus = found.versus
    drawn = _bars(versus)
    entered = [_entered(item) for item in found.differing]
    return Sheet(
        lead=tuple(map(one_line, versus.sentences)),
        pictures=(drawn,) if drawn else (),
        sentences=tuple(map(one_line, (*ruled_out(versus), *versus.remarks))),
        tables=(
            _costs(versus),
            Table(
                tuple(Column(head, "left") for head in ("Field", *WHICH)),
                tuple(entered),
                caption="Entered differently",
            ),
        ),
        facts={
            "headlines": [[one_line(words) for words in headline(a)] for a in versus.answers],
            "years": [answer.horizon_years for answer in versus.answers],
            "notes": [NOTE, *([COLD] if any(map(_has_cold, versus.answers)) else [])],
        },
    )


def _has_cold(answer: Answer) -> bool:
    return any(not option.choice.usable for option in answer.options)


def _entered(item: Differing) -> tuple[str, ...]:
    """A field, and what each case says of it with its unit."""
    texts = (
        with_unit(said(item.path, text), signs(unit)) if text else "left open"
        for text, unit in zip(item.texts, item.units, strict=True)
    )
    return name_of(item.path), *texts


def _costs(versus: Versus) -> Table:
    tops = {option.id for answer in versus.answers for option in (answer.best, *answer.tied)}
    rows = [
        (
            one_line(pair.label),
            *_place_and_cost(pair.first, versus.first),
            *_place_and_cost(pair.second, versus.second),
            "–" if pair.gap is None else signed(pair.gap, versus.first.currency),
        )
        for pair in versus.pairs
    ]
    made = table("What each option costs", HEADS, rows)
    bold = tuple(i for i, pair in enumerate(versus.pairs) if pair.id in tops)
    return Table(made.columns, made.rows, bold=bold, caption=made.caption)


def _place_and_cost(option: OptionResult | None, answer: Answer) -> tuple[str, str]:
    if option is None:
        return "–", "–"
    sign = "=" if option.tied_with_best else "" if option.choice.usable else "!"
    return f"{option.rank}{sign}", money(option.net_present_cost, answer.currency)


def _bars(versus: Versus) -> Picture | None:
    """The options of both as bars; nothing where their costs cannot be held against each other."""
    currency = versus.first.currency
    names = _short_names([pair for pair in versus.pairs if pair.gap is not None])
    bars = [
        (names[pair.id], one.net_present_cost, other.net_present_cost, pair.gap)
        for pair in versus.pairs
        if (one := pair.first) and (other := pair.second) and pair.gap is not None
    ]
    if not bars:
        return None
    cases = tuple(map(_clipped, _called(versus)))
    most = max(bars, key=lambda bar: abs(bar[3]))
    title = f"The largest difference: {most[0]}, {signed(most[3], currency)}"
    if not most[3]:
        title = "No option costs another sum"

    def chart(room: Room) -> Spec:
        ended = [(*bar[:3], signed(bar[3], currency)) for bar in bars]
        return pair_chart(ended, (cases[0], cases[1]), currency=currency, room=room)

    return picture(
        "pair",
        title,
        chart,
        alt=f"Two bars for each of {len(bars)} options, its cost in the first case and in the "
        "second. The table above says them all.",
        tables=(),
        caption="The upper bar is the cost in the first case, the lower that in the second; at "
        "their ends stands the difference.",
    )


def _short_names(pairs: Sequence[OptionPair]) -> dict[str, str]:
    """Options by id without the names of quotes, where that still tells them apart."""
    plain = {pair.id: pair.label.partition(" (")[0] for pair in pairs}
    alike = Counter(plain.values())
    return {
        pair.id: one_line(plain[pair.id] if alike[plain[pair.id]] == 1 else pair.label)
        for pair in pairs
    }


def _called(versus: Versus) -> Iterator[str]:
    for which, name in zip(WHICH, versus.names, strict=True):
        yield f"{which}: {one_line(name)}"


def _clipped(name: str) -> str:
    """A name as long as a legend has room for."""
    return name if len(name) <= LONGEST else f"{name[: LONGEST - 1].rstrip()}…"
