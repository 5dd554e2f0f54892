"""What a person reads when quotes, battery, car, gas bottles or collectors do not fit."""

from __future__ import annotations

from pathlib import Path

import pytest

from tankful.casefile.load import check_text
from tankful.errors import CaseError, Fault

PLACE = '[place]\npostcode = "2480"\n'
PANELS = "[[electricity.arrays]]\nkw = 6.6\n"
SOLAR_QUOTE = '[[quotes]]\nfamily = "solar_flat"\n'
PUMP_QUOTE = '[[quotes]]\nfamily = "heat_pump"\n'
COEFFICIENTS = (
    "collector_m2 = 4.0\ncollector_eta0 = 0.75\ncollector_a1 = 3.5\ncollector_a2 = 0.015\n"
)


def faults_of(text: str) -> tuple[Fault, ...]:
    try:
        check_text(PLACE + text, Path("home.toml"))
    except CaseError as error:
        return error.faults
    return ()


def warnings_of(text: str) -> tuple[Fault, ...]:
    return check_text(PLACE + text, Path("home.toml")).warnings


FAULTS = {
    "a collector's coefficients without their area": (
        SOLAR_QUOTE + "collector_eta0 = 0.75\ncollector_a1 = 3.5\ncollector_a2 = 0.015\n",
        "home.toml:5: quotes[1].collector_eta0: given without collector_m2\n"
        "    mend: the four values of one test certificate belong together: give all, or none",
    ),
    "an area without coefficients": (
        SOLAR_QUOTE + "collector_m2 = 4.0\n",
        "home.toml:5: quotes[1].collector_m2: given without collector_eta0, collector_a1, "
        "collector_a2\n"
        "    mend: the four values of one test certificate belong together: give all, or none",
    ),
    "a thermosiphon that circulates": (
        SOLAR_QUOTE + 'circulation = "thermosiphon"\nfrost_protection = "circulate"\n',
        "home.toml:6: quotes[1].frost_protection: without a pump no water is circulated on frosty "
        'nights (found "circulate" with circulation "thermosiphon")\n'
        '    mend: write frost_protection = "antifreeze", or correct circulation',
    ),
    "a tank with the element of a continuous heater": (
        '[[quotes]]\nfamily = "electric_storage"\nelement_kw = 27.0\n',
        "home.toml:5: quotes[1].element_kw: more than the element of a tank takes (found 27)\n"
        "    allowed: at most 12 kW\n"
        "    mend: only a continuous heater takes more: give kW, not W or A, or correct its kind",
    ),
    "a grade of an electric tank": (
        '[[quotes]]\nfamily = "electric_storage"\ngrade = "best"\n',
        'home.toml:5: quotes[1].grade: a quote for electric_storage has no grade (found "best")\n'
        "    allowed: only for heat_pump\n"
        "    mend: remove grade, or correct family",
    ),
    "two elements in a heat pump": (
        PUMP_QUOTE + "two_elements = true\n",
        "home.toml:5: quotes[1].two_elements: a quote for heat_pump has no two_elements "
        "(found true)\n"
        "    allowed: only for electric_storage\n"
        "    mend: remove two_elements, or correct family",
    ),
    "collectors on a diverter": (
        '[[quotes]]\nfamily = "diverter"\nfrost_protection = "antifreeze"\n',
        "home.toml:5: quotes[1].frost_protection: a quote for diverter has no frost_protection "
        '(found "antifreeze")\n'
        "    allowed: only for solar_flat, solar_gas, solar_gas_tank, solar_inline, solar_tube\n"
        "    mend: remove frost_protection, or correct family",
    ),
    "an element's power without the element": (
        PUMP_QUOTE + 'backup_element = "none"\nelement_kw = 1.5\n',
        "home.toml:6: quotes[1].element_kw: power of an element that the heat pump does not have "
        '(found 1.5 with backup_element = "none")\n'
        "    mend: remove element_kw, or correct backup_element",
    ),
    "an element that helps a gas heater": (
        '[heater]\nkind = "gas_storage"\nbackup_element = "cold_tank"\n',
        "home.toml:5: heater.backup_element: only a heat pump has an element that helps it "
        '(found "cold_tank" with kind "gas_storage")\n'
        "    mend: remove backup_element, or correct kind",
    ),
    "a fifth quote of one kind": (
        PUMP_QUOTE * 5,
        'home.toml:12: quotes[5].family: more than 4 quotes for heat_pump (found "heat_pump")\n'
        "    mend: keep the 4 that are most worth comparing",
    ),
    "a second quote for the wiring": (
        '[[quotes]]\nfamily = "electric_circuit"\n' * 2,
        "home.toml:6: quotes[2].family: a second quote for the wiring "
        '(found "electric_circuit")\n'
        "    mend: keep the one you would take",
    ),
    "two quotes of one name": (
        f'{PUMP_QUOTE}label = "Quote A"\n[[quotes]]\nfamily = "timer"\nlabel = "Quote A"\n'
        f'{PUMP_QUOTE}label = "quote  a"\n',
        "home.toml:11: quotes[3].label: an earlier quote for heat_pump has this name "
        '(found "quote  a")\n'
        '    mend: give each a name of its own, such as "Quote A" and "Quote B"',
    ),
    "a name that takes the place of one without": (
        f'{PUMP_QUOTE}label = "Quote 2"\n{PUMP_QUOTE}',
        "home.toml:6: quotes[2].label: an earlier quote for heat_pump has this name "
        '(found "quote 2")\n'
        '    mend: give each a name of its own, such as "Quote A" and "Quote B"',
    ),
    "a name that fills a line": (
        f'{PUMP_QUOTE}label = "{"x" * 41}"\n',
        f'home.toml:5: quotes[1].label: too long (found "{"x" * 37}...")\n'
        '    allowed: a few words in quotes, such as "Quote A, 315 L"\n'
        "    mend: shorten it to 40 characters",
    ),
    "test temperatures without a COP": (
        PUMP_QUOTE + "cop_air_c = 7.0\n",
        "home.toml:5: quotes[1].cop_air_c: the temperatures of a test say nothing without its cop\n"
        "    mend: add cop = ..., or remove the temperatures",
    ),
    "a wet bulb above the air": (
        PUMP_QUOTE + "cop = 3.0\ncop_air_c = 6.0\ncop_wet_bulb_c = 7.0\n",
        "home.toml:7: quotes[1].cop_wet_bulb_c: the wet bulb is never warmer than the air "
        "(found 7 in air of 6 degC)\n"
        "    mend: check that cop_air_c and cop_wet_bulb_c are not swapped",
    ),
    "a test that cools the water": (
        PUMP_QUOTE + "cop = 3.0\ncop_water_from_c = 60.0\ncop_water_to_c = 55.0\n",
        "home.toml:6: quotes[1].cop_water_from_c: a test heats the water up "
        "(found from 60 to 55 degC)\n"
        "    mend: check that cop_water_from_c and cop_water_to_c are not swapped",
    ),
    "bottled gas without a price": (
        "[gas.bottles]\nrent_per_year = 90.0\n",
        "home.toml:3: gas.bottles: bottled gas needs price_per_kg or price_per_l, not both or "
        "neither\n    mend: keep one of the two",
    ),
    "bottled gas with two prices": (
        "[gas.bottles]\nprice_per_kg = 4.0\nprice_per_l = 2.0\n",
        "home.toml:3: gas.bottles: bottled gas needs price_per_kg or price_per_l, not both or "
        "neither\n    mend: keep one of the two",
    ),
    "bottled gas in cents": (
        "[gas.bottles]\nprice_per_l = 135.0\n",
        "home.toml:4: gas.bottles.price_per_l: too high for a price in AUD (found 135)\n"
        "    allowed: at most 10\n"
        "    mend: prices are in whole AUD: 135 cents is 1.35",
    ),
    "bottles beside the network": (
        "[gas.bottles]\nprice_per_kg = 4.0\n[gas.tariff]\nsupply_per_day = 0.8\n"
        "blocks = [{ price_per_mj = 0.04 }]\n",
        "home.toml:3: gas.bottles: gas comes from bottles or from the network, not from both\n"
        "    mend: remove the section [gas.bottles] or [gas.tariff]",
    ),
    "bottles in a home without gas": (
        "[gas]\nconnected = false\n[gas.bottles]\nprice_per_kg = 4.0\n",
        "home.toml:4: gas.connected: bottled gas is given, but the home is said to have no gas "
        "(found false)\n"
        "    mend: write connected = true, or remove the section [gas.bottles]",
    ),
    "a charge for leaving bottles": (
        "[gas]\nleaving_cost = 200.0\n[gas.bottles]\nprice_per_kg = 4.0\n",
        "home.toml:4: gas.leaving_cost: a home with bottled gas has no network to leave "
        "(found 200)\n"
        "    mend: remove leaving_cost, or the section [gas.bottles]",
    ),
    "a car without hours": (
        "[electricity.car]\nkwh_per_day = 8.0\n",
        "home.toml:3: electricity.car.hours: missing\n"
        '    mend: add hours = [{ start = "22:00", end = "07:00" }]',
    ),
    "a car with no hours in its list": (
        "[electricity.car]\nkwh_per_day = 8.0\nhours = []\n",
        "home.toml:5: electricity.car.hours: wrong number of entries (found a list of 0)\n"
        "    mend: give at least one entry",
    ),
    "a car that charges too fast": (
        '[electricity.car]\nkwh_per_day = 60.0\nhours = [{ start = "01:00", end = "03:00" }]\n',
        "home.toml:4: electricity.car.kwh_per_day: takes 30 kW in the 2.0 hours a day given "
        "(found 60)\n"
        "    allowed: at most 22 kW, which is 44 kWh in those hours\n"
        "    mend: give more hours, or less for an average day",
    ),
    "eleven months of shade": (
        PANELS + "shading = [0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1]\n",
        "home.toml:5: electricity.arrays[1].shading: wrong number of entries "
        "(found a list of 11)\n"
        "    allowed: twelve fractions from 0 to 1\n"
        "    mend: give twelve fractions from 0 to 1",
    ),
    "a second element in a heat pump of today": (
        '[heater]\nkind = "heat_pump"\ntwo_elements = true\n',
        "home.toml:5: heater.two_elements: only an electric tank has a second element "
        '(found true with kind "heat_pump")\n'
        "    mend: remove two_elements, or correct kind",
    ),
    "a loop without collectors": (
        '[heater]\nkind = "electric_storage"\ncirculation = "thermosiphon"\n',
        "home.toml:5: heater.circulation: only solar collectors have a loop "
        '(found "thermosiphon" with kind "electric_storage")\n'
        "    allowed: only for solar_flat, solar_gas, solar_gas_tank, solar_inline, solar_tube\n"
        "    mend: remove circulation, or correct kind",
    ),
    "hours of a gas-boosted heater": (
        '[heater]\nkind = "solar_gas"\ncontrol = "hours"\n'
        'hours = [{ start = "22:00", end = "05:00" }]\n',
        "home.toml:5: heater.control: only an electric heater runs by hours "
        '(found "hours" with kind "solar_gas")\n'
        '    mend: write control = "always", or correct kind',
    ),
}


