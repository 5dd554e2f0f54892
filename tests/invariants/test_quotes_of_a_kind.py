"""Several quotes of one kind: each competes on its own, and nothing but the quotes decides."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from itertools import permutations
from typing import get_args

import pytest

from tankful.advice.certificates import estimated_certificates
from tankful.advice.life import life_of
from tankful.advice.money_levers import money_levers
from tankful.advice.option import Option, like_for_like, remaining_life_years
from tankful.advice.options import build_options
from tankful.advice.why import option_sentences
from tankful.casefile.given import field_words
from tankful.model.answer import OptionResult
from tankful.model.case import ONE_OFF, Family
from tankful.service.homes import Weighed, silent, weigh

SUN = "[[electricity.arrays]]\nkw = 5.0\n"
PLAN = """
[electricity.tariff]
supply_per_day = 1.2
usage = [{ price_per_kwh = 0.30 }]
controlled_load = { price_per_kwh = 0.20, hours = [{ start = "22:00", end = "07:00" }] }
"""
SMALL = "installed_price = 3400.0\ntank_l = 215.0\ncop = 3.6\nlife_years = 10.0\n"
LARGE = "installed_price = 4700.0\ntank_l = 315.0\ncop = 4.5\nlife_years = 12.0\n"


def quote(text: str = "", label: str = "", family: str = "heat_pump") -> str:
    name = f'label = "{label}"\n' if label else ""
    return f'[[quotes]]\nfamily = "{family}"\n{name}{text}'


def pumps(options: tuple[Option, ...]) -> tuple[Option, ...]:
    kept = ("keep", "heat-pump-timed", "heat-pump-surplus", "heat-pump-always")
    return tuple(option for option in options if option.id.startswith(kept))


@pytest.fixture(scope="module")
def weighed(place) -> Callable[[str], Weighed]:
    """Weighs the heat pumps of a case's text."""
    return cache(lambda text: weigh(place(SUN + text).home, silent, pumps, other_sizes=False))


def by_id(found: Weighed) -> dict[str, OptionResult]:
    return {result.id: result for result in found.results}


def told(result: OptionResult) -> tuple[object, ...]:
    """All of a result that counts, but for ids and names."""
    return (
        result.net_present_cost,
        result.upfront,
        result.year_one,
        result.sums,
        result.choice,
        result.heater,
        result.payback_years,
        result.sizing,
    )


def test_the_same_quote_twice_ties_to_the_last_digit(weighed) -> None:
    found = by_id(weighed(quote(SMALL) + quote(SMALL)))
    firsts = [name for name in found if name.startswith("heat-pump") and name[-1] != "2"]
    assert len(firsts) == 3
    for name in firsts:
        assert told(found[f"{name}-2"]) == told(found[name])
        assert found[name].label.endswith(" (quote 1)")
        assert found[f"{name}-2"].label == found[name].label.replace("quote 1", "quote 2")


def test_of_two_quotes_alike_the_cheaper_wins_by_their_difference(weighed) -> None:
    dearer = SMALL.replace("3400", "3650")
    found = by_id(weighed(quote(dearer) + quote(SMALL)))
    first, second = found["heat-pump-timed"], found["heat-pump-timed-2"]
    assert second.rank < first.rank
    assert first.upfront.total - second.upfront.total == 250.0
    assert first.year_one == second.year_one
    assert first.sums == second.sums
    assert first.net_present_cost - second.net_present_cost > 250.0  # a renewal is dearer too


def test_the_order_of_quotes_changes_nothing_but_ids(weighed) -> None:
    a, b = quote(SMALL, "A"), quote(LARGE, "B")
    one, other = weighed(a + b), weighed(b + a)
    labels = [result.label for result in one.results]
    assert labels == [result.label for result in other.results]
    assert len(set(labels)) == len(labels)
    assert [told(r) for r in one.results] == [told(r) for r in other.results]
    standings = [
        [(s.name, s.net_present_cost) for s in kind.standings]
        for found in (one, other)
        for kind in found.quotes
    ]
    assert len(standings[0]) == 2
    assert standings[0] == standings[1]


