"""Draws and load against the published tables they are made from."""

from __future__ import annotations

import numpy as np
import pytest

from tankful.clock import month_of_day, year_clock
from tankful.data.store import load_table, sources
from tankful.errors import CaseError
from tankful.units import J_PER_KWH, MJ_PER_KWH, WATER_CP_J_PER_KG_K
from tankful.use.draws import draws_on_steps
from tankful.use.house_load import load_from_annual
from tankful.use.household import household_draws, season_factor
from tankful.use.load_shape import relative_load
from tankful.use.patterns import LITRES_PER_GALLON, standard_draws, standard_names

CLOCK = year_clock(2027, "Australia/Sydney", 5, "AU", "NSW")

# Regulation (EU) 814/2013 Annex III Table 1: daily total Qref [kWh] and number of tappings.
EU_DAYS = {
    "EU-XXS": (2.100, 20),
    "EU-XS": (2.100, 3),
    "EU-S": (2.100, 11),
    "EU-M": (5.845, 23),
    "EU-L": (11.655, 24),
    "EU-XL": (19.07, 30),
    "EU-XXL": (24.53, 30),
    "EU-3XL": (46.76, 10),
}

# 10 CFR 430 subpart B appendix E Tables III.1-III.4: gallons and draws a day. Minutes of flow
# and heat at 67 degF rise and 8.13747 Btu/gal degF [kWh] are sums over those tables.
US_DAYS = {
    "US-very-small": (10, 9, 10.0, 1.598),
    "US-low": (38, 11, 25.65, 6.072),
    "US-medium": (55, 12, 35.65, 8.788),
    "US-high": (84, 14, 39.25, 13.422),
}


def test_every_published_day_is_known_by_name():
    assert set(standard_names()) == {*EU_DAYS, *US_DAYS}


@pytest.mark.parametrize(("name", "kwh", "count"), [(k, *v) for k, v in EU_DAYS.items()])
def test_a_european_day_has_the_heat_and_the_tappings_of_the_law(name, kwh, count):
    draws = standard_draws(CLOCK, name)
    assert draws.start_s.size == 365 * count
    assert draws.heat_kwh().sum() / 365 == pytest.approx(kwh, rel=1e-12)


def test_every_tapping_carries_the_heat_of_its_row_at_its_time():
    rows = [row for row in load_table("eu_tapping_patterns") if row["profile"] == "L"]
    draws = standard_draws(CLOCK, "EU-L")
    second_day = slice(24, 48)
    for row, start_s, kwh, wanted_c in zip(
        rows,
        draws.start_s[second_day],
        draws.heat_kwh(10.0)[second_day],
        draws.wanted_c[second_day],
        strict=True,
    ):
        hour, minute = row["time"].split(":")
        assert start_s == 86400 + int(hour) * 3600 + int(minute) * 60
        assert kwh == pytest.approx(float(row["energy_kwh"]), rel=1e-12)
        assert wanted_c >= float(row["peak_temp_c"] or row["useful_temp_c"])


@pytest.mark.parametrize(("name", "litres"), [("EU-S", 36.1), ("EU-M", 100.5), ("EU-L", 200.5)])
def test_a_european_day_is_the_known_volume_at_60_degrees(name, litres):
    # Computed from the law's totals with 4.186 kJ/(kg K), from 10 degC; printed to 0.1 L.
    joules = standard_draws(CLOCK, name).heat_kwh().sum() / 365 * J_PER_KWH
    assert joules / (WATER_CP_J_PER_KG_K * 50.0) == pytest.approx(litres, abs=0.06)


def test_no_european_tapping_starts_before_seven():
    # 814/2013 Annex III: no water is drawn from 00:00 to 06:59.
    for name in EU_DAYS:
        assert (standard_draws(CLOCK, name).start_s % 86400).min() >= 7 * 3600


@pytest.mark.parametrize(
    ("name", "gallons", "count", "minutes"), [(k, *v[:3]) for k, v in US_DAYS.items()]
)
def test_an_american_day_has_the_gallons_draws_and_minutes_of_the_rule(
    name, gallons, count, minutes
):
    draws = standard_draws(CLOCK, name)
    assert draws.start_s.size == 365 * count
    assert draws.mixed_l.sum() / 365 / LITRES_PER_GALLON == pytest.approx(gallons, rel=1e-12)
    # The table of minutes is rounded to the hundredth.
    assert draws.duration_s.sum() / 365 / 60 == pytest.approx(minutes, abs=0.006)


@pytest.mark.parametrize(("name", "kwh"), [(k, v[3]) for k, v in US_DAYS.items()])
def test_an_american_day_has_the_rules_heat_but_for_density(name, kwh):
    # The rule counts 8.13747 Btu/(gal degF), water at delivery; ours is 1 kg/L and
    # 4186 J/(kg K), 2.54 % more. In cold water (8.2938 lb/gal) it would be 0.5 % more.
    ratio = 4186.0 * LITRES_PER_GALLON / 1055.056 / 1.8 / 8.13747
    assert ratio == pytest.approx(1.0254, abs=2e-4)
    assert standard_draws(CLOCK, name).heat_kwh().sum() / 365 == pytest.approx(
        kwh * ratio, rel=2e-4
    )


def test_an_unknown_standard_day_names_those_there_are():
    with pytest.raises(CaseError, match="EU-M"):
        standard_draws(CLOCK, "EU-Q")


