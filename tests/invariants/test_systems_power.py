"""Battery, car, meter, shade and bottled gas: what each must do to a year of a whole home.

Arithmetic of the models.
"""

from __future__ import annotations

import numpy as np
import pytest

from tankful.advice.settle import HomeMoney
from tankful.model.system import Control
from tankful.model.window import Window
from tankful.units import J_PER_KWH, LPG_MJ_PER_KG, LPG_MJ_PER_L

SUN = "[electricity]\nannual_use_kwh = 5000.0\n[[electricity.arrays]]\nkw = 6.6\n"


DIVERTED = Control("diverter", catch_up_c=47.5, sanitise_after_h=144.0, setpoint_c=70.0)
ALWAYS = Control("always")


# Battery and car


def battery(first: str) -> str:
    return SUN + f'[electricity.battery]\ncapacity_kwh = 10.0\nfirst = "{first}"\n'


@pytest.mark.parametrize("postcode", ["2000", "3000"])
def test_water_first_serves_the_water_and_battery_first_the_battery(place, postcode):
    sums = {}
    for first in ("water", "battery"):
        at = place(battery(first), postcode)
        sums[first] = at.sums(at.heater("electric_storage"), DIVERTED)
    water, stored = sums["water"], sums["battery"]
    assert water.battery_kwh < stored.battery_kwh
    at = place(battery("water"), postcode)
    topped_up = {
        first: place(battery(first), postcode).flows(at.heater("electric_storage"), DIVERTED)
        for first in ("water", "battery")
    }
    from_grid = {}
    for first, flows in topped_up.items():
        spare = place(battery(first), postcode).year.surplus_w
        from_grid[first] = np.maximum(0.0, flows.heater_w - spare).sum()
    assert from_grid["water"] < from_grid["battery"]


def test_a_battery_lowers_what_the_home_buys_and_never_feeds_the_grid(place):
    with_it, without = place(battery("battery")), place(SUN)
    tank = with_it.heater("electric_storage")
    stored, plain = with_it.flows(tank, ALWAYS), without.flows(tank, ALWAYS)
    assert stored.import_w.sum() < plain.import_w.sum()
    assert np.all(stored.export_w[stored.battery_w < -1e-6] <= 1e-6)


def car(hours: str) -> str:
    return SUN + f"[electricity.car]\nkwh_per_day = 8.0\nhours = [{hours}]\n"


def test_a_car_is_charged_with_its_energy_in_its_hours(place):
    window = Window(start="22:00", end="06:00")
    at, without = place(car('{ start = "22:00", end = "06:00" }')), place(SUN)
    added_w = at.home.house_w - without.home.house_w
    inside = window.mask(at.home.clock)
    assert np.allclose(added_w[~inside], 0.0)
    assert np.allclose(added_w[inside], 1000.0, rtol=0.01)
    kwh = added_w.sum() * at.home.clock.step_s / J_PER_KWH
    assert kwh == pytest.approx(8.0 * 365.0)


def test_a_car_at_noon_takes_sun_from_the_water_and_one_at_night_does_not(place):
    night, noon, none = (
        place(text)
        for text in (
            car('{ start = "22:00", end = "05:00" }'),
            car('{ start = "10:00", end = "15:00" }'),
            SUN,
        )
    )
    tank = none.heater("electric_storage")
    by_night, at_noon, alone = (at.sums(tank, DIVERTED) for at in (night, noon, none))
    assert by_night.own_sun_kwh == pytest.approx(alone.own_sun_kwh, rel=1e-6)
    assert at_noon.own_sun_kwh < alone.own_sun_kwh - 50.0
    assert at_noon.purchased_kwh > alone.purchased_kwh + 50.0


# Meter, limits and shade


def test_each_phase_metered_alone_lets_the_water_see_a_third_of_the_sun(place):
    net, each = place(SUN), place(SUN.replace("[[", 'metering = "each_phase"\n[[', 1))
    assert np.allclose(each.year.surplus_w, net.year.surplus_w / 3.0)
    tank = net.heater("electric_storage")
    assert each.sums(tank, ALWAYS).purchased_kwh > net.sums(tank, ALWAYS).purchased_kwh


def test_an_export_limit_by_the_hour_cuts_only_its_hours(place):
    limit = '[[electricity.export_limits]]\nstart = "10:00"\nend = "14:00"\nkw = 1.0\n'
    at, free = place(SUN + limit), place(SUN)
    tank = at.heater("electric_storage")
    cut, whole = at.flows(tank, ALWAYS), free.flows(tank, ALWAYS)
    noon = Window(start="10:00", end="14:00").mask(at.home.clock)
    assert cut.export_w[noon].max() <= 1000.0
    assert np.allclose(cut.export_w[~noon], whole.export_w[~noon])
    assert cut.curtailed_w[noon].sum() > 0.0
    assert whole.curtailed_w.sum() == 0.0


def test_shade_takes_its_share_of_each_month(place):
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
def test_bottled_gas_costs_its_energy_whether_priced_by_weight_or_volume(place, kind):
    per_kg = 4.0
    per_l = per_kg * LPG_MJ_PER_L / LPG_MJ_PER_KG
    amounts = []
    for price in (f"price_per_kg = {per_kg}", f"price_per_l = {per_l}"):
        text = f'[heater]\nkind = "{kind}"\n[gas.bottles]\n{price}\nrent_per_year = 90.0\n'
        at = place(text)
        money = HomeMoney.of(at.home, at.year)
        flows = at.flows(at.home.heater_today)
        bill = money.bills(flows, burns_gas=True).gas
        burnt_mj = flows.gas_w.sum() * flows.step_s / 1e6
        assert bill.total == pytest.approx(burnt_mj / LPG_MJ_PER_KG * per_kg + 90.0, abs=0.02)
        assert at.home.gas_leaving_cost == 0.0
        amounts.append(bill.total)
    assert amounts[0] == pytest.approx(amounts[1], abs=0.02)
