"""Sizes and fit: the hardest week, verdicts, other sizes, new tanks, and what is ruled out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tankful import service
from tankful.advice.compare import Comparison, evaluate_all
from tankful.advice.fit import rule_out_simulated, rule_out_unfit, winter_share
from tankful.advice.options import build_options
from tankful.advice.size_words import size_sentence, week_sentence
from tankful.advice.worst_week import draw_heat_kwh, litres_for, worst_week
from tankful.model.answer import Answer
from tankful.model.home import Home

START = "as_of = 2026-11-25\n[simulation]\nstep_min = 30\n"
SUN = "[[electricity.arrays]]\nkw = 5.0\n"
TANK = '[heater]\nkind = "electric_storage"\n'


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Path]:
    def make(text: str = "", postcode: str = "2480") -> Path:
        path = tmp_path_factory.mktemp("home") / "home.toml"
        path.write_text(f'{START}[place]\npostcode = "{postcode}"\n{text}')
        return path

    return make


def advised(made: Callable[..., Path], text: str = "", postcode: str = "2480") -> Answer:
    return service.advise(made(text, postcode))


def offered(home: Home) -> tuple[list[str], dict[str, str]]:
    options, excluded = build_options(home)
    return [option.id for option in options], {item.id: item.reason for item in excluded}


def test_no_seven_days_ask_for_more_than_the_hardest_week(made: Callable[..., Path]) -> None:
    home = service.load_home(made(SUN))
    week = worst_week(home)
    heat_kwh = draw_heat_kwh(home)
    day = (home.draws.start_s // 86_400).astype(int)
    days = np.bincount(day, heat_kwh, minlength=365)
    every = [days.take(range(d, d + 7), mode="wrap").sum() for d in range(365)]
    assert week.heat_kwh == pytest.approx(max(every))
    assert week.day_kwh * 7 == pytest.approx(week.heat_kwh)
    assert (week.last - week.first).days == 6
    inside = (day - week.first_day) % 365 < 7
    start_s = home.draws.start_s[inside]
    peaks = [heat_kwh[inside][(start_s >= s) & (start_s < s + 7200.0)].sum() for s in start_s]
    assert week.peak_kwh == pytest.approx(max(peaks))


def test_a_standard_day_repeated_asks_for_seven_times_its_heat(
    made: Callable[..., Path],
) -> None:
    """EU 812/2013, pattern L: 11.655 kWh a day above 10 degC; other cold water asks for other
    heat, in proportion to the lift of each draw, so the mean day is near its litres' heat."""
    home = service.load_home(made('[people]\npattern = "EU-L"\n'))
    week = worst_week(home)
    share = week.day_kwh / 11.655
    lift_k = float(np.average(home.draws.wanted_c)) - week.cold_c
    assert share == pytest.approx(lift_k / (lift_k + week.cold_c - 10.0), rel=0.05)


def test_litres_for_heat_is_heat_over_lift(made: Callable[..., Path]) -> None:
    """1 kWh lifts 86 L by 10 K: 3.6 MJ / (4186 J/kg K x 10 K) = 86.0 kg (arithmetic)."""
    home = service.load_home(made())
    hot_c = worst_week(home).cold_c + 10.0
    assert litres_for(1.0, home, hot_c) == pytest.approx(86.0, abs=0.05)


def test_a_tank_too_small_for_the_family_is_called_small_and_the_next_is_warmer(
    made: Callable[..., Path],
) -> None:
    answer = advised(made, "[people]\ncount = 5\n" + TANK + "tank_l = 50.0\nelement_kw = 1.2\n")
    keep = next(option for option in answer.options if option.id == "keep")
    assert keep.sizing is not None
    assert keep.sizing.verdict == "small"
    assert keep.sizing.chosen_by == "today"
    assert keep.sizing.coverage < 0.95
    assert keep.sizing.other is not None
    assert keep.sizing.other.tank_l == 80.0
    assert keep.sizing.other.cold_draws_change < 0
    assert "Small" in size_sentence(keep, "AUD")


def test_a_huge_tank_for_one_person_is_ample_and_a_smaller_one_loses_less(
    made: Callable[..., Path],
) -> None:
    answer = advised(made, "[people]\ncount = 1\n" + TANK + "tank_l = 400.0\n")
    keep = next(option for option in answer.options if option.id == "keep")
    assert keep.sizing is not None
    assert keep.sizing.verdict == "ample"
    assert keep.sizing.cold_draws == 0
    assert keep.sizing.other is not None
    assert keep.sizing.other.year_one_change < 0.0
    assert "Ample: no cold shower all year" in size_sentence(keep, "AUD")
    assert "asks for" in week_sentence(keep.sizing.week)


def test_heaters_without_a_tank_have_no_size(made: Callable[..., Path]) -> None:
    for option in advised(made, SUN).options:
        assert (option.sizing is None) == (option.heater.tank_l == 0.0)
        assert bool(size_sentence(option, "AUD")) == (option.sizing is not None)


