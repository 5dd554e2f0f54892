"""New panels: two accounts that add up to the home's bills, and nothing counted twice."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankful import service
from tankful.advice.compare import Comparison, compare
from tankful.advice.options import build_options
from tankful.advice.panel_homes import array_certificates, home_with, paneled, panels_alone
from tankful.advice.panel_words import panel_sentences
from tankful.advice.panels import panel_study
from tankful.casefile.load import check_text
from tankful.casefile.resolve import resolve
from tankful.model.answer import OptionResult, YearOne
from tankful.model.home import Home, PanelOffer
from tankful.model.panel_study import PanelStudy
from tankful.model.tariff import ElectricityTariff, FeedIn, UsageCharge

CENT = 0.01
START = 'as_of = 2026-11-25\n[simulation]\nstep_min = 60\n[place]\npostcode = "{postcode}"\n'
PLAN = (
    "[electricity.tariff]\nsupply_per_day = 1.2\nusage = [\n"
    '  { name = "evening", start = "15:00", end = "21:00", price_per_kwh = 0.45 },\n'
    "  { price_per_kwh = 0.30 },\n]\nfeed_in = [{ price_per_kwh = 0.05 }]\n"
)
SIZES = "[more_panels]\nsizes_kw = [3.0, 6.6]\ninverter_kw = 6.6\nexport_limit_kw = 5.0\n"


def home_of(text: str = "", postcode: str = "2000") -> Home:
    return resolve(check_text(START.format(postcode=postcode) + text, Path("home.toml")))


def offer_of(home: Home) -> PanelOffer:
    assert home.panel_offer is not None
    return home.panel_offer


@cache
def study_of(text: str, *, thorough: bool) -> tuple[PanelStudy, tuple[OptionResult, ...]]:
    comparison = Comparison(home_of(text))
    results = compare(comparison, build_options(comparison.home)[0])
    progress = (lambda done, total, what: None) if thorough else None
    study = panel_study(comparison, results, progress)
    assert study is not None
    return study, results


# Two accounts


def test_panels_bought_give_the_hot_water_of_panels_that_are_there() -> None:
    study, plain = study_of(PLAN + SIZES, thorough=True)
    there = "[electricity]\ninverter_kw = 6.6\nexport_limit_kw = 5.0\n"
    there += "[[electricity.arrays]]\nkw = 6.6\n"
    comparison = Comparison(home_of(there + PLAN))
    results = {o.id: o for o in compare(comparison, build_options(comparison.home)[0])}
    assert {heater.key for heater in study.heaters} == {"keep", "timed", "diverter", "heat_pump"}
    without = plain[0].electricity_bill.total - plain[0].year_one.total
    for heater in study.heaters:
        row = heater.sizes[-1]
        assert row.kw == 6.6
        result = results[row.option_id]
        assert row.net_present_cost == pytest.approx(result.net_present_cost, abs=CENT)
        assert row.sun_share == pytest.approx(result.sums.solar_share)
        # the home's whole bill: the house's, what panels change on it, what hot water adds
        whole = without + study.panels(row.kw).year_one + row.year_one
        assert whole == pytest.approx(result.electricity_bill.total, abs=CENT)


@pytest.mark.parametrize("thorough", [False, True])
def test_without_new_panels_the_study_is_the_plain_answer(thorough: bool) -> None:
    study, results = study_of(PLAN + SIZES, thorough=thorough)
    by_id = {result.id: result for result in results}
    rows = [heater.sizes[0] for heater in study.heaters if heater.sizes[0].kw == 0.0]
    assert [row.option_id for row in rows][:2] == ["keep", "electric-timed"]
    for row in rows:
        assert row.total == row.net_present_cost == by_id[row.option_id].net_present_cost
        assert row.year_one == by_id[row.option_id].year_one.total
    assert study.today_cost == results[0].net_present_cost
    assert study.panels(0.0).net_present_cost == 0.0


def test_a_heater_and_its_panels_cost_the_sum_of_both_accounts() -> None:
    study, _ = study_of(PLAN + SIZES, thorough=False)
    for heater in study.heaters:
        for row in heater.sizes:
            alone = study.panels(row.kw).net_present_cost
            assert row.total == pytest.approx(alone + row.net_present_cost)
        assert heater.best.total == min(row.total for row in heater.sizes)
        assert heater.deserved_kw == pytest.approx(heater.best_kw - study.alone_best_kw)
        for step, (small, large) in zip(heater.steps, pairwise(heater.sizes), strict=True):
            worth = step.hot_water_saving_per_kw - step.house_cost_per_kw
            assert worth * (large.kw - small.kw) == pytest.approx(small.total - large.total)
    assert study.gain == pytest.approx(study.today_cost - study.best.total)


def test_a_diverter_without_panels_appears_only_beside_new_ones() -> None:
    study, results = study_of(PLAN + SIZES, thorough=False)
    assert "electric-diverter" not in {result.id for result in results}
    diverter = next(heater for heater in study.heaters if heater.key == "diverter")
    assert [row.kw for row in diverter.sizes] == [3.0, 6.6]


def test_more_sun_never_lowers_the_sun_share_of_a_diverter_at_one_setting() -> None:
    study, _ = study_of(PLAN + "[more_panels]\nroom_kw = 10.0\n", thorough=False)
    diverter = next(heater for heater in study.heaters if heater.key == "diverter")
    assert len({row.control_text for row in diverter.sizes}) == 1
    shares = [row.sun_share for row in diverter.sizes]
    assert len(shares) == 3
    assert shares == sorted(shares)


def test_panels_that_cover_a_family_and_its_water_heater_are_about_6_6_kw() -> None:
    """Common practice, no source: in a temperate city; 1.5 kW either way accepted."""
    study, _ = study_of("[people]\ncount = 4\n", thorough=False)
    assert study.covering_kw == pytest.approx(6.6, abs=1.5)


# The panels by themselves


def test_the_price_of_an_array_over_its_life_is_worked_by_hand() -> None:
    """6.6 kW at 8,400 less 45 certificates at 38; 5.5 kW of inverter at 800 + 200 a kW.

    Fifteen years without interest: panels last 25, the inverter 12 and then again 12.
    Textbook arithmetic on the shipped prices.
    """
    home = home_of("[wishes]\ndiscount_rate_real = 0.0\n[more_panels]\nsizes_kw = [6.6]\n")
    offer = offer_of(home)
    change = YearOne(
        electricity=-900.0, feed_in_lost=-100.0, gas_use=0.0, gas_supply=0.0, circuit_supply=0.0
    )
    alone = panels_alone(home, offer, offer.arrays[0], change, 9000.0)
    assert alone.certificates == 45
    assert alone.upfront == pytest.approx(8400.0 - 45 * 38.0)
    inverter = 800.0 + 200.0 * 5.5
    bought = alone.upfront + inverter + 15 * 30.0
    left = (alone.upfront - inverter) * 10 / 25 + inverter * 9 / 12
    assert alone.net_present_cost == pytest.approx(bought - left - 15 * 1000.0)
    assert alone.year_one == -1000.0


@pytest.mark.parametrize(
    ("postcode", "year", "certificates"),
    [("3000", 2023, 62), ("2000", 2026, 45), ("3000", 2026, 39), ("3000", 2031, 0)],
)
def test_certificates_of_new_panels_are_those_of_worked_examples(
    postcode: str, year: int, certificates: int
) -> None:
    """6.6 kW: zone 4 in 2023 is a published example (62.568, rounded down); the others are the
    law's arithmetic, floor(kW x zone rating x years left to 2030)."""
    home = home_of(postcode=postcode)
    dated = replace(home, as_of=home.as_of.replace(year=year))
    assert array_certificates(dated, 6.6) == certificates


