"""Whole homes with the systems around a tank: what each feature must do to a year.

Homes are invented and simulated on a step of a quarter hour. Unless a test names a source,
it rests on arithmetic of the models.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest

from tankful import service
from tankful.advice.option import Option
from tankful.advice.options import build_options
from tankful.advice.settle import HomeMoney
from tankful.model.home import Home
from tankful.model.result import Flows, YearSums
from tankful.model.system import Control, WaterHeater
from tankful.model.window import Window
from tankful.simulate.drive import HomeYear, home_year
from tankful.simulate.run import simulate, year_sums
from tankful.units import J_PER_KWH, LPG_MJ_PER_KG, LPG_MJ_PER_L

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


@dataclass(frozen=True)
class Place:
    """A home, its year on the kernel's steps, and its options by id."""

    home: Home
    year: HomeYear
    options: dict[str, Option]

    def flows(self, heater: WaterHeater, control: Control | None = None) -> Flows:
        return simulate(heater if control is None else heater.under(control), self.year)

    def sums(self, heater: WaterHeater, control: Control | None = None) -> YearSums:
        return year_sums(self.flows(heater, control), self.year)


@cache
def place(text: str = "", postcode: str = "2000", step_min: int = 15) -> Place:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "home.toml"
        head = f"as_of = 2026-11-25\n[simulation]\nstep_min = {step_min}\n"
        path.write_text(f'{head}[place]\npostcode = "{postcode}"\n{text}')
        home = service.load_home(path)
    options, _ = build_options(home)
    return Place(home, home_year(home), {option.id: option for option in options})


def heater(family: str, at: Place) -> WaterHeater:
    found = at.home.equipment[family].heater
    assert found is not None
    return found


EVENING = Window(start="14:00", end="18:00")
TOP_UP = Control("reserve", catch_up_c=50.0, sanitise_after_h=24.0)
DIVERTED = Control("diverter", catch_up_c=47.5, sanitise_after_h=144.0, setpoint_c=70.0)
ALWAYS = Control("always")


# Battery and car


def battery(first: str) -> str:
    return SUN + f'[electricity.battery]\ncapacity_kwh = 10.0\nfirst = "{first}"\n'


@pytest.mark.parametrize("postcode", ["2000", "3000"])
def test_water_first_serves_the_water_and_battery_first_the_battery(postcode):
    sums = {}
    for first in ("water", "battery"):
        at = place(battery(first), postcode)
        sums[first] = at.sums(heater("electric_storage", at), DIVERTED)
    water, stored = sums["water"], sums["battery"]
    assert water.battery_kwh < stored.battery_kwh
    at = place(battery("water"), postcode)
    topped_up = {
        first: place(battery(first), postcode).flows(heater("electric_storage", at), DIVERTED)
        for first in ("water", "battery")
    }
    from_grid = {}
    for first, flows in topped_up.items():
        spare = place(battery(first), postcode).year.surplus_w
        from_grid[first] = np.maximum(0.0, flows.heater_w - spare).sum()
    assert from_grid["water"] < from_grid["battery"]


def test_a_battery_lowers_what_the_home_buys_and_never_feeds_the_grid():
    with_it, without = place(battery("battery")), place(SUN)
    tank = heater("electric_storage", with_it)
    stored, plain = with_it.flows(tank, ALWAYS), without.flows(tank, ALWAYS)
    assert stored.import_w.sum() < plain.import_w.sum()
    assert np.all(stored.export_w[stored.battery_w < -1e-6] <= 1e-6)


def car(hours: str) -> str:
    return SUN + f"[electricity.car]\nkwh_per_day = 8.0\nhours = [{hours}]\n"


def test_a_car_is_charged_with_its_energy_in_its_hours():
    window = Window(start="22:00", end="06:00")
    at, without = place(car('{ start = "22:00", end = "06:00" }')), place(SUN)
    added_w = at.home.house_w - without.home.house_w
    inside = window.mask(at.home.clock)
    assert np.allclose(added_w[~inside], 0.0)
    assert np.allclose(added_w[inside], 1000.0, rtol=0.01)
    kwh = added_w.sum() * at.home.clock.step_s / J_PER_KWH
    assert kwh == pytest.approx(8.0 * 365.0)


def test_a_car_at_noon_takes_sun_from_the_water_and_one_at_night_does_not():
    night, noon, none = (
        place(text)
        for text in (
            car('{ start = "22:00", end = "05:00" }'),
            car('{ start = "10:00", end = "15:00" }'),
            SUN,
        )
    )
    tank = heater("electric_storage", none)
    by_night, at_noon, alone = (at.sums(tank, DIVERTED) for at in (night, noon, none))
    assert by_night.own_sun_kwh == pytest.approx(alone.own_sun_kwh, rel=1e-6)
    assert at_noon.own_sun_kwh < alone.own_sun_kwh - 50.0
    assert at_noon.purchased_kwh > alone.purchased_kwh + 50.0