def test_a_second_quote_leaves_the_first_as_it_was(weighed) -> None:
    alone, beside = by_id(weighed(quote(LARGE))), by_id(weighed(quote(LARGE) + quote(SMALL)))
    assert set(alone) < set(beside)
    for name, result in alone.items():
        assert told(beside[name]) == told(result)


def test_a_name_alone_changes_no_number(weighed) -> None:
    plain, named = weighed(quote(LARGE)), weighed(quote(LARGE, "Quote A"))
    assert [(r.id, told(r)) for r in plain.results] == [(r.id, told(r)) for r in named.results]
    assert not any("(" in result.label for result in plain.results)
    assert by_id(named)["heat-pump-timed"].label == "Heat pump, on its timer (Quote A)"
    assert plain.quotes == ()


def test_quotes_compared_each_stand_with_their_cheapest_option(weighed) -> None:
    found = weighed(quote(SMALL, "A") + quote(LARGE, "B"))
    (kind,) = found.quotes
    for standing, ending in zip(sorted(kind.standings, key=lambda s: s.part), "AB", strict=True):
        own = [r for r in found.results if r.label.endswith(f"({ending})")]
        assert standing.name == ending
        assert standing.net_present_cost == min(r.net_present_cost for r in own)


def test_each_quote_brings_its_own_heater_size_and_certificates(place) -> None:
    at = place(quote(SMALL) + quote(LARGE + "certificates = 7\n", "B"))
    first, second = at.options["heat-pump-timed"], at.options["heat-pump-timed-2"]
    assert (first.heater.tank_l, second.heater.tank_l) == (215.0, 315.0)
    assert first.heater.heat_pump.cop < second.heater.heat_pump.cop
    assert (first.parts, second.parts) == (("heat_pump",), ("heat_pump-2",))
    assert second.family == "heat_pump-2"
    paths = {item.path for item in estimated_certificates(at.home)}
    assert "quotes[heat_pump].certificates" in paths
    assert "quotes[heat_pump-2].certificates" not in paths


def test_an_option_that_only_one_quote_makes_possible_is_offered_for_it_alone(place) -> None:
    at = place(SUN + quote(SMALL) + quote("variable_speed = true\n"))
    assert "heat-pump-following-2" in at.options
    assert "heat-pump-following" not in at.options


def test_two_tanks_and_two_diverters_make_every_pair(place) -> None:
    tanks = quote("tank_l = 250.0\n", "T1", "electric_storage")
    tanks += quote("tank_l = 315.0\n", "T2", "electric_storage")
    devices = quote("", "D1", "diverter") + quote("installed_price = 700.0\n", "D2", "diverter")
    options = place('[heater]\nkind = "none"\n' + SUN + tanks + devices).options
    pairs = {name: o.label for name, o in options.items() if name.startswith("electric-diverter")}
    assert pairs == {
        "electric-diverter": "Electric tank, spare sun by diverter (T1; D1)",
        "electric-diverter-2": "Electric tank, spare sun by diverter (T2; D1)",
        "electric-diverter-with-2": "Electric tank, spare sun by diverter (T1; D2)",
        "electric-diverter-2-with-2": "Electric tank, spare sun by diverter (T2; D2)",
    }


def test_four_quotes_of_every_kind_keep_every_id_apart(place) -> None:
    families = [family for family in get_args(Family) if family not in ONE_OFF]
    text = "".join(quote(family=family) * 4 for family in families)
    at = place(f'[heater]\nkind = "none"\n{SUN}{PLAN}[gas]\nconnected = true\n{text}')
    options, _ = build_options(at.home)
    assert len({option.id for option in options}) == len(options)
    assert len({option.label for option in options}) == len(options)
    bought = {name for option in options for name in option.parts}
    for family in families:
        assert {f"{family}-{n}" for n in (2, 3, 4)} <= bought
    for option in options:
        assert all(name in at.home.equipment for name in (*option.parts, option.family))