@pytest.mark.parametrize("name", FAULTS)
def test_one_fault_reads_well(name: str) -> None:
    text, message = FAULTS[name]
    (fault,) = faults_of(text)
    assert str(fault) == message


def test_shade_in_percent_is_told_as_a_fraction() -> None:
    found = faults_of(PANELS + f"shading = [{', '.join(['20'] * 12)}]\n")
    assert len(found) == 12
    assert found[0].field == "electricity.arrays[1].shading[1]"
    assert "0.2" in found[0].mend


SOUND = {
    "coefficients with their area": SOLAR_QUOTE + COEFFICIENTS,
    "a thermosiphon": SOLAR_QUOTE + 'circulation = "thermosiphon"\n',
    "a thermosiphon with antifreeze": SOLAR_QUOTE
    + 'circulation = "thermosiphon"\nfrost_protection = "antifreeze"\n',
    "a COP at a single point": PUMP_QUOTE
    + "cop = 3.4\ncop_air_c = 7.0\ncop_water_from_c = 55.0\ncop_water_to_c = 55.0\n",
    "gas by weight": "[gas.bottles]\nprice_per_kg = 4.0\n",
    "gas by volume": "[gas.bottles]\nprice_per_l = 2.0\n",
    "an old solar heater on hours": '[heater]\nkind = "solar_flat"\ntank_l = 300.0\n'
    'control = "hours"\nhours = [{ start = "22:00", end = "05:00" }]\n',
    "a car at 22 kW": "[electricity.car]\nkwh_per_day = 44.0\n"
    'hours = [{ start = "01:00", end = "03:00" }]\n',
}


