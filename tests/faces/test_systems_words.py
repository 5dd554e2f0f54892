"""What people read about collectors, battery, car, bottled gas and continuous heaters."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from click.testing import CliRunner

from tankful import service
from tankful.advice.why import option_sentences, step_text
from tankful.advice.wording import control_sentence
from tankful.cli.main import cli
from tankful.cli.show_answer import show_answer
from tankful.cli.tables import plain_console
from tankful.model.answer import Answer, OptionResult

EXAMPLES = Path(__file__).parents[2] / "examples"
SOLAR = EXAMPLES / "04-solar-battery.toml"
BOTTLED = """
as_of = 2026-11-25
[simulation]
step_min = 60
[place]
postcode = "2627"
elevation_m = 1000.0
[heater]
kind = "gas_continuous"
[gas.bottles]
price_per_l = 2.1
rent_per_year = 90.0
[constraints]
no_heat_pump = true
"""


@pytest.fixture(scope="module")
def solar() -> Answer:
    return service.advise(SOLAR)


@pytest.fixture(scope="module")
def bottled(tmp_path_factory: pytest.TempPathFactory) -> Answer:
    path = tmp_path_factory.mktemp("bottled") / "home.toml"
    path.write_text(BOTTLED, encoding="utf-8")
    return service.advise(path)


def option(answer: Answer, name: str) -> OptionResult:
    return next(item for item in answer.options if item.id == name)


def printed(answer: Answer) -> str:
    console = plain_console()
    console.file = io.StringIO()
    show_answer(answer, all_sources=True, bills=True, console=console)
    return console.file.getvalue()


def check(path: Path) -> str:
    result = CliRunner().invoke(cli, ["check", str(path)], catch_exceptions=False)
    return " ".join(result.output.split())


# tankful check


def test_check_tells_what_was_understood_of_the_new_systems() -> None:
    text = check(SOLAR)
    for words in (
        "3.8 m2 of collectors",
        "no pump, 15 years old, off-peak circuit",
        "3.3 kW of panels (10% to 35% of the light lost to shade)",
        "export at most 1.5 kW September to November 11:00 to 14:00",
        "export at most 5 kW otherwise",
        "10 kWh, 5% of it kept back, 5 kW, 88% comes back; spare sun goes to the water first",
        "7 kWh a day, 00:00 to 06:00; weekends and holidays 10:00 to 15:00 at 0.9 kW",
        "4.6 m2 of collectors (eta0 0.78, a1 3.9, a2 0.012)",
        "from 3.1 at air 7 degC (wet bulb 6.0), water 10 to 55 degC",
        "electric tank: 2,400 AUD, 400 L, two elements",
    ):
        assert words in text


def test_check_tells_bottled_gas_by_its_own_price_and_no_network_to_leave(tmp_path: Path) -> None:
    path = tmp_path / "home.toml"
    path.write_text(BOTTLED, encoding="utf-8")
    text = check(path)
    assert "bottled gas 2.1 AUD/L that is 0.0817 AUD/MJ rent of the bottles 90 AUD a year" in text
    assert "leaving the network" not in text


# tankful advise


def test_every_option_with_every_note_fit_eighty_columns(solar: Answer) -> None:
    assert len(solar.options) >= 16
    text = printed(solar)
    assert max(map(len, text.split("\n"))) <= 80
    assert "…" not in text


def test_every_option_with_collectors_says_what_they_bring(solar: Answer) -> None:
    with_collectors = [item for item in solar.options if item.heater.collector is not None]
    assert len(with_collectors) >= 5
    for item in with_collectors:
        first = option_sentences(item, solar.horizon_years, solar.currency)[0]
        assert first.startswith(f"Its collectors bring {item.sums.collector_kwh:,.0f} kWh of heat")
        assert control_sentence(item, solar.currency).startswith("Electric boost: ")


def test_frost_is_told_where_it_takes_heat(bottled: Answer, solar: Answer) -> None:
    cold = option(bottled, "solar-flat-electric")
    assert cold.sums.frost_kwh > 1.0
    assert "went up to them against frost" in option_sentences(cold, 15, "AUD")[0]
    safe = option(solar, "solar-flat-new-electric")
    assert safe.sums.frost_kwh == 0.0
    assert "frost" not in option_sentences(safe, 15, "AUD")[0]


def test_panels_of_its_own_are_told_apart_from_the_homes_own_sun(solar: Answer) -> None:
    item = option(solar, "electric-dedicated-panels")
    first = option_sentences(item, solar.horizon_years, solar.currency)[0]
    assert first == (
        f"Its own panels bring {item.sums.direct_kwh:,.0f} kWh a year straight to the element."
    )


def test_a_heat_pump_that_follows_the_sun_has_no_diverter(solar: Answer) -> None:
    text = control_sentence(option(solar, "heat-pump-following"), solar.currency)
    assert text.startswith("Setting: power following spare sun")


def test_the_other_order_of_battery_and_water_is_told(solar: Answer, bottled: Answer) -> None:
    (note,) = [text for text in solar.notes if "with the battery first" in text]
    assert "with the water first" in note
    assert "bill $" in note
    assert not any("battery" in text for text in bottled.notes)


def test_the_boost_is_what_is_run_where_collectors_are_best(bottled: Answer) -> None:
    assert bottled.best.heater.collector is not None
    assert "Run the boost of " in printed(bottled)


def test_the_rent_of_bottles_ends_and_no_network_is_left(bottled: Answer) -> None:
    electric = option(bottled, "electric-always")
    text = " ".join(option_sentences(electric, bottled.horizon_years, bottled.currency))
    rent = electric.waterfall.step("bottle_rent")
    assert rent is not None
    assert rent.amount_cents < 0
    words = step_text(rent, electric.waterfall, electric, "AUD")
    assert words == "The rent of the gas bottles ends"
    assert electric.waterfall.step("gas_supply") is None
    assert "network" not in text
    assert electric.upfront.leaving_gas == 0.0
    topics = {caution.topic for caution in bottled.cautions}
    assert "Gas bottles" in topics
    assert "Leaving gas" not in topics


def test_water_that_runs_to_waste_is_told_for_heaters_without_a_tank(bottled: Answer) -> None:
    """64.6 L a day: Water Efficiency Labelling and Standards scheme, 2008 (transcribed)."""
    gas, electric, tank = (
        option(bottled, name) for name in ("keep", "electric-continuous", "electric-always")
    )
    assert gas.wait_water_l_per_day == 64.6
    assert electric.wait_water_l_per_day is None
    assert tank.wait_water_l_per_day is None
    (note,) = [text for text in bottled.notes if "runs to waste" in text]
    assert "65 L a day" in note
    assert gas.label in note
    record = service.answer_as_json(bottled)
    by_id = {item["id"]: item for item in record["options"]}
    assert by_id["keep"]["wait_water_l_per_day"] == 64.6
    assert any("water that has cooled in the pipes included" in note for note in bottled.notes)


def test_json_counts_comfort_in_litres(solar: Answer) -> None:
    for item in service.answer_as_json(solar)["options"]:
        litres, draws = item["cold_litres_per_year"], item["cold_draws_per_year"]
        assert litres >= 0.0
        assert (litres > 0.0) == (draws > 0)


def test_cautions_name_what_can_hurt_in_the_new_systems(solar: Answer, bottled: Answer) -> None:
    topics = {caution.topic for caution in (*solar.cautions, *bottled.cautions)}
    assert {"Direct current", "Heavy supply", "Preheated water", "Solar heat", "Roof"} <= topics


def test_assumptions_name_no_equipment_that_no_option_has(solar: Answer) -> None:
    paths = {item.path for item in solar.assumptions}
    assert any(path.startswith("quotes[solar_tube].") for path in paths)
    assert not any(path.startswith(("quotes[solar_gas", "quotes[gas_")) for path in paths)
