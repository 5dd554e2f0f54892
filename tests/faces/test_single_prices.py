"""One price alone in place of the default plan's, and a feed-in contract that ends."""

from __future__ import annotations

from pathlib import Path

import pytest

from tankful.casefile.load import check_text
from tankful.casefile.resolve import resolve
from tankful.errors import CaseError
from tankful.model.home import Home

HEAD = 'as_of = 2026-11-25\n[place]\npostcode = "{}"\n'
PLAN = "[electricity.tariff]\nsupply_per_day = 1.0\nusage = [{ price_per_kwh = 0.3 }]\n"


def home(text: str, postcode: str = "2000") -> Home:
    return resolve(check_text(HEAD.format(postcode) + text, Path("home.toml")))


def faults(text: str, postcode: str = "2000") -> list[str]:
    with pytest.raises(CaseError) as caught:
        home(text, postcode)
    return [f"{fault.line} {fault.field}: {fault.problem}" for fault in caught.value.faults]


def test_a_single_price_replaces_only_its_own_in_the_default_plan() -> None:
    plain = home("").electricity_tariff
    own = home("[electricity]\nfeed_in_price_per_kwh = 0.11\n").electricity_tariff
    assert [entry.price_per_kwh for entry in own.feed_in] == [0.11]
    assert (own.usage, own.supply_per_day) == (plain.usage, plain.supply_per_day)
    assert own.controlled_load == plain.controlled_load
    assert "feed_in_price_per_kwh as the case gives" in own.source


def test_all_single_prices_reach_the_plans() -> None:
    text = "usage_price_per_kwh = 0.4\noff_peak_price_per_kwh = 0.15\n"
    made = home(f"[electricity]\n{text}[gas]\nconnected = true\nprice_per_mj = 0.06\n")
    assert made.electricity_tariff.usage[0].price_per_kwh == 0.4
    assert made.electricity_tariff.controlled_load is not None
    assert made.electricity_tariff.controlled_load.price_per_kwh == 0.15
    assert made.gas_tariff is not None
    assert [block.price_per_mj for block in made.gas_tariff.blocks] == [0.06]


def test_a_single_price_beside_a_plan_is_refused() -> None:
    text = f"[electricity]\nusage_price_per_kwh = 0.4\n{PLAN}"
    assert faults(text) == [
        "5 electricity.usage_price_per_kwh: "
        "the plan in [electricity.tariff] already says this price"
    ]
    text = "[gas]\nprice_per_mj = 0.05\n[gas.bottles]\nprice_per_kg = 4.0\n"
    assert faults(text) == [
        "5 gas.price_per_mj: the gas plan in [gas.bottles] already says this price"
    ]


def test_a_plan_without_payment_for_exports_takes_the_single_price() -> None:
    alone = home(PLAN).electricity_tariff
    text = f"[electricity]\nfeed_in_price_per_kwh = 0.07\n{PLAN}"
    own = home(text).electricity_tariff
    assert alone.feed_in == ()
    assert [(entry.price_per_kwh, entry.text()) for entry in own.feed_in] == [(0.07, "all day")]
    assert own.usage == alone.usage
    assert faults(text + "feed_in = [{ price_per_kwh = 0.05 }]\n") == [
        "5 electricity.feed_in_price_per_kwh: "
        "the plan in [electricity.tariff] already says this price"
    ]
    loaded = check_text(HEAD.format("2000") + text.replace("0.07", "0.5"), Path("home.toml"))
    assert [fault.problem for fault in loaded.warnings] == [
        "export is paid more than use costs at any time"
    ]


def test_an_off_peak_price_beside_a_plan_needs_hours_in_it() -> None:
    text = f"[electricity]\noff_peak_price_per_kwh = 0.15\n{PLAN}"
    assert faults(text) == [
        "5 electricity.off_peak_price_per_kwh: "
        "the electricity plan has no controlled load, so this price has no hours"
    ]


def test_an_off_peak_price_needs_an_off_peak_circuit() -> None:
    text = "[electricity]\noff_peak_price_per_kwh = 0.15\n"
    assert faults(text, "6000") == [
        "5 electricity.off_peak_price_per_kwh: "
        "the default plan of this place has no off-peak circuit"
    ]


def test_single_prices_in_cents_are_seen() -> None:
    text = "[electricity]\nfeed_in_price_per_kwh = 4.5\nusage_price_per_kwh = 33\n"
    found = faults(text + "[gas]\nprice_per_mj = 4.8\n")
    assert [line.split(":")[0] for line in found] == [
        "5 electricity.feed_in_price_per_kwh",
        "6 electricity.usage_price_per_kwh",
        "8 gas.price_per_mj",
    ]


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        ("until = 2026-06-30", "this payment has ended already, so it does not count"),
        ("until = 2028-06-30", "nothing is paid for exports after that day"),
    ],
)
def test_an_end_that_needs_a_second_look_is_pointed_out(entry: str, words: str) -> None:
    text = f"{PLAN}feed_in = [{{ price_per_kwh = 0.6, {entry} }}]\n"
    loaded = check_text(HEAD.format("2000") + text, Path("home.toml"))
    assert [fault.problem for fault in loaded.warnings] == [words]


def test_a_price_for_afterwards_needs_an_end() -> None:
    text = f"{PLAN}feed_in = [{{ price_per_kwh = 0.6, price_after_per_kwh = 0.05 }}]\n"
    assert faults(text) == [
        "7 electricity.tariff.feed_in[1]: "
        "a price for afterwards needs the day on which this one ends"
    ]


def test_the_plan_in_words_says_when_the_price_ends() -> None:
    text = f"{PLAN}feed_in = [{{ price_per_kwh = 0.6, until = 2028-06-30, "
    text += "price_after_per_kwh = 0.05 }]\n"
    from tankful.casefile.words import electricity_words

    assert electricity_words(home(text).electricity_tariff, "AUD")[-1] == (
        "export pays 0.6 AUD/kWh until 30 June 2028, then 0.05 AUD/kWh"
    )
