"""Laws of a simulated year: heater and control in, flows and yearly sums out.

The home is invented: sine weather, random draws, panels of a few kilowatts.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankful.clock import year_clock
from tankful.model.system import Control, HeatPumpRating, InlineBooster, WaterHeater
from tankful.model.window import Window
from tankful.simulate.drive import HomeYear
from tankful.simulate.grid import GridSide
from tankful.simulate.kernel import simulate_year
from tankful.simulate.run import simulate, year_sums
from tankful.units import J_PER_KWH, WATER_CP_J_PER_KG_K
from tankful.use.draws import draws_on_steps
from tankful.use.household import household_draws

YEARS = settings(max_examples=15)


def clock_of(step_min: int):
    return year_clock(2027, "Australia/Sydney", step_min, "AU", "NSW")


@lru_cache(maxsize=16)
def family_draws(people: int, seed: int):
    return household_draws(clock_of(1), people, seed=seed)


@lru_cache(maxsize=16)
def home(step_min: int = 15, layers: int = 12, people: int = 4, pv_kw: float = 6.0) -> HomeYear:
    """Mild coastal weather; the sun of each day is drawn once and shared by all steps."""
    clock = clock_of(step_min)
    hour = (clock.minute + step_min / 2) / 60.0
    season = 2.0 * np.pi * (clock.day - 20) / 365.0
    air_c = 17.0 + 5.0 * np.cos(season) + 5.0 * np.sin(2.0 * np.pi * (hour - 9.0) / 24.0)
    cloud = np.random.default_rng(3).uniform(0.15, 1.0, 365)[clock.day]
    return HomeYear(
        clock=clock,
        air_c=air_c,
        wet_bulb_c=air_c - 3.0,
        cold_c=17.7 + 5.5 * np.cos(season),
        draws=draws_on_steps(family_draws(people, 1), clock),
        house_w=np.full(clock.n_steps, 500.0),
        pv_w=pv_kw * 1000.0 * cloud * np.maximum(0.0, np.sin(np.pi * (hour - 6.0) / 12.0)),
        grid=GridSide(np.full(clock.n_steps, 5000.0), 1, None, clock.step_s),
        quiet=None,
        layers=layers,
    )


PUMP = HeatPumpRating(heat_w=3000, cop=3.6, standby_w=3.0, cut_out_air_c=-6.0, frost_penalty=0.1)
CONTROLS = {
    "always": Control("always"),
    "night": Control("hours", windows=(Window(start="22:00", end="05:00"),), catch_up_c=45.0),
    "day": Control("hours", windows=(Window(start="10:00", end="15:00"),), catch_up_c=45.0),
    "diverter": Control("diverter", catch_up_c=45.0, sanitise_after_h=144.0),
    "switch": Control("surplus_switch", threshold_w=800.0, min_on_min=30, catch_up_c=45.0),
}


BURNER = InlineBooster(fuel="gas", efficiency=0.8, start_loss_j=5e4, heat_w=3.5e4)


def heater(kind: str, control: Control = CONTROLS["always"], **changes: object) -> WaterHeater:
    plain = WaterHeater(kind=kind, control=control, tank_l=300.0, loss_w_per_k=1.8)
    own = {
        "electric_storage": {"element_w": 3600.0},
        "heat_pump": {"element_w": 2400.0, "heat_pump": PUMP, "standby_w": PUMP.standby_w},
        "gas_storage": {"burner_w": 9000.0, "efficiency": 0.78, "tank_l": 170.0},
        "gas_continuous": {"tank_l": 0.0, "booster": BURNER, "standby_w": 5.0},
        "none": {},
    }[kind]
    return replace(plain, **{**own, **changes})


KINDS = ("electric_storage", "heat_pump", "gas_storage", "gas_continuous", "none")
ELECTRIC = st.tuples(
    st.sampled_from(("electric_storage", "heat_pump")), st.sampled_from(tuple(CONTROLS))
)


def sums_of(water_heater: WaterHeater, year: HomeYear):
    return year_sums(simulate(water_heater, year), year)


@given(
    st.sampled_from(KINDS),
    st.sampled_from(tuple(CONTROLS)),
    st.integers(1, 6),
    st.floats(0.0, 12.0),
    st.sampled_from((0.0, 2000.0, np.inf)),
    st.sampled_from(("general", "controlled")),
)
@YEARS
def test_both_ledgers_close_far_below_their_tolerance(kind, control, people, kw, limit_w, circuit):
    """``simulate`` raises at a thousandth; rounding alone leaves less than a millionth."""
    year = home(people=people, pv_kw=kw)
    limit = np.full(year.clock.n_steps, limit_w)
    year = replace(year, grid=replace(year.grid, export_limit_w=limit))
    flows = simulate(heater(kind, CONTROLS[control], circuit=circuit), year)
    assert abs(year_sums(flows, year).ledger_residual) < 1e-6
    balance_w = flows.pv_w + flows.import_w - flows.house_w - flows.heater_w
    assert np.allclose(balance_w, flows.export_w + flows.curtailed_w, atol=1e-6)
    assert flows.export_w.max() <= limit_w
    # a burst may be bought in a step whose rest is sold, but no more than the burst
    both = (flows.import_w > 0.0) & (flows.export_w > 0.0)
    assert np.all(flows.import_w[both] <= flows.heater_w[both] + 1e-6)


@given(st.sampled_from(KINDS), st.sampled_from(tuple(CONTROLS)))
@YEARS
def test_delivered_and_unmet_heat_add_up_to_what_was_wanted(kind, control):
    year = home()
    flows = simulate(heater(kind, CONTROLS[control]), year)
    lift_k = year.draws.wanted_c - year.cold_c
    wanted_w = year.draws.mixed_kg * np.maximum(0.0, lift_k) * WATER_CP_J_PER_KG_K / flows.step_s
    assert np.allclose(flows.delivered_w + flows.unmet_w, wanted_w, atol=1e-3)


def running_share(year: HomeYear):
    """How long draws run in each step, one after the other, over the step."""
    draws, steps = year.draws, year.clock.n_steps
    return np.bincount(draws.piece_step, draws.piece_s, steps) / year.clock.step_s


@given(st.floats(3e3, 4e4), st.floats(1.0, 3.0), st.sampled_from((1, 5, 15)))
@YEARS
def test_a_stronger_continuous_heater_leaves_less_cold_and_gives_no_more_than_its_power(
    heat_w, factor, step_min
):
    year = home(step_min=step_min)
    weak, strong = (
        simulate(heater("gas_continuous", booster=replace(BURNER, heat_w=each)), year)
        for each in (heat_w, heat_w * factor)
    )
    assert np.all(strong.unmet_w <= weak.unmet_w + 1e-6)
    assert year_sums(strong, year).cold_draws <= year_sums(weak, year).cold_draws
    assert np.all(weak.heat_w <= heat_w * running_share(year) + 1e-6)


@pytest.mark.parametrize("step_min", [5, 15])
def test_what_a_weak_continuous_heater_lacks_hardly_hangs_on_the_step(step_min):
    """The flow is that of the draws, not the mean of the step: within a thousandth."""
    weak = heater("gas_continuous", booster=replace(BURNER, heat_w=1.2e4))
    finest, coarse = (sums_of(weak, home(step_min=each)).unmet_kwh for each in (1, step_min))
    assert finest > 100.0
    assert coarse == pytest.approx(finest, rel=1e-3)


@given(ELECTRIC)
@YEARS
def test_there_is_no_free_energy(case):
    """What is bought, with what the air gives a heat pump, is what leaves and what is stored."""
    kind, control = case
    year = home()
    flows = simulate(heater(kind, CONTROLS[control]), year)
    sums = year_sums(flows, year)
    out_kwh = sums.heat_delivered_kwh + sums.standing_loss_kwh
    out_kwh += flows.stored_change_j / J_PER_KWH
    from_air_kwh = sums.heat_kwh - (sums.electricity_kwh - flows_standby_kwh(kind, flows))
    assert from_air_kwh >= -1e-6
    assert sums.heat_kwh == pytest.approx(out_kwh, rel=1e-6)
    if kind == "electric_storage":
        assert from_air_kwh == pytest.approx(0.0, abs=1e-6)
    assert sums.electricity_kwh == pytest.approx(sums.purchased_kwh + sums.own_sun_kwh)


def flows_standby_kwh(kind: str, flows) -> float:
    return heater(kind).standby_w * flows.heater_w.size * flows.step_s / J_PER_KWH


# The thermostats remember (deadband), so a year may end with a tank's deadband more or less
# heat in it and restarts may fall before or after a change of weather: hence the margins.

MARGIN_KWH = 300.0 * WATER_CP_J_PER_KG_K * 15.0 / J_PER_KWH
"""15 K of the tank: its deadband and what a day's draws add to it."""


