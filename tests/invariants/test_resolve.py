"""A resolved home is complete, keeps what the case gives, and marks everything else."""

from __future__ import annotations

import re
from pathlib import Path
from typing import get_args

import numpy as np
import pytest

from tankful.casefile.load import LoadedCase, check_text, load_case
from tankful.casefile.resolve import list_defaults, resolve
from tankful.errors import CaseError, FileError, PlaceError
from tankful.model.case import Family
from tankful.model.home import Home
from tankful.physics.heat_pump import heat_up_mean_factor
from tankful.units import J_PER_KWH

EXAMPLES = Path(__file__).parents[2] / "examples"
BARE = 'as_of = 2026-11-25\n[place]\npostcode = "2480"\n[simulation]\nstep_min = 30\n'
PV = "[[electricity.arrays]]\nkw = 6.6\n"


def loaded(text: str) -> LoadedCase:
    return check_text(text, EXAMPLES / "case.toml")


def home_of(text: str) -> Home:
    return resolve(loaded(text))


@pytest.fixture(scope="module")
def bare() -> Home:
    return home_of(BARE)


def year_kwh(home: Home, power_w: np.ndarray) -> float:
    return float(power_w.sum()) * home.clock.step_s / J_PER_KWH


def test_a_postcode_alone_gives_a_complete_home(bare: Home) -> None:
    n = bare.clock.n_steps
    for series in (
        bare.temp_air_c,
        bare.wet_bulb_c,
        bare.cold_water_c,
        bare.house_w,
        bare.pv_w,
    ):
        assert series.shape == (n,)
        assert np.isfinite(series).all()
    assert set(bare.equipment) == set(get_args(Family))
    assert bare.clock.year == 2027
    assert bare.electricity_tariff.usage
    assert bare.gas_tariff is None
    assert not bare.gas_connected


def test_wet_bulb_is_never_above_the_air(bare: Home) -> None:
    assert (bare.wet_bulb_c <= bare.temp_air_c + 0.7).all()  # Stull's formula claims +0.65 K


def test_every_assumption_has_a_source_and_no_path_comes_twice(bare: Home) -> None:
    assumed = list_defaults(loaded(BARE), bare)
    assert all(item.source for item in assumed)
    paths = [item.path for item in assumed]
    assert len(set(paths)) == len(paths)
    assert "people.count" in paths
    assert "electricity.tariff" in paths


def test_what_the_case_gives_is_no_assumption() -> None:
    case = load_case(EXAMPLES / "01-sample-home.toml")
    paths = {item.path for item in list_defaults(case, resolve(case))}
    given = set(case.lines) | {re.sub(r"\[\d+\]$", "", path) for path in case.lines}
    assert not paths & given


def test_annual_use_is_kept_to_the_kilowatt_hour() -> None:
    home = home_of(BARE + "[electricity]\nannual_use_kwh = 4321.0\n")
    assert year_kwh(home, home.house_w) == pytest.approx(4321.0, rel=1e-9)


def test_more_people_use_more(bare: Home) -> None:
    crowd = home_of(BARE + "[people]\ncount = 5\n")
    assert crowd.house_w.sum() > bare.house_w.sum()
    assert crowd.draws.heat_kwh().sum() > bare.draws.heat_kwh().sum()
    electric, more = (home.equipment["electric_storage"].heater for home in (bare, crowd))
    assert electric is not None
    assert more is not None
    assert more.tank_l > electric.tank_l
    assert more.loss_w_per_k > electric.loss_w_per_k


def test_twelve_values_of_cold_water_keep_their_months() -> None:
    values = [20.0, 21.0, 19.0, 17.0, 15.0, 13.0, 12.0, 13.0, 15.0, 17.0, 18.0, 19.0]
    home = home_of(BARE.replace("[simulation]", f"cold_water_c = {values}\n[simulation]"))
    for month, value in enumerate(values, start=1):
        assert home.cold_water_c[home.clock.month() == month].mean() == pytest.approx(value)


def test_a_quote_overrides_the_default_and_is_no_assumption(bare: Home) -> None:
    text = BARE + (
        '[[quotes]]\nfamily = "heat_pump"\ninstalled_price = 3333.0\ncop = 4.5\nheat_kw = 2.5\n'
        "tank_l = 200.0\ncertificates = 17\nrebate = 300.0\nlife_years = 9.0\n"
    )
    home = home_of(text)
    part = home.equipment["heat_pump"]
    assert part.heater is not None
    assert part.heater.heat_pump is not None
    assert (part.installed_price, part.replacement_price) == (3333.0, 3333.0)
    assert (part.certificates, part.rebate, part.life_years) == (17, 300.0, 9.0)
    assert part.heater.tank_l == 200.0
    assert part.heater.heat_pump.heat_w == 2500.0
    assert part.heater.heat_pump.cop == pytest.approx(4.5 / heat_up_mean_factor())
    assert bare.equipment["heat_pump"].certificates is None
    paths = {item.path for item in list_defaults(loaded(text), home)}
    assert "quotes[heat_pump].tank_l" not in paths
    assert "quotes[heat_pump].frost_penalty" in paths


