"""Rules of thumb on homes made by hand: where they hold, fail and are silent, and by how much."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from tankful.batch.rules import rule_result
from tankful.batch.rules_file import Rule
from tankful.model.rules import RuleResult
from tankful.model.table import HomeRow, HomesTable, OptionRow


def option(name: str, cost: float, electricity: float = 1000.0, first_year: float = 100.0):
    return OptionRow(
        name, name, 0, False, True, 0.0, first_year, cost, None, 1.0, electricity, 0.0, 0.5, 0, None
    )


def home(name: str, feed_in: float, *options: OptionRow, off_peak: float | None = 0.2) -> HomeRow:
    cheapest_first = tuple(sorted(options, key=lambda item: item.cost))
    return HomeRow(
        (name,), "Town", "2000", "NSW", -33.9, 4, 18.0, 6.6, 9900.0, 6000.0, 7000.0, 0.33,
        off_peak, feed_in, 0.16, 40.0, 50.0, cheapest_first,
    )  # fmt: skip


TABLE = HomesTable(
    "hand-made",
    "AUD",
    15,
    ("Home",),
    (
        home(
            "a", 0.05, option("heat-pump-timed", 7000.0, 700.0), option("electric-diverter", 6000.0)
        ),
        home(
            "b", 0.16, option("heat-pump-timed", 6000.0, 500.0), option("heat-pump-always", 5000.0),
            option("electric-diverter", 5030.0, 2000.0), option("keep", 9000.0, first_year=400.0),
        ),
        home("c", 0.16, option("heat-pump-timed", 6000.0), option("electric-diverter", 5500.0)),
        home("d", 0.30, option("heat-pump-timed", 6000.0), off_peak=None),
    ),
    False,
)  # fmt: skip


def held(claim: dict[str, Any], *when: dict[str, Any]) -> RuleResult:
    rule = Rule.model_validate({"name": "rule", "when": list(when), "claim": claim})
    return rule_result(rule, TABLE)


def by_home(found: RuleResult) -> dict[str, tuple[bool, float | None]]:
    return {verdict.labels[0]: (verdict.holds, verdict.room) for verdict in found.verdicts}


def test_the_cheaper_of_two_is_told_by_the_cheapest_of_each_and_by_how_much():
    found = held({"cheaper": "heat pump", "than": "diverter"}, {"value": "feed-in", "above": 0.15})
    assert by_home(found) == {"b": (True, 30.0), "c": (False, -500.0)}
    assert found.not_meant == 1
    assert found.not_known == (("d",),)
    assert (found.holding, [v.labels for v in found.failing]) == (1, [("c",)])
    assert found.barely is not None
    assert found.barely.close
    assert not found.failing[0].close


def test_a_limit_may_be_another_value_and_a_missing_value_meets_no_condition():
    found = held({"never_best": "diverter"}, {"value": "off-peak price", "above": "feed-in"})
    assert by_home(found) == {"a": (False, -1000.0), "b": (True, 30.0), "c": (False, -500.0)}
    assert found.not_meant == 1


def test_a_ratio_lies_between_its_limits_with_the_room_to_the_nearest():
    claim = {
        "value": "electricity of diverter",
        "over": "electricity of heat pump on timer",
        "at_least": 1.5,
        "at_most": 4.5,
    }
    found = by_home(held(claim))
    assert found["b"] == (True, pytest.approx(0.5))
    assert found["a"] == (False, pytest.approx(1000.0 / 700.0 - 1.5))
    assert "d" not in found


@pytest.mark.parametrize(
    ("limit", "holds"), [("above", False), ("at_least", True), ("below", False), ("at_most", True)]
)
def test_a_value_on_its_limit_is_inside_only_where_the_limit_belongs(limit, holds):
    found = held({"value": "feed-in", limit: 0.3}, {"value": "feed-in", "above": 0.2})
    assert by_home(found) == {"d": (holds, 0.0)}


def test_texts_are_among_a_list_or_not():
    assert held({"value": "best", "one_of": ["heat-pump-always"]}).holding == 1
    assert held({"value": "best", "none_of": ["heat-pump-always"]}).holding == 3
    assert held({"value": "state", "one_of": ["NSW"]}).holding == 4


def test_a_claim_on_what_a_home_lacks_is_silent_there():
    found = held({"value": "bill cut of heat pump", "at_least": 0.6})
    assert by_home(found) == {"b": (True, pytest.approx(0.15))}
    assert len(found.not_known) == 3


def test_every_condition_must_be_met():
    both = held(
        {"value": "people", "above": 3},
        {"value": "feed-in", "above": 0.1},
        {"value": "feed-in", "below": 0.2},
    )
    assert set(by_home(both)) == {"b", "c"}


@pytest.mark.parametrize(
    "claim",
    [
        {},
        {"cheaper": "heat pump"},
        {"than": "heat pump", "value": "cost", "above": 1},
        {"value": "cost"},
        {"value": "cost", "above": 1, "one_of": ["x"]},
        {"never_best": "gas", "cheaper": "heat pump", "than": "gas"},
        {"value": "cost", "above": True},
        {"value": "cost", "above": float("nan")},
        {"value": "__class__", "above": {"eval": "1"}},
    ],
)
def test_a_claim_of_another_form_is_refused(claim):
    with pytest.raises(ValidationError):
        held(claim)