@pytest.mark.parametrize("name", SOUND)
def test_what_fits_is_neither_refused_nor_doubted(name: str) -> None:
    assert faults_of(SOUND[name]) == ()
    assert warnings_of(SOUND[name]) == ()


DOUBTS = {
    "a battery without panels": (
        "[electricity.battery]\ncapacity_kwh = 10.0\n",
        "electricity.battery",
    ),
    "export limits without panels": (
        "[[electricity.export_limits]]\nkw = 1.5\n",
        "electricity.export_limits",
    ),
    "an export limit that never applies": (
        PANELS + "[[electricity.export_limits]]\nkw = 1.5\n"
        '[[electricity.export_limits]]\nstart = "10:00"\nend = "14:00"\nkw = 3.0\n',
        "electricity.export_limits[2]",
    ),
    "the share left for the share lost": (
        PANELS + f"shading = [{', '.join(['0.9'] * 12)}]\n",
        "electricity.arrays[1].shading",
    ),
    "a roof that faces away": ("[roof]\nazimuth_deg = 180.0\n", "roof.azimuth_deg"),
    "a COP of winter read as one of summer": (
        PUMP_QUOTE + "cop = 5.5\ncop_air_c = 2.0\n",
        "quotes[1].cop",
    ),
}


@pytest.mark.parametrize("name", DOUBTS)
def test_what_is_doubtful_is_a_warning_with_its_mend(name: str) -> None:
    text, field = DOUBTS[name]
    (warning,) = warnings_of(text)
    assert warning.field == field
    assert warning.mend


def test_only_heat_pumps_lose_their_certificates_by_size() -> None:
    large = "certificates = 20\ntank_l = 440.0\n"
    assert [w.field for w in warnings_of(PUMP_QUOTE + large)] == ["quotes[1].certificates"]
    assert warnings_of(SOLAR_QUOTE + large) == ()


def test_every_new_fault_comes_at_once() -> None:
    text = (
        SOLAR_QUOTE
        + "collector_m2 = 4.0\n"
        + PUMP_QUOTE
        + "cop_air_c = 7.0\n"
        + '[electricity.car]\nkwh_per_day = 60.0\nhours = [{ start = "01:00", end = "02:00" }]\n'
        + "[gas]\nconnected = false\n[gas.bottles]\nprice_per_kg = 300.0\n"
    )
    assert [fault.field for fault in faults_of(text)] == [
        "quotes[1].collector_m2",
        "quotes[2].cop_air_c",
        "electricity.car.kwh_per_day",
        "gas.connected",
        "gas.bottles.price_per_kg",
    ]
