"""Two answers beside each other: the differences are those of the tables, and words fit them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from tankful.advice.versus import signed, versus
from tankful.advice.wording import money
from tankful.casefile.differing import differing
from tankful.casefile.load import check_text
from tankful.casefile.typed import Typed, typed_of_toml
from tankful.model.answer import Answer, Excluded
from tankful.model.versus import Versus
from tankful.service import study_case

HOURLY = 'as_of = 2026-11-25\n[simulation]\nstep_min = 60\n[place]\npostcode = "2600"\n'
NAMES = ("before", "after")


@pytest.fixture(scope="module")
def answer() -> Answer:
    """A quick answer of a small home, without ties, its best 500 ahead."""
    found = study_case(check_text(HOURLY, Path("case.toml")), known={}).answer
    return led(found, by=500.0)


def led(answer: Answer, *, by: float, first: int = 0) -> Answer:
    """The answer with one of its options ahead of the others, and no ties."""
    options = [replace(option, tied_with_best=False) for option in answer.options]
    best = options.pop(first)
    best = replace(best, net_present_cost=options[0].net_present_cost - by)
    return replace(answer, options=(best, *options), margin=by)


def dearer(answer: Answer, by: float) -> Answer:
    """The answer with every option dearer."""
    options = (replace(o, net_present_cost=o.net_present_cost + by) for o in answer.options)
    return replace(answer, options=tuple(options))


def shown(amount: float) -> int:
    """What a table shows of an amount, as a number."""
    return int(money(amount, "AUD").replace("$", "").replace(",", ""))


def said(found: Versus) -> str:
    return " ".join((*found.sentences, *found.remarks))


def test_each_difference_is_that_of_the_costs_as_they_are_shown(answer: Answer) -> None:
    """Half dollars would round apart if the costs were subtracted before they are rounded."""
    for by in (0.0, 0.4, 0.5, 0.6, -310.5, 1234.5):
        found = versus(answer, dearer(answer, by), NAMES)
        assert len(found.pairs) == len(answer.options)
        for pair in found.pairs:
            assert pair.first is not None
            assert pair.second is not None
            was, now = pair.first.net_present_cost, pair.second.net_present_cost
            assert pair.gap == shown(now) - shown(was), (pair.id, by)


def test_the_other_way_round_every_difference_turns_its_sign(answer: Answer) -> None:
    other = dearer(led(answer, by=90.0, first=3), 17.3)
    there, back = versus(answer, other, NAMES), versus(other, answer, NAMES[::-1])
    gaps = {pair.id: pair.gap for pair in back.pairs}
    assert all(pair.gap == -(gaps[pair.id] or 0) for pair in there.pairs if pair.gap is not None)
    assert there.best_changes == back.best_changes is True


def test_the_same_best_says_so_and_by_how_much_its_cost_moves(answer: Answer) -> None:
    found = versus(answer, dearer(answer, 250.0), NAMES)
    best = answer.best.net_present_cost
    gap = shown(best + 250.0) - shown(best)
    assert not found.best_changes
    assert found.sentences == (
        f"The best stays the same: {answer.best.label}.",
        f'Over {answer.horizon_years} years it costs ${gap} more in "after": '
        f'{money(best + 250.0, "AUD")}, against {money(best, "AUD")} in "before".',
    )
    assert "costs the same in both" in said(versus(answer, answer, NAMES))


def test_another_best_is_named_in_both(answer: Answer) -> None:
    other = led(answer, by=90.0, first=2)
    found = versus(answer, other, NAMES)
    assert found.best_changes
    assert found.sentences[0] == (
        f'The best changes. In "before": {answer.best.label}. In "after": {other.best.label}.'
    )
    assert "the best costs" in found.sentences[1]


def test_a_tie_that_keeps_the_best_is_no_clear_change(answer: Answer) -> None:
    first, second, *rest = answer.options
    both = (replace(first, tied_with_best=True), replace(second, tied_with_best=True))
    tied = replace(answer, options=(*both, *rest))
    found = versus(answer, tied, NAMES)
    assert not found.best_changes
    assert found.sentences[0].startswith("The best does not clearly change.")
    assert first.label in found.sentences[0]
    assert second.label not in found.sentences[0]
    assert versus(tied, tied, NAMES).sentences[0].startswith("The same tie in both: ")


def test_what_cannot_be_subtracted_is_not_and_the_reason_is_told(answer: Answer) -> None:
    years = versus(answer, replace(answer, horizon_years=answer.horizon_years - 5), NAMES)
    other = versus(answer, replace(answer, currency="NZD"), NAMES)
    for found in (years, other):
        assert all(pair.gap is None for pair in found.pairs)
        assert len(found.sentences) == 1
        assert "cannot be subtracted" in said(found)
    assert f'"before" counts {answer.horizon_years} years' in said(years)
    assert '"before" counts in AUD and "after" in NZD' in said(other)


def test_advice_of_different_days_is_compared_and_said_to_be(answer: Answer) -> None:
    found = versus(answer, replace(answer, as_of=date(2027, 3, 1)), NAMES)
    assert '"before" is advice of 25 November 2026 and "after" of 1 March 2027' in said(found)
    assert all(pair.gap == 0 for pair in found.pairs)
    assert "is advice of" not in said(versus(answer, answer, NAMES))


def test_an_option_of_one_alone_stands_without_difference_and_with_its_reason(
    answer: Answer,
) -> None:
    gone = answer.options[4]
    kept = tuple(option for option in answer.options if option is not gone)
    why = Excluded(gone.id, gone.label, "no solar panels")
    fewer = replace(answer, options=kept, excluded=(*answer.excluded, why))
    for first, second in ((answer, fewer), (fewer, answer)):
        pair = next(p for p in versus(first, second, NAMES).pairs if p.id == gone.id)
        assert (pair.first is None) != (pair.second is None)
        assert pair.gap is None
        assert pair.why_missing == "no solar panels"
    assert versus(fewer, answer, NAMES).pairs[-1].id == gone.id


def test_a_kind_that_is_ruled_out_whole_is_the_reason_of_each_of_its_options(
    answer: Answer,
) -> None:
    pumps = tuple(option for option in answer.options if option.id.startswith("heat-pump-"))
    rest = tuple(option for option in answer.options if option not in pumps)
    assert len(pumps) > 1
    none = replace(
        answer, options=rest, excluded=(Excluded("heat-pump", "Heat pump", "no room outside"),)
    )
    found = {pair.id: pair.why_missing for pair in versus(answer, none, NAMES).pairs}
    assert {found[option.id] for option in pumps} == {"no room outside"}
    assert not any(found[option.id] for option in rest)


def test_an_option_with_another_quote_is_named_by_both(answer: Answer) -> None:
    best = answer.best
    quoted = replace(best, label=f"{best.label} (Ridge)")
    later = replace(answer, options=(quoted, *answer.options[1:]))
    found = versus(answer, later, NAMES)
    assert found.pairs[0].label == f"{best.label} (first: no quote; second: Ridge)"
    other = replace(answer, options=(replace(best, label="Tank"), *answer.options[1:]))
    assert versus(answer, other, NAMES).pairs[0].label == f"{best.label} (in the second: Tank)"


def test_a_difference_has_its_sign() -> None:
    assert [signed(gap, "AUD") for gap in (350, -40, 0)] == ["+$350", "-$40", "$0"]
    assert signed(1250, "CHF") == "+1,250 CHF"


def typed(toml: str) -> Typed:
    return typed_of_toml(HOURLY + toml, "case.toml")


def test_the_same_value_written_otherwise_is_no_difference() -> None:
    one = {"place.postcode": "2600", "electricity.annual_use_kwh": "4,200", "as_of": "25/11/2026"}
    other = {
        "place.postcode": "2600",
        "electricity.annual_use_kwh": "4200.0",
        "as_of": "2026-11-25",
    }
    assert differing(one, other) == ()


def test_what_one_case_leaves_open_is_empty_and_units_are_those_of_each() -> None:
    one = typed("[[quotes]]\nfamily = 'heat_pump'\ninstalled_price = 4000.0\n")
    other = typed("[electricity.battery]\ncapacity_kwh = 10.0\n[wishes]\ncurrency = 'NZD'\n")
    found = {item.path: item for item in differing(one, other)}
    assert list(found) == [
        "electricity.battery.capacity_kwh",
        "quotes[1].family",
        "quotes[1].installed_price",
        "wishes.currency",
    ]
    battery = found["electricity.battery.capacity_kwh"]
    assert (battery.texts, battery.units, battery.about) == (
        ("", "10"),
        ("kWh", "kWh"),
        "usable when new",
    )
    assert found["quotes[1].installed_price"].units == ("AUD", "NZD")


def test_files_of_one_name_that_hold_something_else_differ(tmp_path: Path) -> None:
    case = typed('[electricity]\nmeter_file = "meter.csv"\n')
    folders = tmp_path / "a", tmp_path / "b"
    for folder in folders:
        folder.mkdir()
        (folder / "meter.csv").write_text("one")
    assert differing(case, case, folders) == ()
    (folders[1] / "meter.csv").write_text("two")
    (found,) = differing(case, case, folders)
    assert found.texts == ("meter.csv", "meter.csv (another file of this name)")


def test_text_that_no_case_can_read_is_held_against_the_other_as_typed() -> None:
    (found,) = differing({"people.count": "four"}, {"people.count": "4"})
    assert found.texts == ("four", "4")