def test_panels_face_the_equator_and_share_an_inverter_of_usual_size() -> None:
    text = BARE + PV
    home = home_of(text)
    assumed = {item.path: item.value for item in list_defaults(loaded(text), home)}
    assert assumed["electricity.arrays[1].azimuth_deg"] == 0.0
    assert assumed["electricity.inverter_kw"] == 5.5
    assert home.pv_w.max() <= 5500.0
    away = home_of(text + "azimuth_deg = 180.0\n")
    assert year_kwh(away, away.pv_w) < year_kwh(home, home.pv_w)


def test_a_gas_heater_brings_gas_its_plan_and_a_leaving_cost() -> None:
    home = home_of(BARE + '[heater]\nkind = "gas_storage"\n')
    assert home.gas_connected
    assert home.gas_tariff is not None
    assert home.gas_leaving_cost > 0
    assert home.heater_today.burner_w > 0


def test_a_continuous_heater_has_no_tank_and_no_loss() -> None:
    heater = home_of(BARE + '[heater]\nkind = "gas_continuous"\n').heater_today
    assert (heater.tank_l, heater.loss_w_per_k) == (0.0, 0.0)
    assert heater.setpoint_c == 50.0


def test_an_off_peak_heater_runs_in_the_plans_hours_on_its_own_circuit() -> None:
    home = home_of(BARE + '[heater]\ncontrol = "off_peak"\n')
    load = home.electricity_tariff.controlled_load
    assert load is not None
    assert home.heater_today.circuit == "controlled"
    assert home.heater_today.control.windows == load.hours


def test_no_heater_today_is_a_home_too() -> None:
    assert home_of(BARE + '[heater]\nkind = "none"\n').heater_today.kind == "none"


METERED = BARE + PV + '[electricity]\nmeter_file = "sample-home-meter.csv"\n'


def test_a_metered_electric_heater_is_taken_out_once_it_is_modelled() -> None:
    seen: list[Home] = []

    def heater_w(home: Home) -> np.ndarray:
        seen.append(home)
        return np.full(home.clock.n_steps, 100.0)

    raw = resolve(loaded(METERED))
    assert any("still inside the house load" in note for note in raw.notes)
    without = resolve(loaded(METERED), heater_series=heater_w)
    (first,) = seen
    assert np.array_equal(first.house_w, raw.house_w)
    taken_kwh = year_kwh(raw, raw.house_w) - year_kwh(without, without.house_w)
    assert 0.0 < taken_kwh <= 876.0 + 1e-6
    assert (without.house_w >= 0.0).all()


@pytest.mark.parametrize(
    "heater", ['kind = "gas_storage"\n', "in_meter_general = false\n", 'control = "off_peak"\n']
)
def test_a_heater_outside_the_general_register_is_not_taken_out(heater: str) -> None:
    def heater_w(home: Home) -> np.ndarray:
        raise AssertionError("nothing is to be modelled")

    resolve(loaded(METERED + f"[heater]\n{heater}"), heater_series=heater_w)


def test_prices_abroad_are_converted_and_say_so() -> None:
    case = load_case(EXAMPLES / "03-abroad.toml")
    home = resolve(case)
    diverter = {item.path: item for item in list_defaults(case, home)}[
        "quotes[diverter].installed_price"
    ]
    assert diverter.unit == "EUR"
    assert diverter.value == home.equipment["diverter"].installed_price
    assert "1000 AUD at 0.57 EUR/AUD" in diverter.source


def test_an_unknown_postcode_names_its_line() -> None:
    with pytest.raises(PlaceError) as caught:
        home_of(BARE.replace("2480", "9999"))
    (fault,) = caught.value.faults
    assert (fault.field, fault.line) == ("place.postcode", 3)
    assert fault.mend


def test_everything_that_is_not_known_abroad_is_asked_for_at_once() -> None:
    text = (EXAMPLES / "03-abroad.toml").read_text().split("[electricity.tariff]")[0]
    text += '[gas]\nconnected = true\n[wishes]\ncurrency = "EUR"\n'
    with pytest.raises(CaseError) as caught:
        home_of(text)
    fields = [fault.field for fault in caught.value.faults]
    assert fields == ["electricity.tariff", "gas.tariff"]


def test_a_file_that_is_no_meter_file_is_named(tmp_path: Path) -> None:
    (tmp_path / "meter.csv").write_text("<html></html>\n")
    path = tmp_path / "home.toml"
    path.write_text(BARE + '[electricity]\nmeter_file = "meter.csv"\n')
    with pytest.raises(FileError) as caught:
        resolve(load_case(path))
    assert all("meter.csv" in fault.file for fault in caught.value.faults)


def test_warnings_of_the_case_are_notes_of_the_home() -> None:
    home = home_of(BARE + "[heater]\nsetpoint_c = 50.0\n")
    assert any("Legionella" in note for note in home.notes)