def test_four_people_at_50_litres_take_the_heat_of_the_gas_label():
    # AS/NZS 4552 label: 200 L a day through 45 K, 37.7 MJ (published to 0.1).
    draws = household_draws(CLOCK, 4)
    assert draws.heat_kwh().sum() / 365 * MJ_PER_KWH == pytest.approx(37.7, abs=0.05)


@pytest.mark.parametrize(
    ("fixture", "a_day", "share"),
    [("short", 28, 0.14), ("medium", 12, 0.36), ("bath", 0.143, 0.10), ("shower", 2, 0.40)],
)
def test_household_draws_have_the_published_shares_and_number(fixture, a_day, share):
    # Jordan and Vajen 2001: at 200 L a day of drawn water. 200 L at 40 degC are 111.1 L of
    # hot water as counted here.
    draws = household_draws(CLOCK, 1, hot_litres_per_person_per_day=200 * 25 / 45)
    chosen = draws.fixture == draws.fixture_names.index(fixture)
    assert draws.mixed_l.sum() / 365 == pytest.approx(200.0, rel=1e-9)
    assert draws.mixed_l[chosen].sum() / draws.mixed_l.sum() == pytest.approx(share, rel=1e-9)
    assert chosen.sum() / 365 == pytest.approx(a_day, abs=0.003)


def test_showers_have_the_published_flow_and_spread():
    # Jordan and Vajen 2001: mean 8, standard deviation 0.4 L/min, five minutes.
    draws = household_draws(CLOCK, 4)
    shower = draws.fixture == draws.fixture_names.index("shower")
    flow_l_min = draws.mixed_l[shower] / (draws.duration_s[shower] / 60)
    assert flow_l_min.mean() == pytest.approx(8.0, rel=0.002)
    assert flow_l_min.std() == pytest.approx(0.4, rel=0.1)


def test_the_season_is_that_of_the_published_table_and_six_months_later_in_the_south():
    # SAP 2012 Table 1c: 1.10 in January and December, 0.90 in June and July.
    month = month_of_day(2027)
    north, south = (season_factor(CLOCK, southern=side) for side in (False, True))
    assert north.mean() == pytest.approx(1.0, abs=1e-12)
    assert north[month == 1][0] / north[month == 7][0] == pytest.approx(1.10 / 0.90)
    assert north[month == 4][0] / north[month == 2][0] == pytest.approx(0.98 / 1.06)
    for m in range(1, 13):
        ratio = south[month == m][0] / north[month == (m + 5) % 12 + 1][0]
        assert ratio == pytest.approx(south.sum() / north.sum(), rel=2e-3)


def test_the_load_shape_has_a_year_of_mean_one():
    # By construction of the averages each home's year has mean 1; seasons and weekends of
    # another year shift it by less than 1 %.
    assert relative_load(CLOCK).mean() == pytest.approx(1.0, abs=0.01)


def test_the_load_shape_is_shown_at_its_season_day_and_clock_time():
    table = {(r["season_south"], r["day"], r["start"]): r for r in load_table("load_shape")}
    assert len(table) == 4 * 2 * 48
    relative = relative_load(CLOCK)
    for season, day, start, month, weekday in (
        ("summer", "weekday", "18:30", 2, 2),
        ("winter", "weekend", "07:00", 7, 6),
        ("spring", "weekday", "00:30", 11, 4),
    ):
        minute = int(start[:2]) * 60 + int(start[3:])
        here = (
            (CLOCK.clock_month == month)
            & (CLOCK.clock_weekday == weekday)
            & (CLOCK.clock_minute // 30 * 30 == minute)
            & ~CLOCK.holiday
        )
        value = float(table[season, day, start]["power_relative_to_mean"])
        assert here.sum() >= 4 * 6
        assert (relative[here] == value).all()


def test_the_northern_load_is_the_southern_one_six_months_later():
    utc = year_clock(2027, "UTC", 30, "none")
    south, north = relative_load(utc), relative_load(utc, southern=False)
    noon = (utc.clock_minute == 720) & (utc.clock_weekday == 2)
    january, july = utc.clock_month == 1, utc.clock_month == 7
    assert set(north[noon & january]) == set(south[noon & july])


def test_a_yearly_figure_is_met_exactly_at_any_step():
    for step_min in (1, 5, 15, 30, 60):
        clock = year_clock(2027, "Australia/Sydney", step_min, "AU", "NSW")
        house_w = load_from_annual(clock, 5110.0)
        assert house_w.sum() * clock.step_s / J_PER_KWH == pytest.approx(5110.0, rel=1e-12)


def test_every_table_of_use_names_known_sources():
    known = sources()
    names = ("eu_tapping_patterns", "us_draw_patterns", "draw_fixtures")
    for name in (*names, "draw_season", "draw_times", "load_shape"):
        for row in load_table(name):
            ids = [value for key, value in row.items() if key.endswith("source_id")]
            assert ids
            assert set(ids) <= set(known)
    assert standard_draws(CLOCK, "EU-M").source_id in known
    assert household_draws(CLOCK, 1).source_id in known


def test_the_steps_of_a_standard_day_repeat_every_day():
    steps = draws_on_steps(standard_draws(CLOCK, "EU-M"), CLOCK)
    by_day = steps.mixed_kg.reshape(365, -1)
    np.testing.assert_allclose(by_day, np.broadcast_to(by_day[0], by_day.shape), atol=1e-9)
