"""Heat pumps, collectors and tanks of whole homes: what each feature must do to a year.

Unless a test names a source, it rests on arithmetic of the models.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tankful.model.system import Control
from tankful.model.window import Window

SUN = "[electricity]\nannual_use_kwh = 5000.0\n[[electricity.arrays]]\nkw = 6.6\n"
PLAN = """
[electricity.tariff]
supply_per_day = 1.2
usage = [{ price_per_kwh = 0.30 }]
feed_in = [{ price_per_kwh = 0.05 }]
controlled_load = { price_per_kwh = 0.20, hours = [{ start = "22:00", end = "07:00" }] }
"""
CAPITALS = {
    "Darwin": "0800",
    "Brisbane": "4000",
    "Sydney": "2000",
    "Melbourne": "3000",
    "Hobart": "7000",
}
ALPINE = "2627"
"""Thredbo and around, in the Snowy Mountains: frost in most winter nights."""


TOP_UP = Control("reserve", catch_up_c=50.0, sanitise_after_h=24.0)
DIVERTED = Control("diverter", catch_up_c=47.5, sanitise_after_h=144.0, setpoint_c=70.0)
ALWAYS = Control("always")


# Heat pumps


def pump(quote: str) -> str:
    return f'[[quotes]]\nfamily = "heat_pump"\n{quote}'


@pytest.mark.parametrize("postcode", CAPITALS.values(), ids=CAPITALS)
def test_better_classes_of_heat_pumps_take_less_electricity(place, postcode):
    at = place("", postcode)
    takes = [
        at.sums(place(pump(f'grade = "{grade}"\n'), postcode).heater("heat_pump")).electricity_kwh
        for grade in ("entry", "good", "best")
    ]
    assert takes == sorted(takes, reverse=True)
    assert takes[0] > 1.1 * takes[2]


@pytest.mark.parametrize("postcode", CAPITALS.values(), ids=CAPITALS)
def test_the_two_models_of_a_heat_pump_agree_within_a_fifth_over_the_year(place, postcode):
    """Calibrated by the same test report at 19.7 degC air. The band is stated, not published:
    beyond it the choice of the model would decide the advice."""
    at = place("", postcode)
    lab, carnot = (
        at.sums(
            place(pump(f'cop = 3.2\ncop_model = "{name}"\n')).heater("heat_pump")
        ).electricity_kwh
        for name in ("lab_curve", "carnot")
    )
    assert carnot == pytest.approx(lab, rel=0.20)


@pytest.mark.parametrize("model", ["lab_curve", "carnot"])
def test_a_report_of_cold_air_makes_a_better_heat_pump_than_the_same_figure_of_warm_air(
    place, model
):
    cold, warm = (
        place(pump(f'cop = 3.0\ncop_model = "{model}"\ncop_air_c = {air}\n'))
        .heater("heat_pump")
        .heat_pump
        for air in (7.0, 25.0)
    )
    assert cold is not None
    assert warm is not None
    assert cold.cop > 1.15 * warm.cop


def test_a_variable_speed_heat_pump_follows_weaker_sun_than_it_could_be_switched_by(place):
    at = place(SUN + '[[quotes]]\nfamily = "heat_pump"\nvariable_speed = true\n')
    unit = at.heater("heat_pump")
    assert unit.heat_pump is not None
    assert unit.heat_pump.min_share < 1.0
    following = Control("diverter", catch_up_c=45.0)
    flows = at.flows(unit, following)
    rated_w = unit.heat_pump.heat_w / unit.heat_pump.cop
    spare = at.year.surplus_w
    part_load = (flows.heater_w > 20.0) & (flows.heater_w < 0.8 * rated_w) & (spare < rated_w)
    assert part_load.sum() > 100
    fixed = replace(unit, heat_pump=replace(unit.heat_pump, min_share=1.0))
    own = at.sums(unit, following)
    assert own.own_sun_kwh / own.electricity_kwh > 0.5
    assert own.purchased_kwh < at.sums(fixed, following).purchased_kwh + 1.0


@pytest.mark.parametrize("postcode", [ALPINE, "2600"], ids=["Thredbo", "Canberra"])
def test_in_the_cold_a_pump_that_cuts_out_early_runs_on_its_element(place, postcode):
    at = place("", postcode)
    hardy, soft = (
        at.flows(replace(unit, heat_pump=replace(unit.heat_pump, cut_out_air_c=limit_c)), ALWAYS)
        for unit in (at.heater("heat_pump"),)
        for limit_c in (-20.0, 5.0)
    )
    assert soft.heater_w.sum() > 1.05 * hardy.heater_w.sum()


# Collectors


def test_frost_protection_takes_heat_in_the_cold_and_none_in_the_tropics(place):
    taken = {
        name: place("", postcode).sums(place("", postcode).heater("solar_flat"), TOP_UP).frost_kwh
        for name, postcode in {"Thredbo": ALPINE, "Darwin": "0800"}.items()
    }
    assert taken["Thredbo"] > 20.0
    assert taken["Darwin"] == 0.0


def test_antifreeze_takes_no_heat_from_the_tank(place):
    text = '[[quotes]]\nfamily = "solar_flat"\nfrost_protection = "antifreeze"\n'
    at, guarded = place(text, ALPINE), place("", ALPINE)
    free = at.sums(at.heater("solar_flat"), TOP_UP)
    assert free.frost_kwh == 0.0
    assert free.purchased_kwh < guarded.sums(guarded.heater("solar_flat"), TOP_UP).purchased_kwh


def area(m2: float) -> str:
    return (
        f'[[quotes]]\nfamily = "solar_flat"\ncollector_m2 = {m2}\ncollector_eta0 = 0.77\n'
        "collector_a1 = 3.6\ncollector_a2 = 0.014\n"
    )


@pytest.mark.parametrize("postcode", CAPITALS.values(), ids=CAPITALS)
def test_more_collector_area_buys_less_and_stands_still_longer(place, postcode):
    sums = []
    for m2 in (1.0, 2.0, 4.0, 8.0):
        at = place(area(m2), postcode)
        sums.append(at.sums(at.heater("solar_flat"), TOP_UP))
    bought = [each.purchased_kwh for each in sums]
    still = [each.stagnation_h for each in sums]
    assert bought == sorted(bought, reverse=True)
    assert still == sorted(still)
    assert still[0] == 0.0
    # light above some 500 W/m2 makes 120 degC: no place has more hours of it (judgement)
    assert still[-1] < 1500.0


def test_collectors_without_a_pump_take_no_electricity_for_it(place):
    text = '[[quotes]]\nfamily = "solar_flat"\ncirculation = "thermosiphon"\n'
    at, pumped = place(text), place(text.replace("thermosiphon", "pump"))
    tank, other = at.heater("solar_flat"), pumped.heater("solar_flat")
    assert tank.collector is not None
    assert tank.collector.pump_w == 0.0
    assert tank.collector.frost_guard_c is None
    free, paid = at.sums(tank, TOP_UP), pumped.sums(other, TOP_UP)
    assert paid.electricity_kwh - free.electricity_kwh > 20.0


def test_off_peak_boost_buys_in_its_hours_while_the_pump_stays_on_the_general_circuit(place):
    at = place(PLAN)
    option = at.options["solar-flat-off-peak"]
    flows = at.flows(option.heater, option.controls[0])
    night = Window(start="22:00", end="07:00").mask(at.home.clock)
    assert flows.controlled_w[~night].sum() == 0.0
    assert flows.controlled_w.sum() > 0.0
    assert 0.0 < flows.heater_w.max() <= 35.0 + 1e-9
    running = flows.heater_w > 0.0
    assert np.all(flows.solar_w[running] != 0.0)


@pytest.mark.parametrize("postcode", CAPITALS.values(), ids=CAPITALS)
def test_a_boost_after_the_tank_lifts_what_the_sun_leaves_too_cold(place, postcode):
    """No draw comes cold however cold the tank, and it burns less than without the sun."""
    at = place("[gas]\nconnected = true\n", postcode)
    solar = at.flows(at.heater("solar_gas"))
    plain = at.flows(at.heater("gas_continuous"))
    assert solar.unmet_w.max() <= 1e-6
    assert np.nanmin(solar.outlet_c) >= 39.9
    assert solar.mean_c.min() < 50.0
    assert 0.0 < solar.gas_w.sum() < plain.gas_w.sum()
    # where the tank is hotter than the booster makes it, no gas is burnt
    hot = (solar.top_c > 68.0) & (np.roll(solar.top_c, 1) > 68.0)
    assert hot.any()
    assert solar.gas_w[hot].max() == 0.0


@pytest.mark.parametrize("postcode", CAPITALS.values(), ids=CAPITALS)
def test_an_electric_continuous_heater_after_the_tank_buys_less_than_alone(place, postcode):
    """It never heats the tank, and leaves draws cold less often than without the sun."""
    at = place('[[quotes]]\nfamily = "solar_inline"\n', postcode)
    solar = at.options["solar-inline"].heater
    behind, alone = at.sums(solar), at.sums(at.heater("electric_continuous"))
    flows = at.flows(solar)
    assert flows.heat_w[flows.delivered_w == 0.0].max() == 0.0
    assert flows.gas_w.max() == 0.0
    assert behind.cold_draws <= alone.cold_draws
    assert behind.purchased_kwh < 0.75 * alone.purchased_kwh
    hot = (flows.top_c > 68.0) & (np.roll(flows.top_c, 1) > 68.0)
    standing_w = flows.heater_w[hot].max() - solar.standby_w
    assert hot.any()
    assert standing_w <= 35.0 + 1e-9  # the pump of the collectors


def test_an_electric_continuous_heater_after_the_tank_heats_like_a_gas_one(place):
    """The same sun and the same lift; only losses at the start and the last few kelvin differ."""
    at = place('[gas]\nconnected = true\n[[quotes]]\nfamily = "solar_inline"\n', "0800")
    electric, gas = (at.flows(at.heater(family)) for family in ("solar_inline", "solar_gas"))
    assert electric.solar_w.sum() == pytest.approx(gas.solar_w.sum(), rel=1e-9)
    assert electric.heat_w.sum() == pytest.approx(gas.heat_w.sum(), rel=1e-3)


def test_a_burner_in_the_tank_heats_the_upper_half_and_leaves_the_rest_to_the_sun(place):
    text = '[gas]\nconnected = true\n[[quotes]]\nfamily = "solar_gas_tank"\n'
    at = place(text)
    option = at.options["solar-gas-tank"]
    daily = option.controls[-1]
    sunny = at.sums(option.heater, daily)
    dark = at.sums(replace(option.heater, collector=None), daily)
    assert sunny.collector_kwh > 1000.0
    assert sunny.gas_mj < 0.6 * dark.gas_mj
    assert sunny.longest_below_60_h <= 48.0
    assert sunny.cold_draws <= 12
    assert sunny.purchased_kwh < 120.0


def test_a_burner_in_a_solar_tank_is_offered_where_it_is_quoted_for_or_there_today(place):
    asked, plain = '[[quotes]]\nfamily = "solar_gas_tank"\n', "[gas]\nconnected = true\n"
    assert "solar-gas-tank" not in place(plain).options
    assert "solar-gas-tank" in place(plain + asked).options
    today = place('[heater]\nkind = "solar_gas_tank"\n')
    assert today.options["keep"].heater.burner_w > 0.0


# Tanks and continuous heaters


def test_a_second_element_high_up_leaves_the_tank_to_the_sun(place):
    at = place(SUN + '[[quotes]]\nfamily = "electric_storage"\ntwo_elements = true\n')
    two = at.heater("electric_storage")
    one = replace(two, boost_element_w=0.0, boost_height=0.0)
    assert two.boost_element_w > 0.0
    hers, his = (at.sums(each, DIVERTED) for each in (two, one))
    assert hers.purchased_kwh < his.purchased_kwh
    assert hers.own_sun_kwh > his.own_sun_kwh


def test_a_quoted_second_element_is_offered_beside_todays_plain_tank(place):
    quote = '[[quotes]]\nfamily = "electric_storage"\ntwo_elements = true\n'
    today = place(SUN + quote).options
    assert today["electric-two-elements"].heater.boost_element_w > 0.0
    assert today["electric-diverter"].heater.boost_element_w == 0.0
    assert "electric-two-elements" not in place(SUN).options
    gas = place('[heater]\nkind = "gas_storage"\n' + SUN + quote).options
    assert gas["electric-diverter"].label.startswith("Two-element tank")


@pytest.mark.parametrize("step_min", [1, 5])
def test_electricity_a_continuous_heater_buys_hardly_hangs_on_the_step(place, step_min):
    """Within 1 %: its bursts meet the sun of their own minutes, not of the whole step."""
    coarse, fine = place(SUN), place(SUN, step_min=step_min)
    tankless = coarse.heater("electric_continuous")
    bought = [at.sums(tankless).purchased_kwh for at in (coarse, fine)]
    assert bought[0] == pytest.approx(bought[1], rel=0.01)


def test_panels_of_its_own_cost_no_export_and_are_told_apart(place):
    at = place(SUN)
    option = at.options["electric-dedicated-panels"]
    sums = at.sums(option.heater, option.controls[0])
    assert sums.direct_kwh > 1000.0
    assert sums.own_sun_kwh >= sums.direct_kwh
    alone = place()
    option = alone.options["electric-dedicated-panels"]
    assert alone.sums(option.heater, option.controls[0]).own_sun_kwh == pytest.approx(
        alone.sums(option.heater, option.controls[0]).direct_kwh
    )