@given(ELECTRIC, st.floats(1.0, 3.0))
@YEARS
def test_a_leakier_tank_never_buys_less_energy(case, factor):
    kind, control = case
    tight = heater(kind, CONTROLS[control])
    leaky = replace(tight, loss_w_per_k=tight.loss_w_per_k * factor)
    tight_kwh, leaky_kwh = (sums_of(each, home()).electricity_kwh for each in (tight, leaky))
    assert leaky_kwh >= tight_kwh - MARGIN_KWH


@given(ELECTRIC, st.floats(1.0, 2.0))
@YEARS
def test_larger_draws_never_buy_less_energy(case, factor):
    kind, control = case
    year = home()
    more = replace(year, draws=replace(year.draws, mixed_kg=year.draws.mixed_kg * factor))
    few_kwh, more_kwh = (
        sums_of(heater(kind, CONTROLS[control]), each).electricity_kwh for each in (year, more)
    )
    assert more_kwh >= few_kwh - MARGIN_KWH


@given(st.floats(0.0, 10.0), st.floats(0.0, 5.0))
@YEARS
def test_more_sun_never_raises_what_a_diverted_tank_buys_from_the_grid(kw, more_kw):
    diverted = heater("electric_storage", CONTROLS["diverter"])
    less, more = (sums_of(diverted, home(pv_kw=each)) for each in (kw, kw + more_kw))
    assert more.purchased_kwh <= less.purchased_kwh + MARGIN_KWH