# Meter, limits and shade


def test_each_phase_metered_alone_lets_the_water_see_a_third_of_the_sun():
    net, each = place(SUN), place(SUN.replace("[[", 'metering = "each_phase"\n[[', 1))
    assert np.allclose(each.year.surplus_w, net.year.surplus_w / 3.0)
    tank = heater("electric_storage", net)
    assert each.sums(tank, ALWAYS).purchased_kwh > net.sums(tank, ALWAYS).purchased_kwh


def test_an_export_limit_by_the_hour_cuts_only_its_hours():
    limit = '[[electricity.export_limits]]\nstart = "10:00"\nend = "14:00"\nkw = 1.0\n'
    at, free = place(SUN + limit), place(SUN)
    tank = heater("electric_storage", at)
    cut, whole = at.flows(tank, ALWAYS), free.flows(tank, ALWAYS)
    noon = Window(start="10:00", end="14:00").mask(at.home.clock)
    assert cut.export_w[noon].max() <= 1000.0
    assert np.allclose(cut.export_w[~noon], whole.export_w[~noon])
    assert cut.curtailed_w[noon].sum() > 0.0
    assert whole.curtailed_w.sum() == 0.0


def test_shade_takes_its_share_of_each_month():
    shares = [0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 1.0, 0.5, 0.4, 0.3, 0.2, 0.1]
    shaded, clear = (
        place("[electricity]\ninverter_kw = 6.6\n[[electricity.arrays]]\nkw = 6.6\n" + extra)
        for extra in (f"shading = {shares}\n", "")
    )
    days = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    month = np.repeat(np.arange(1, 13), days)
    of_step = np.repeat(month, shaded.home.clock.steps_per_day)
    for number, share in enumerate(shares, start=1):
        inside = of_step == number
        left = shaded.home.pv_w[inside].sum() / clear.home.pv_w[inside].sum()
        # a weakly lit inverter loses a little more than its share
        assert left == pytest.approx(1.0 - share, abs=0.03)


# Bottled gas


@pytest.mark.parametrize("kind", ["gas_storage", "gas_continuous", "solar_gas"])
def test_bottled_gas_costs_its_energy_whether_priced_by_weight_or_volume(kind):
    per_kg = 4.0
    per_l = per_kg * LPG_MJ_PER_L / LPG_MJ_PER_KG
    amounts = []
    for price in (f"price_per_kg = {per_kg}", f"price_per_l = {per_l}"):
        text = f'[heater]\nkind = "{kind}"\n[gas.bottles]\n{price}\nrent_per_year = 90.0\n'
        at = place(text)
        money = HomeMoney.of(at.home, at.year)
        flows = at.flows(at.home.heater_today)
        bill = money.gas_bill(flows, burns_gas=True)
        burnt_mj = flows.gas_w.sum() * flows.step_s / 1e6
        assert bill.total == pytest.approx(burnt_mj / LPG_MJ_PER_KG * per_kg + 90.0, abs=0.02)
        assert at.home.gas_leaving_cost == 0.0
        amounts.append(bill.total)
    assert amounts[0] == pytest.approx(amounts[1], abs=0.02)


# Heat pumps


def pump_of(quote: str, postcode: str = "2000") -> WaterHeater:
    return heater("heat_pump", place(f'[[quotes]]\nfamily = "heat_pump"\n{quote}', postcode))


@pytest.mark.parametrize("postcode", CAPITALS.values(), ids=CAPITALS)
def test_better_classes_of_heat_pumps_take_less_electricity(postcode):
    at = place("", postcode)
    takes = [
        at.sums(pump_of(f'grade = "{grade}"\n', postcode)).electricity_kwh
        for grade in ("entry", "good", "best")
    ]
    assert takes == sorted(takes, reverse=True)
    assert takes[0] > 1.1 * takes[2]


@pytest.mark.parametrize("postcode", CAPITALS.values(), ids=CAPITALS)
def test_the_two_models_of_a_heat_pump_agree_within_a_fifth_over_the_year(postcode):
    """Calibrated by the same test report at 19.7 degC air. The band is stated, not published:
    beyond it the choice of the model would decide the advice."""
    at = place("", postcode)
    lab, carnot = (
        at.sums(pump_of(f'cop = 3.2\ncop_model = "{name}"\n', postcode)).electricity_kwh
        for name in ("lab_curve", "carnot")
    )
    assert carnot == pytest.approx(lab, rel=0.20)