@settings(max_examples=25)
@given(
    usage=st.floats(0.0, 0.6),
    feed_in=st.floats(0.0, 0.3),
    sizes=st.lists(st.floats(0.1, 30.0), min_size=2, max_size=3, unique=True).map(sorted),
)
def test_more_panels_never_raise_the_bill_where_exports_are_not_charged(
    usage: float, feed_in: float, sizes: list[float]
) -> None:
    home = _panelled_home()
    plan = ElectricityTariff(
        supply_per_day=1.0,
        usage=(UsageCharge(price_per_kwh=usage),),
        feed_in=(FeedIn(price_per_kwh=feed_in),),
    )
    comparison = Comparison(replace(home, electricity_tariff=plan))
    offer = offer_of(home)
    array = offer.arrays[0]
    changes = [
        paneled(comparison, offer, replace(array, kw=kw, inverter_kw=kw)).alone.year_one
        for kw in sizes
    ]
    for fewer, more in pairwise([0.0, *changes]):
        assert more <= fewer + CENT / 100


@cache
def _panelled_home() -> Home:
    text = "[electricity]\nexport_limit_kw = 5.0\n[[electricity.arrays]]\nkw = 3.0\n"
    return home_of(text)


def test_an_inverter_clips_what_its_panels_make() -> None:
    home = home_of("[more_panels]\nsizes_kw = [8.0]\ninverter_kw = 4.0\n")
    offer = offer_of(home)
    made_w = home_with(home, offer, offer.arrays[0]).pv_w - home.pv_w
    assert made_w.max() == pytest.approx(4000.0)


