"""The cheapest plan of heating against days worked by hand, dynamic programming and the year.

The days and the dynamic programme are our own arithmetic; no published case was at hand.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankful import service
from tankful.advice.cheapest_heat import HomeBattery, Store, Supply, cheapest_heat
from tankful.advice.compare import Comparison
from tankful.advice.foresight import foresee, why_no_bound
from tankful.advice.foresight_supply import pump_cop
from tankful.advice.foresight_year import coldest_water_c
from tankful.advice.options import build_options
from tankful.errors import CaseError
from tankful.model.system import HeatPumpRating
from tankful.simulate.heating import heat_per_input
from tankful.simulate.params import build_plant
from tankful.simulate.run import simulate

EXAMPLES = Path(__file__).parents[2] / "examples"


def store(drawn: list[float], *, capacity: float = 2.0, keep: float = 1.0) -> Store:
    """A mixed store, empty at the start."""
    n = len(drawn)
    return Store(
        start_kwh=np.zeros(1),
        end_kwh=0.0,
        band_kwh=np.array([capacity]),
        least_kwh=np.zeros(n),
        keep=keep,
        gained_kwh=np.zeros((1, n)),
        drawn_kwh=np.array([drawn], dtype=float),
        free_kwh=np.zeros(n),
    )


def supply(
    price: list[float], *, feed_in: float = 0.05, spare: list[float] | None = None
) -> Supply:
    n = len(price)
    return Supply(
        kwh_per_heat=np.ones((1, n)),
        most_heat_kwh=np.full(n, 2.0),
        price=np.array(price, dtype=float),
        feed_in=np.full(n, feed_in),
        exported_kwh=np.array(spare or [0.0] * n, dtype=float),
        curtailed_kwh=np.zeros(n),
    )


PRICES = [0.10, 0.30, 0.20]
DRAWN = [0.0, 2.0, 1.0]


def test_a_store_without_loss_is_filled_at_the_cheap_hour() -> None:
    """2 kWh at 0.10 fill the store for the second hour; the third buys its 1 kWh at 0.20."""
    assert cheapest_heat(store(DRAWN), supply(PRICES)).money == pytest.approx(0.40)


def test_what_the_store_loses_is_bought_at_the_dear_hour() -> None:
    """Of 2 kWh nine tenths are left, so 0.2 kWh cost 0.30 and the last hour 0.20."""
    plan = cheapest_heat(store(DRAWN, keep=0.9), supply(PRICES))
    assert plan.money == pytest.approx(0.2 + 0.06 + 0.2)


def test_spare_sun_costs_what_its_export_would_have_earned() -> None:
    """Half a kWh of sun in the second hour at 0.05: 0.2 fill the gap, nine tenths of the other
    0.3 are left for the third hour."""
    plan = cheapest_heat(store(DRAWN, keep=0.9), supply(PRICES, spare=[0.0, 0.5, 0.0]))
    assert plan.money == pytest.approx(0.2 + 0.5 * 0.05 + (1.0 - 0.27) * 0.20)


def test_heat_at_a_high_level_is_bought_at_the_lower_cop() -> None:
    """3 kWh are drawn, 1 of them above the level where the COP falls from 4 to 2."""
    mixed = store([3.0])
    levels = Store(
        start_kwh=np.zeros(2),
        end_kwh=0.0,
        band_kwh=np.array([2.0, 5.0]),
        least_kwh=np.zeros(1),
        keep=1.0,
        gained_kwh=np.zeros((2, 1)),
        drawn_kwh=np.array([[3.0], [1.0]]),
        free_kwh=np.zeros(1),
    )
    heater = supply([0.30])
    pump = Supply(
        **{
            **vars(heater),
            "kwh_per_heat": np.array([[0.25], [0.5]]),
            "most_heat_kwh": np.array([3.0]),
        }
    )
    assert cheapest_heat(levels, pump).money == pytest.approx(0.30 * (2.0 / 4.0 + 1.0 / 2.0))
    flat = Supply(**{**vars(pump), "kwh_per_heat": np.array([[0.25]])})
    assert cheapest_heat(
        Store(**{**vars(mixed), "band_kwh": np.array([5.0])}), flat
    ).money == pytest.approx(0.30 * 0.75)


def test_a_battery_carries_sun_to_the_house_before_the_heater_buys() -> None:
    """1 kWh of sun, 0.8 of it after the battery: it saves the house 0.30 in the second hour, or
    the heater as much; one of the two buys the rest."""
    battery = HomeBattery(5.0, 5.0, 0.8**0.5, np.array([0.0, 1.0]), np.array([0.3, 0.3]))
    plan = cheapest_heat(
        store([0.0, 1.0], capacity=0.0), supply([0.3, 0.3], spare=[1.0, 0.0]), battery
    )
    assert plan.money == pytest.approx(1.0 * 0.05 + 1.0 * 0.30 - 0.8 * 0.30)


hours = st.lists(
    st.tuples(st.integers(0, 2), st.integers(1, 9), st.integers(0, 3), st.sampled_from([0, 1])),
    min_size=2,
    max_size=7,
)


@given(hours)
def test_the_plan_is_that_of_dynamic_programming(rows: list[tuple[int, int, int, int]]) -> None:
    """Whole kWh without loss: the programme is a network flow, so its optimum is whole too."""
    drawn, price, spare, curtailed = (list(column) for column in zip(*rows, strict=True))
    capacity, most, feed_in = 3, 2, 0.5
    best = {0: 0.0}
    for need, each, sun, lost in rows:
        after: dict[int, float] = {}
        for stored, paid in best.items():
            for heat in range(most + 1):
                left = stored + heat - need
                if 0 <= left <= capacity:
                    free = min(heat, lost)
                    own = min(heat - free, sun)
                    money = paid + own * min(feed_in, each) + (heat - free - own) * each
                    after[left] = min(after.get(left, np.inf), money)
        best = after
    offered = supply([float(p) for p in price], feed_in=feed_in, spare=[float(s) for s in spare])
    offered = Supply(**{**vars(offered), "curtailed_kwh": np.array(curtailed, dtype=float)})
    tank = store([float(d) for d in drawn], capacity=float(capacity))
    assert cheapest_heat(tank, offered).money == pytest.approx(min(best.values()), abs=1e-7)


def test_too_little_power_for_what_is_drawn_is_an_error() -> None:
    with pytest.raises(RuntimeError, match="no plan"):
        cheapest_heat(store([3.0]), supply([0.1]))


@pytest.mark.parametrize("model", ["lab_curve", "carnot"])
@pytest.mark.parametrize("air_c", [-8.0, 1.0, 12.0, 30.0])
def test_the_bound_reads_the_cop_that_the_year_reads(model: str, air_c: float) -> None:
    pump = HeatPumpRating(3000.0, 3.6, 4.0, -6.0, 0.15, model=model)  # type: ignore[arg-type]
    home = _comparison("02-capital")[0].home
    heater = home.equipment["heat_pump"].heater
    assert heater is not None
    plant = build_plant(
        type(heater)(**{**vars(heater), "heat_pump": pump}), layers=12, step_s=300.0
    )
    for water_c in (12.0, 30.0, 55.0):
        found = heat_per_input(plant, air_c, air_c - 1.0, water_c)
        assert pump_cop(pump, air_c, air_c - 1.0, water_c) == pytest.approx(found)


@cache
def _comparison(name: str):  # type: ignore[no-untyped-def]
    home = service.load_home(EXAMPLES / f"{name}.toml")
    comparison = Comparison(home)
    options, _ = build_options(home)
    return comparison, [o for o in options if not why_no_bound(comparison, o)]


@pytest.mark.parametrize("name", ["01-sample-home", "02-capital", "03-abroad", "04-solar-battery"])
def test_no_setting_of_an_example_beats_the_bound(name: str) -> None:
    comparison, options = _comparison(name)
    assert len(options) >= 8
    tanks = set()
    for option in options:
        tank = (option.heater, option.controls[0].setpoint_c)
        if tank in tanks:  # the same bound but for where the tank starts and ends
            continue
        tanks.add(tank)
        found = foresee(comparison, option)
        assert found.bound_cost <= found.best_cost, option.id
        assert found.reached is None or found.reached <= 1.0


def test_no_water_of_the_tank_is_colder_than_the_coldest_taken() -> None:
    comparison, options = _comparison("02-capital")
    for name in ("electric-off-peak", "heat-pump-timed"):
        heater = next(o for o in options if o.id == name).heater
        flows = simulate(heater, comparison.year)
        assert (flows.low_c >= coldest_water_c(heater, comparison.year) - 1e-6).all()


def test_an_option_without_a_tank_has_no_bound_and_says_why() -> None:
    with pytest.raises(CaseError, match="no tank"):
        service.foresight(EXAMPLES / "02-capital.toml", "electric-continuous")