QUOTED = '[[quotes]]\nfamily = "electric_storage"\ntank_l = 400.0\n'


def test_a_larger_quoted_tank_is_an_option_beside_todays(made: Callable[..., Path]) -> None:
    ids, _ = offered(service.load_home(made(TANK + "tank_l = 250.0\n" + SUN + QUOTED)))
    assert {"electric-timed", "electric-new-timed", "electric-new-diverter"} <= set(ids)
    home = service.load_home(made(TANK + "tank_l = 250.0\n" + SUN + QUOTED))
    new = next(o for o in build_options(home)[0] if o.id == "electric-new-diverter")
    assert new.heater.tank_l == 400.0
    assert new.parts == ("electric_storage", "diverter")
    assert not new.of_today


def test_no_larger_quote_no_new_tank(made: Callable[..., Path]) -> None:
    for quote in ("", QUOTED):
        ids, _ = offered(service.load_home(made(TANK + "tank_l = 400.0\n" + SUN + quote)))
        assert not any(name.startswith("electric-new") for name in ids)


def test_a_tank_too_small_for_a_day_of_sun_gets_a_new_one_with_the_diverter(
    made: Callable[..., Path],
) -> None:
    home = service.load_home(made("[people]\ncount = 4\n" + TANK + "tank_l = 80.0\n" + SUN))
    ids, _ = offered(home)
    assert "electric-new-diverter" in ids
    assert "electric-new-timed" not in ids


def test_tanks_that_find_no_room_are_ruled_out_but_never_todays(
    made: Callable[..., Path],
) -> None:
    text = TANK + "tank_l = 315.0\n" + SUN + "[constraints]\nlargest_tank_l = 100.0\n"
    ids, reasons = offered(service.load_home(made(text)))
    assert "keep" in ids
    assert "electric-timed" in ids
    assert "there is room for 100 L" in reasons["heat-pump-timed"]
    home = service.load_home(
        made('[heater]\nkind = "none"\n[constraints]\nlargest_tank_l = 100.0\n')
    )
    ids, reasons = offered(home)
    assert "electric-always" in ids
    assert "electric-timed" in reasons


def test_a_weak_supply_rules_out_the_electric_heater_without_a_tank(
    made: Callable[..., Path],
) -> None:
    _, reasons = offered(service.load_home(made("[constraints]\nweak_supply = true\n")))
    assert "supply" in reasons["electric-continuous"]


def test_a_heat_pump_that_stands_still_in_the_cold_is_ruled_out_with_its_numbers(
    made: Callable[..., Path],
) -> None:
    """Canberra: an entry class stops below 0 degC, which is rare; one stopping at 12 degC would
    stand still for much of the year."""
    home = service.load_home(made(postcode="2600"))
    options, _ = build_options(home)
    ids = {option.id for option in options}
    assert "heat-pump-timed" in ids
    warm = []
    for option in options:
        pump = option.heater.heat_pump
        heater = option.heater
        if pump is not None:
            heater = replace(heater, heat_pump=replace(pump, cut_out_air_c=12.0))
        warm.append(replace(option, heater=heater))
    fitting, unfit = rule_out_unfit(home, warm)
    share = float((home.temp_air_c < 12.0).mean())
    assert not any(option.heater.heat_pump for option in fitting)
    assert all(f"for {share:.0%} of the year" in item.reason for item in unfit)
    assert winter_share(home, np.ones(home.clock.n_steps, dtype=bool)) == pytest.approx(1.0)
    assert winter_share(home, home.temp_air_c < 12.0) > share


def test_a_diverter_without_spare_sun_is_simulated_and_ruled_out(
    made: Callable[..., Path],
) -> None:
    text = TANK + "[electricity]\nannual_use_kwh = 12000.0\n[[electricity.arrays]]\nkw = 0.4\n"
    answer = advised(made, text)
    reasons = {item.id: item.reason for item in answer.excluded}
    assert "simulated and ruled out: spare sun would give" in reasons["electric-diverter"]
    assert answer.options[0].rank == 1
    assert "electric-diverter" not in {option.id for option in answer.options}


def test_a_neighbour_rules_out_a_heat_pump_that_runs_at_night(made: Callable[..., Path]) -> None:
    text = TANK + "[constraints]\nneighbour_near = true\n"
    home = service.load_home(made(text))
    comparison = Comparison(home)
    options = [o for o in build_options(home)[0] if o.heater.heat_pump or o.id == "keep"]
    evaluated = evaluate_all(comparison, options, lambda done, total, what: None)
    nights = {e.option.id: e.sums.night_run_h for e in evaluated if e.heater.heat_pump}
    fitting, unfit = rule_out_simulated(home, evaluated)
    assert {item.id for item in unfit} == {name for name, h in nights.items() if h > 10.0}
    assert "heat-pump-always" in {item.id for item in unfit}
    assert all("between 22:00 and 07:00" in item.reason for item in unfit)
    assert "keep" in {item.option.id for item in fitting}