def test_a_diverted_tank_without_sun_is_heated_by_catching_up_alone():
    dark = sums_of(heater("electric_storage", CONTROLS["diverter"]), home(pv_kw=0.0))
    assert dark.own_sun_kwh == 0.0
    assert dark.purchased_kwh == pytest.approx(dark.electricity_kwh)


def test_a_controlled_circuit_never_feeds_on_the_panels():
    night = heater("electric_storage", CONTROLS["night"], circuit="controlled")
    sums = sums_of(night, home())
    assert sums.own_sun_kwh == 0.0
    assert sums.controlled_kwh == pytest.approx(sums.electricity_kwh)


def test_quiet_hours_silence_a_heat_pump_altogether():
    year = home()
    quiet = (year.clock.clock_minute < 7 * 60) | (year.clock.clock_minute >= 22 * 60)
    flows = simulate(heater("heat_pump"), replace(year, quiet=quiet))
    assert np.allclose(flows.heater_w[quiet], PUMP.standby_w)


# Fineness of the simulation


def bought_kwh(water_heater: WaterHeater, step_min: int, layers: int) -> float:
    sums = sums_of(water_heater, home(step_min, layers))
    return sums.electricity_kwh + sums.gas_kwh


FINENESS = [(kind, control) for kind in ("electric_storage", "heat_pump") for control in CONTROLS]
FINENESS.append(("gas_storage", "always"))


@pytest.mark.parametrize(("kind", "control"), FINENESS)
def test_energy_bought_does_not_hang_on_the_step(kind, control):
    """Within 1 % between 1, 5 and 15 minutes."""
    water_heater = heater(kind, CONTROLS[control])
    five = bought_kwh(water_heater, 5, 12)
    for step_min in (1, 15):
        assert bought_kwh(water_heater, step_min, 12) == pytest.approx(five, rel=0.01), step_min


@pytest.mark.parametrize(("kind", "control"), FINENESS)
def test_energy_bought_does_not_hang_on_the_number_of_layers(kind, control):
    """Within 2 % between 8, 12 and 24 layers."""
    water_heater = heater(kind, CONTROLS[control])
    usual = bought_kwh(water_heater, 5, 12)
    for layers in (8, 24):
        assert bought_kwh(water_heater, 5, layers) == pytest.approx(usual, rel=0.02), layers


@pytest.mark.parametrize(
    ("kind", "control"), [(kind, control) for kind, control in FINENESS if kind != "gas_storage"]
)
def test_grid_electricity_hardly_hangs_on_steps_of_one_or_five_minutes(kind, control):
    """Within 1.5 % or 5 kWh. The part met by own sun makes this harder than the total.

    At 15 minutes it is 4 % for a diverter (a catch-up then lasts at least a quarter hour),
    and between 8 and 24 layers 9 to 20 %, because layers mix, and mixing calls for
    catching up: there the number of layers is a property of the tank, not of the method.
    """
    water_heater = heater(kind, CONTROLS[control])
    one, five = (sums_of(water_heater, home(step, 12)).purchased_kwh for step in (1, 5))
    assert one == pytest.approx(five, rel=0.015, abs=5.0)


def test_all_these_years_used_one_compiled_loop():
    for kind in ("electric_storage", "heat_pump", "gas_storage"):
        simulate(heater(kind), home())
    assert len(simulate_year.signatures) == 1
