"""Each caution reaches the options it concerns, and no one is told to do a trade's work."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tankful import service
from tankful.advice.cautions import COLD_SNAP_K, CONCERNS, FROST_BELOW_C, cautions_for
from tankful.advice.compare import Comparison, compare
from tankful.advice.options import build_options
from tankful.clock import year_clock
from tankful.data.store import load_table, sources
from tankful.model.answer import Caution, OptionResult
from tankful.model.case import BURNS_GAS, INLINE_BOOSTED, SOLAR_THERMAL
from tankful.model.home import Home
from tankful.proof.check import published_rows
from tankful.simulate.comfort import night_run_h

CASE = """
as_of = 2026-11-25
[simulation]
step_min = 60
[place]
postcode = "2480"
[people]
pattern = "EU-S"
[heater]
kind = "gas_storage"
[[electricity.arrays]]
kw = 4.0
"""
BY_ANSWER = {"new_panels", "backup_trap", "backup_set_so"}
"""Rows about what the answer found, beside those about its options."""

ROWS = load_table("cautions")


def advised(folder: Path, more: str = "") -> tuple[Home, tuple[OptionResult, ...]]:
    path = folder / "home.toml"
    path.write_text(CASE + more, encoding="utf-8")
    home = service.load_home(path)
    options, _ = build_options(home)
    return home, compare(Comparison(home), options)


@pytest.fixture(scope="module")
def gas_home(tmp_path_factory: pytest.TempPathFactory) -> tuple[Home, tuple[OptionResult, ...]]:
    return advised(tmp_path_factory.mktemp("home"))


def by_topic(cautions: tuple[Caution, ...]) -> dict[str, set[str]]:
    """Ids of the options that each topic concerns."""
    found: dict[str, set[str]] = {}
    for caution in cautions:
        found.setdefault(caution.topic, set()).update(caution.options)
    return found


def test_every_row_concerns_somebody_and_every_concern_has_a_row() -> None:
    assert {row["applies_to"] for row in ROWS} == {*CONCERNS, *BY_ANSWER}
    assert {row["source_id"] for row in ROWS} <= set(sources())


def test_local_rules_come_first_and_concern_everyone(
    gas_home: tuple[Home, tuple[OptionResult, ...]],
) -> None:
    home, options = gas_home
    cautions = cautions_for(home, options)
    assert cautions[0].topic == "Local rules"
    everyone = tuple(option.id for option in options)
    for caution in cautions:
        if caution.topic in {"Local rules", "Scalding", "Water and pressure", "Tap temperature"}:
            assert caution.options == everyone


def test_each_topic_concerns_the_heaters_it_is_about(
    gas_home: tuple[Home, tuple[OptionResult, ...]],
) -> None:
    home, options = gas_home
    found = by_topic(cautions_for(home, options))

    def ids(kinds: set[str] | frozenset[str]) -> set[str]:
        return {option.id for option in options if option.heater.kind in kinds}

    everyone = {option.id for option in options}
    assert found["Noise"] == found["Refrigerant"] == ids({"heat_pump"}) != set()
    assert found["Solar heat"] == ids(SOLAR_THERMAL) != set()
    assert found["Gas"] == ids(BURNS_GAS) != set()
    assert found["Old gas heater"] == found["Leaving gas"] == everyone - ids(BURNS_GAS)
    assert found["Weekly heat-through"] == everyone - ids(INLINE_BOOSTED)
    panels = {option.id for option in options if option.heater.has_direct_panels}
    assert found["Roof"] == ids(SOLAR_THERMAL) | panels
    assert found["Direct current"] == panels != set()


def test_burn_times_are_the_published_ones() -> None:
    """Moritz and Henriques 1947, as a US table restates it."""
    text = next(row["text"] for row in ROWS if row["topic"] == "Scalding")
    seconds = {
        float(row["temp_c"]): float(row["third_degree_s"]) for row in published_rows("scald_time")
    }
    assert f"60 degC burns deep in {seconds[60.0]:.0f} seconds" in text
    assert f"55 degC in {seconds[55.0]:.0f} seconds" in text
    assert f"49 degC in {seconds[49.0] / 60.0:.0f} minutes" in text


def test_taps_get_50_degrees_and_45_where_the_vulnerable_live(
    gas_home: tuple[Home, tuple[OptionResult, ...]],
) -> None:
    """National Construction Code 2022, volume 3, NSW B2D5."""
    home, options = gas_home
    (usual,) = [c for c in cautions_for(home, options) if c.topic == "Tap temperature"]
    assert "at most 50 degC" in usual.text
    people = home.case.people.model_copy(update={"vulnerable": True})
    frail = replace(home, case=home.case.model_copy(update={"people": people}))
    (careful,) = [c for c in cautions_for(frail, options) if c.topic == "Tap temperature"]
    assert "at most 45 degC" in careful.text


def test_frost_is_a_caution_only_where_the_year_has_it(
    gas_home: tuple[Home, tuple[OptionResult, ...]],
) -> None:
    home, options = gas_home
    limit_c = FROST_BELOW_C + COLD_SNAP_K
    for coldest_c, frost, pipes in (
        (limit_c + 0.1, False, False),
        (limit_c - 0.1, True, False),
        (COLD_SNAP_K + 0.1, True, False),
        (COLD_SNAP_K - 0.1, True, True),
    ):
        air_c = np.maximum(home.temp_air_c, 10.0)
        air_c[100] = coldest_c
        found = by_topic(cautions_for(replace(home, temp_air_c=air_c), options))
        assert ("Frost" in found) == frost
        assert ("Pipes in frost" in found) == pipes
        if frost:
            about = {o.id for o in options if o.heater.kind in SOLAR_THERMAL | {"heat_pump"}}
            assert found["Frost"] == about


def test_a_heat_pump_heard_at_night_is_named_and_quiet_hours_silence_it(
    gas_home: tuple[Home, tuple[OptionResult, ...]], tmp_path: Path
) -> None:
    home, options = gas_home
    found = by_topic(cautions_for(home, options))
    assert "heat-pump-always" in found["Noise at night"]
    assert "Quiet hours" not in found
    quiet = '[constraints]\nquiet_hours = [{ start = "22:00", end = "07:00" }]\n'
    home, options = advised(tmp_path, quiet)
    pumps = {option.id for option in options if option.heater.kind == "heat_pump"}
    assert all(option.sums.night_run_h == 0.0 for option in options if option.id in pumps)
    cautions = cautions_for(home, options)
    found = by_topic(cautions)
    assert found["Quiet hours"] == pumps
    assert "Noise at night" not in found
    assert any("22:00 to 07:00" in c.text for c in cautions if c.topic == "Quiet hours")


def test_the_rule_of_one_state_is_told_there_alone(
    gas_home: tuple[Home, tuple[OptionResult, ...]],
) -> None:
    """The noise control regulation of New South Wales; elsewhere the council is to be asked."""
    home, options = gas_home
    for state, is_told in (("NSW", True), ("VIC", False), (None, False)):
        there = replace(home, place=replace(home.place, state=state))
        told = [c.text for c in cautions_for(there, options) if c.topic == "Noise at night"]
        night = " ".join(told)
        assert len(told) <= 2  # of the best, and of all others
        heard = [o for o in options if o.heater.kind == "heat_pump" and o.sums.night_run_h > 10.0]
        for option in heard:
            hours = f"about {option.sums.night_run_h:,.0f} for {option.label}"
            assert sum(hours in text for text in told) == 1, option.label
        assert ("New South Wales" in night) == is_told
        assert ("ask the council" in night) != is_told


def test_new_panels_are_a_caution_where_the_answer_speaks_well_of_them(
    gas_home: tuple[Home, tuple[OptionResult, ...]],
) -> None:
    home, options = gas_home
    assert "New panels" not in by_topic(cautions_for(home, options))
    found = by_topic(cautions_for(home, options, new_panels=True))
    assert found["New panels"] == {option.id for option in options}


def test_hours_of_the_night_are_counted_by_the_clock() -> None:
    """Nine hours of each night, 365 nights; none of a heater that runs from 07:00 to 22:00."""
    clock = year_clock(2027, "Australia/Sydney", 30, "AU", "NSW")
    always_w = np.full(clock.n_steps, 1000.0)
    assert night_run_h(always_w, clock) == pytest.approx(9.0 * 365.0, abs=1.0)
    by_day = (clock.clock_minute >= 7 * 60) & (clock.clock_minute < 22 * 60)
    assert night_run_h(np.where(by_day, 1000.0, 0.0), clock) == 0.0


TRADES_WORK = re.compile(r"\b(connect|wire|wiring|install|disconnect|alter|cap|open|fits?)\b", re.I)


@pytest.mark.parametrize("row", ROWS, ids=[f"{r['topic']}-{r['applies_to']}" for r in ROWS])
def test_no_caution_tells_anyone_to_do_a_trades_work(row: dict[str, str]) -> None:
    for sentence in re.split(r"(?<=[.:])\s", row["text"]):
        if TRADES_WORK.search(sentence):
            assert re.search(r"licensed|^Never|ask", sentence), sentence
