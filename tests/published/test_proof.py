"""Every check that ``tankful proof`` shows, and the checks' own honesty.

Sources stand beside each claim in ``tankful.proof``.
"""

from __future__ import annotations

from dataclasses import replace
from math import inf, isfinite, nan

import pytest

from tankful.proof.catalogue import TOPICS, all_checks, all_claims
from tankful.proof.check import BASES, Claim, band

CLAIMS = [claim for _, claim in all_claims()]


@pytest.mark.parametrize("claim", CLAIMS, ids=lambda claim: claim.id)
def test_claim_holds(claim):
    check = claim.run()
    assert not check.error
    assert check.passed, f"{check.claim}: got {check.got}, not {check.expected}"
    # The same result against a wrong expectation: every check can fail.
    wrong = replace(check, expected=check.got + 2.0 * check.tolerance + 1e-6)
    assert not wrong.passed


def test_the_list_is_long_enough_and_every_topic_has_a_claim():
    assert len(CLAIMS) >= 300
    assert sum(claim.basis == "published" for claim in CLAIMS) >= 200
    assert {topic for topic, _ in all_claims()} == set(TOPICS)


def test_every_system_is_checked():
    """Collectors, battery, both heat pump models, tests of the law and facts of the trade."""
    topics = {
        "Collectors",
        "Collector loop",
        "Solar fraction",
        "Battery and grid",
        "Heat pump models",
        "European tank",
        "American test",
        "Standard load",
        "Germs and scalds",
        "Trade",
    }
    assert topics <= set(TOPICS)


def test_ids_are_unique():
    assert len({claim.id for claim in CLAIMS}) == len(CLAIMS)


@pytest.mark.parametrize("claim", CLAIMS, ids=lambda claim: claim.id)
def test_claim_names_what_it_rests_on(claim):
    assert claim.basis in BASES
    assert len(claim.source) > 20
    assert ("from memory" in claim.source) >= (claim.basis == "from memory")
    assert isfinite(claim.expected)
    assert 0.0 <= claim.tolerance < inf
    assert claim.unit


def test_checks_are_computed_only_when_asked_for(monkeypatch):
    ran = []

    def claims():
        for name in ("first", "second"):
            yield example(id=name, compute=lambda name=name: ran.append(name) or 1.0)

    monkeypatch.setattr("tankful.proof.catalogue.TOPICS", {"Example": claims})
    checks = all_checks()
    assert ran == []
    assert next(checks).id == "first"
    assert ran == ["first"]


def example(**changes) -> Claim:
    plain = Claim(
        id="example",
        claim="one is one",
        source="arithmetic, for this test only",
        basis="published",
        expected=1.0,
        tolerance=0.1,
        unit="-",
        compute=lambda: 1.0,
    )
    return replace(plain, **changes)


def test_a_value_outside_the_tolerance_fails():
    assert example().run().passed
    assert not example(expected=1.2).run().passed
    assert example(**band(0.0, 1.0)).run().passed
    assert not example(**band(0.0, 0.9)).run().passed


@pytest.mark.parametrize("value", [nan, inf, None])
def test_a_value_that_is_no_number_fails_and_is_null_in_json(value):
    check = example(compute=lambda: value).run()
    assert not check.passed
    assert check.as_json()["got"] is None


def test_a_computation_that_raises_is_a_failed_check_with_its_error():
    check = example(compute=lambda: 1 / 0).run()
    assert not check.passed
    assert check.error.startswith("ZeroDivisionError")
    assert check.as_json()["passed"] is False