# What the home may feed in, and what its case rules out


@pytest.mark.parametrize(
    ("text", "limit_kw"),
    [
        ("", 5.0),
        ("[electricity]\nexport_limit_kw = 3.0\n", 3.0),
        ("[[electricity.arrays]]\nkw = 3.0\n", 5.0),
        ("[electricity]\ninverter_kw = 8.0\n[[electricity.arrays]]\nkw = 9.0\n", 8.0),
        ("[more_panels]\nexport_limit_kw = 1.5\n", 1.5),
    ],
)
def test_the_export_limit_is_that_of_the_case_or_the_usual_one(
    text: str, limit_kw: float | None
) -> None:
    home = home_of(text)
    offer = offer_of(home)
    assert offer.export_limit_kw == limit_kw
    with_panels = home_with(home, offer, offer.arrays[-1])
    assert with_panels.case.electricity.export_limit_kw == limit_kw


def test_a_quote_prices_its_one_size() -> None:
    offer = offer_of(home_of("[more_panels]\nsizes_kw = [6.6]\ninstalled_price = 7900.0\n"))
    assert [(a.kw, a.installed_price) for a in offer.arrays] == [(6.6, 7900.0)]


def test_where_nothing_may_go_on_the_roof_no_panels_are_weighed(tmp_path: Path) -> None:
    path = tmp_path / "home.toml"
    text = START.format(postcode="2000") + "[constraints]\nno_roof_work = true\n"
    path.write_text(text, encoding="utf-8")
    answer = service.advise(path)
    assert answer.panels is None
    assert not any(item.path.startswith("more_panels") for item in answer.assumptions)


def test_the_sentences_say_whose_gain_it_is() -> None:
    study, _ = study_of(PLAN + SIZES, thorough=False)
    words = " ".join(panel_sentences(study))
    assert "not credited to hot water" in words
    assert "Bought alone, beside today's heater" in words
    worse = replace(study, gain=-5000.0)
    assert "make nothing cheaper" in " ".join(panel_sentences(worse))
    tied = replace(study, gain=10.0)
    assert "a tie with" in " ".join(panel_sentences(tied))
    assert "Ask the retailer first" not in words
    assert "Ask the retailer first" in " ".join(
        panel_sentences(replace(study, feed_in_contract=True))
    )


CONTRACT = """[[electricity.arrays]]
kw = 3.0
[electricity.tariff]
supply_per_day = 1.0
usage = [{ price_per_kwh = 0.35 }]
[[electricity.tariff.feed_in]]
price_per_kwh = 0.44
until = 2028-06-30
price_after_per_kwh = 0.04
"""


def test_adding_panels_ends_a_feed_in_contract_and_their_account_bears_it() -> None:
    """Common practice, no source. A tenth of a kW makes next to nothing, so what it changes is what
    the old panels then earn: in a year, 40 cents less for each kWh that they export."""
    home = home_of(CONTRACT + "[more_panels]\nsizes_kw = [0.1]\n")
    comparison, offer = Comparison(home), offer_of(home)
    added = paneled(comparison, offer, offer.arrays[0])
    (feed_in,) = added.home.electricity_tariff.feed_in
    assert (feed_in.price_per_kwh, feed_in.until) == (0.04, None)
    exports_kwh = comparison.money.meters_without.power.feed_in_kwh.sum()
    assert exports_kwh > 1000.0
    assert added.alone.year_one == pytest.approx(0.40 * exports_kwh, abs=60.0)