def test_todays_heater_is_renewed_by_the_cheapest_of_its_kind_in_any_order(place) -> None:
    today = '[heater]\nkind = "heat_pump"\nage_years = 4.0\n'
    quotes = [quote(SMALL, "A"), quote(LARGE, "B"), quote(LARGE.replace("4700", "5200"), "C")]
    for order in permutations(quotes):
        at = place(today + "".join(order))
        keep = at.options["keep"]
        assert keep.family == like_for_like(at.home)
        assert at.home.equipment[keep.family].name == "A"
        assert remaining_life_years(at.home, keep.family) == 6.0
        assert keep.label == "Keep today's heater, replace like for like"
        assert sum(name.startswith("heat-pump-new-timed") for name in at.options) == 3


def test_each_quote_has_its_own_price_to_turn(place, weighed) -> None:
    text = quote(SMALL, "A") + quote(LARGE, "B")
    found = weighed(text)
    home, options = found.comparison.home, found.options
    levers = {lever.key: lever for lever in money_levers(home, options)}
    assert levers["price:heat_pump"].label == "price of the heat pump (A)"
    turned = levers["price:heat_pump-2"]
    assert turned.label == "price of the heat pump (B)"
    assert turned.known
    cheaper = turned.at(home, 4000.0)
    for option in found.fitting:
        result = by_id(found)[option.id]
        then = life_of(cheaper, option, result.upfront, result.year_one).net_present_cost
        assert (then < result.net_present_cost) == ("heat_pump-2" in option.parts), option.id


def test_what_is_assumed_of_each_quote_is_told_apart() -> None:
    paths = ("quotes[heat_pump].life_years", "quotes[heat_pump-2].life_years")
    words = field_words((*paths, "quotes[timer].life_years"))
    assert words[paths[0]] == "heat pump, quote 1: life"
    assert words[paths[1]] == "heat pump, quote 2: life"
    assert words["quotes[timer].life_years"] == "timer: life"
    assert field_words(paths[:1])[paths[0]] == "heat pump: life"


def test_a_tank_too_large_rules_out_its_own_quote_alone(place) -> None:
    text = "[constraints]\nlargest_tank_l = 250.0\n" + quote(SMALL, "A") + quote(LARGE, "B")
    home = place(text).home
    options, excluded = build_options(home)
    assert any(option.id == "heat-pump-timed" for option in options)
    assert not any(option.id == "heat-pump-timed-2" for option in options)
    ruled_out = next(item for item in excluded if item.id == "heat-pump-timed-2")
    assert ruled_out.label == "Heat pump, on its timer (B)"
    assert "315 L" in ruled_out.reason


GAS = '[heater]\nkind = "gas_storage"\n[gas]\nconnected = true\n'


def test_a_usual_circuit_is_added_to_a_quote_that_does_not_hold_it_and_named(weighed) -> None:
    """500 AUD for the circuit of a tank (data/equipment.csv, judgement)."""
    without = by_id(weighed(quote(SMALL) + GAS))["heat-pump-timed"].upfront
    held = by_id(weighed(quote(SMALL + "includes_wiring = true\n") + GAS))["heat-pump-timed"]
    assert (without.quoted, without.wiring, without.installed) == (3400.0, 500.0, 3900.0)
    assert (held.upfront.wiring, held.upfront.installed) == (0.0, 3400.0)
    said = " ".join(
        option_sentences(by_id(weighed(quote(SMALL) + GAS))["heat-pump-timed"], 15, "AUD")
    )
    assert "($3,400 quoted + $500 wiring that the quote is not taken to hold)" in said
    assert "wiring" not in " ".join(option_sentences(held, 15, "AUD"))


def test_quotes_are_told_what_the_sums_took_to_be_alike_in_them(weighed) -> None:
    cheap, dear = ("installed_price = 3400.0\ntank_l = 215.0\n", "installed_price = 4700.0\n")
    (kind,) = weighed(quote(cheap) + quote(dear)).quotes
    assert kind.alike == ("efficiency (COP)", "life", "upkeep")
    assert kind.apart == ("price", "litres")
    (kind,) = weighed(quote(SMALL) + quote(LARGE)).quotes
    assert kind.alike == ("upkeep",)
    assert kind.apart == ("price", "litres", "efficiency (COP)", "life")