@pytest.mark.parametrize("model", ["lab_curve", "carnot"])
def test_a_report_of_cold_air_makes_a_better_heat_pump_than_the_same_figure_of_warm_air(model):
    cold, warm = (
        pump_of(f'cop = 3.0\ncop_model = "{model}"\ncop_air_c = {air}\n').heat_pump
        for air in (7.0, 25.0)
    )
    assert cold is not None
    assert warm is not None
    assert cold.cop > 1.15 * warm.cop


def test_a_variable_speed_heat_pump_follows_weaker_sun_than_it_could_be_switched_by():
    at = place(SUN + '[[quotes]]\nfamily = "heat_pump"\nvariable_speed = true\n')
    pump = heater("heat_pump", at)
    assert pump.heat_pump is not None
    assert pump.heat_pump.min_share < 1.0
    following = Control("diverter", catch_up_c=45.0)
    flows = at.flows(pump, following)
    rated_w = pump.heat_pump.heat_w / pump.heat_pump.cop
    spare = at.year.surplus_w
    part_load = (flows.heater_w > 20.0) & (flows.heater_w < 0.8 * rated_w) & (spare < rated_w)
    assert part_load.sum() > 100
    fixed = replace(pump, heat_pump=replace(pump.heat_pump, min_share=1.0))
    own = at.sums(pump, following)
    assert own.own_sun_kwh / own.electricity_kwh > 0.5
    assert own.purchased_kwh < at.sums(fixed, following).purchased_kwh + 1.0


@pytest.mark.parametrize("postcode", [ALPINE, "2600"], ids=["Thredbo", "Canberra"])
def test_in_the_cold_a_pump_that_cuts_out_early_runs_on_its_element(postcode):
    at = place("", postcode)
    hardy, soft = (
        at.flows(replace(pump, heat_pump=replace(pump.heat_pump, cut_out_air_c=limit_c)), ALWAYS)
        for pump in (heater("heat_pump", at),)
        for limit_c in (-20.0, 5.0)
    )
    assert soft.heater_w.sum() > 1.05 * hardy.heater_w.sum()


# Collectors


def test_frost_protection_takes_heat_in_the_cold_and_none_in_the_tropics():
    taken = {
        name: place("", postcode).sums(heater("solar_flat", place("", postcode)), TOP_UP).frost_kwh
        for name, postcode in {"Thredbo": ALPINE, "Darwin": "0800"}.items()
    }
    assert taken["Thredbo"] > 20.0
    assert taken["Darwin"] == 0.0


def test_antifreeze_takes_no_heat_from_the_tank():
    text = '[[quotes]]\nfamily = "solar_flat"\nfrost_protection = "antifreeze"\n'
    at, guarded = place(text, ALPINE), place("", ALPINE)
    free = at.sums(heater("solar_flat", at), TOP_UP)
    assert free.frost_kwh == 0.0
    assert free.purchased_kwh < guarded.sums(heater("solar_flat", guarded), TOP_UP).purchased_kwh


def area(m2: float) -> str:
    return (
        f'[[quotes]]\nfamily = "solar_flat"\ncollector_m2 = {m2}\ncollector_eta0 = 0.77\n'
        "collector_a1 = 3.6\ncollector_a2 = 0.014\n"
    )


@pytest.mark.parametrize("postcode", CAPITALS.values(), ids=CAPITALS)
def test_more_collector_area_buys_less_and_stands_still_longer(postcode):
    sums = []
    for m2 in (1.0, 2.0, 4.0, 8.0):
        at = place(area(m2), postcode)
        sums.append(at.sums(heater("solar_flat", at), TOP_UP))
    bought = [each.purchased_kwh for each in sums]
    still = [each.stagnation_h for each in sums]
    assert bought == sorted(bought, reverse=True)
    assert still == sorted(still)
    assert still[0] == 0.0
    # light above some 500 W/m2 makes 120 degC: no place has more hours of it (judgement)
    assert still[-1] < 1500.0


def test_collectors_without_a_pump_take_no_electricity_for_it():
    text = '[[quotes]]\nfamily = "solar_flat"\ncirculation = "thermosiphon"\n'
    at, pumped = place(text), place(text.replace("thermosiphon", "pump"))
    tank, other = heater("solar_flat", at), heater("solar_flat", pumped)
    assert tank.collector is not None
    assert tank.collector.pump_w == 0.0
    assert tank.collector.frost_guard_c is None
    free, paid = at.sums(tank, TOP_UP), pumped.sums(other, TOP_UP)
    assert paid.electricity_kwh - free.electricity_kwh > 20.0


def test_off_peak_boost_buys_in_its_hours_while_the_pump_stays_on_the_general_circuit():
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
def test_a_boost_after_the_tank_lifts_what_the_sun_leaves_too_cold(postcode):
    """No draw comes cold however cold the tank, and it burns less than without the sun."""
    at = place("[gas]\nconnected = true\n", postcode)
    solar = at.flows(heater("solar_gas", at))
    plain = at.flows(heater("gas_continuous", at))
    assert solar.unmet_w.max() <= 1e-6
    assert np.nanmin(solar.outlet_c) >= 39.9
    assert solar.mean_c.min() < 50.0
    assert 0.0 < solar.gas_w.sum() < plain.gas_w.sum()
    # where the tank is hotter than the booster makes it, no gas is burnt
    hot = (solar.top_c > 68.0) & (np.roll(solar.top_c, 1) > 68.0)
    assert hot.any()
    assert solar.gas_w[hot].max() == 0.0


def test_a_burner_in_the_tank_heats_the_upper_half_and_leaves_the_rest_to_the_sun():
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


def test_a_burner_in_a_solar_tank_is_offered_where_it_is_quoted_for_or_there_today():
    asked, plain = '[[quotes]]\nfamily = "solar_gas_tank"\n', "[gas]\nconnected = true\n"
    assert "solar-gas-tank" not in place(plain).options
    assert "solar-gas-tank" in place(plain + asked).options
    today = place('[heater]\nkind = "solar_gas_tank"\n')
    assert today.options["keep"].heater.burner_w > 0.0


# Tanks and continuous heaters


def test_a_second_element_high_up_leaves_the_tank_to_the_sun():
    at = place(SUN + '[[quotes]]\nfamily = "electric_storage"\ntwo_elements = true\n')
    two = heater("electric_storage", at)
    one = replace(two, boost_element_w=0.0, boost_height=0.0)
    assert two.boost_element_w > 0.0
    hers, his = (at.sums(each, DIVERTED) for each in (two, one))
    assert hers.purchased_kwh < his.purchased_kwh
    assert hers.own_sun_kwh > his.own_sun_kwh


def test_a_quoted_second_element_is_offered_beside_todays_plain_tank():
    quote = '[[quotes]]\nfamily = "electric_storage"\ntwo_elements = true\n'
    today = place(SUN + quote).options
    assert today["electric-two-elements"].heater.boost_element_w > 0.0
    assert today["electric-diverter"].heater.boost_element_w == 0.0
    assert "electric-two-elements" not in place(SUN).options
    gas = place('[heater]\nkind = "gas_storage"\n' + SUN + quote).options
    assert gas["electric-diverter"].label.startswith("Two-element tank")


@pytest.mark.parametrize("step_min", [1, 5])
def test_electricity_a_continuous_heater_buys_hardly_hangs_on_the_step(step_min):
    """Within 1 %: its bursts meet the sun of their own minutes, not of the whole step."""
    coarse, fine = place(SUN), place(SUN, step_min=step_min)
    tankless = heater("electric_continuous", coarse)
    bought = [at.sums(tankless).purchased_kwh for at in (coarse, fine)]
    assert bought[0] == pytest.approx(bought[1], rel=0.01)


def test_panels_of_its_own_cost_no_export_and_are_told_apart():
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


# Which options there are


def test_work_on_the_roof_ruled_out_is_told_for_collectors_and_panels_of_its_own():
    at = place("[constraints]\nno_roof_work = true\n")
    assert not [name for name in at.options if "solar" in name or "dedicated" in name]
    _, excluded = build_options(at.home)
    told = {item.id: item.reason for item in excluded}
    assert "roof" in told["solar-thermal"]
    assert "roof" in told["electric-dedicated-panels"]


@pytest.mark.parametrize("kind", ["solar_flat", "solar_tube"])
def test_todays_collectors_can_be_run_otherwise_and_a_quote_stands_beside_them(kind):
    name = kind.replace("_", "-")
    today = f'[heater]\nkind = "{kind}"\n' + PLAN
    bare = place(today).options
    assert bare[f"{name}-electric"].parts == ("timer",)
    assert bare[f"{name}-off-peak"].parts == ("off_peak_connection",)
    assert f"{name}-new-electric" not in bare
    quoted = place(today + f'[[quotes]]\nfamily = "{kind}"\n').options
    assert quoted[f"{name}-new-electric"].parts == (kind,)


def test_a_home_on_the_controlled_load_pays_for_no_second_connection():
    today = '[heater]\nkind = "electric_storage"\ncontrol = "off_peak"\n' + PLAN
    assert place(today).options["solar-flat-off-peak"].parts == ("solar_flat",)
    assert "off_peak_connection" in place(PLAN).options["solar-flat-off-peak"].parts


def test_a_home_with_an_electric_continuous_heater_needs_no_new_circuit():
    options = place('[heater]\nkind = "electric_continuous"\n').options
    assert options["electric-always"].parts == ("electric_storage",)
    assert options["keep"].heater.booster is not None
