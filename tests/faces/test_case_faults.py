"""What a person reads when a case file is broken: field, value, allowed, line and mend."""

from __future__ import annotations

from pathlib import Path

import pytest

from tankful.casefile.load import check_text
from tankful.errors import CaseError, Fault

PLACE = '[place]\npostcode = "2480"\n'


def faults_of(text: str) -> tuple[Fault, ...]:
    with pytest.raises(CaseError) as caught:
        check_text(text, Path("home.toml"))
    return caught.value.faults


def only_fault(text: str) -> str:
    (fault,) = faults_of(text)
    return str(fault)


BROKEN = {
    "a misspelt key": (
        PLACE + "[heater]\nsetpont_c = 60.0\n",
        "home.toml:4: heater.setpont_c: no such key (found 60.0)\n"
        "    mend: did you mean setpoint_c?",
    ),
    "a key in the wrong section": (
        PLACE + "[people]\nmeter_file = 'meter.csv'\n",
        'home.toml:4: people.meter_file: no such key (found "meter.csv")\n'
        "    mend: it belongs in [electricity]",
    ),
    "a number in quotes": (
        PLACE + '[people]\nhot_litres_per_person_per_day = "50"\n',
        'home.toml:4: people.hot_litres_per_person_per_day: not a number (found "50")\n'
        "    allowed: at least 5, at most 200 L/day\n"
        "    mend: write only the number, without quotes: 50",
    ),
    "a decimal comma in quotes": (
        PLACE + '[heater]\nelement_kw = "3,6 kW"\n',
        'home.toml:4: heater.element_kw: not a number (found "3,6 kW")\n'
        "    allowed: more than 0.5, at most 48 kW\n"
        "    mend: write only the number, without quotes: 3.6",
    ),
    "a postcode without quotes": (
        "[place]\npostcode = 800\n",
        "home.toml:2: place.postcode: not a text in quotes (found 800)\n"
        "    allowed: four digits in quotes\n"
        '    mend: write it in quotes: "0800"',
    ),
    "a percentage for a fraction": (
        PLACE + "[wishes]\ndiscount_rate_real = 4\n",
        "home.toml:4: wishes.discount_rate_real: out of range (found 4)\n"
        "    allowed: at least -0.05, at most 0.3\n"
        "    mend: write 4 % as the fraction 0.04",
    ),
    "watts for kilowatts": (
        PLACE + "[[electricity.arrays]]\nkw = 6600\n",
        "home.toml:4: electricity.arrays[1].kw: out of range (found 6600)\n"
        "    allowed: more than 0, at most 100 kW\n"
        "    mend: 6600 W is 6.6 kW",
    ),
    "Fahrenheit": (
        PLACE + "[heater]\nsetpoint_c = 140\n",
        "home.toml:4: heater.setpoint_c: out of range (found 140)\n"
        "    allowed: at least 45, at most 80 degC\n"
        "    mend: 140 degF is 60 degC",
    ),
    "cents for dollars": (
        PLACE + "[electricity.tariff]\nsupply_per_day = 1.5\nusage = [{ price_per_kwh = 33.7 }]\n",
        "home.toml:5: electricity.tariff.usage[1].price_per_kwh: too high for a price in AUD "
        "(found 33.7)\n"
        "    allowed: at most 5\n"
        "    mend: prices are in whole AUD: 33.7 cents is 0.337",
    ),
    "a price far below nought": (
        PLACE + "[gas.tariff]\nsupply_per_day = 1.5\nblocks = [{ price_per_mj = 0.03 }]\n"
        "[electricity.tariff]\nsupply_per_day = 1.5\nusage = [{ price_per_kwh = -30 }]\n",
        "home.toml:8: electricity.tariff.usage[1].price_per_kwh: too low for a price in AUD "
        "(found -30)\n"
        "    allowed: at least -5\n"
        "    mend: prices are in whole AUD: -30 cents is -0.3",
    ),
    "one faulty entry of a list that needs one": (
        PLACE + '[electricity.tariff]\nsupply_per_day = 1.5\nusage = [{ price_per_kwh = "x" }]\n',
        'home.toml:5: electricity.tariff.usage[1].price_per_kwh: not a number (found "x")\n'
        "    allowed: at least -100, at most 10000 money/kWh\n"
        "    mend: write a plain number, without quotes",
    ),
    "an empty list that needs an entry": (
        PLACE + "[electricity.tariff]\nsupply_per_day = 1.5\nusage = []\n",
        "home.toml:5: electricity.tariff.usage: wrong number of entries (found a list of 0)\n"
        "    mend: give at least one entry",
    ),
    "far too many entries": (
        PLACE + "[[electricity.arrays]]\nkw = 0.001\n" * 51,
        "home.toml:3: electricity.arrays: too many entries (found a list of 51)\n"
        "    mend: give at most 50",
    ),
    "a day past every calendar": (
        "as_of = 9999-12-31\n" + PLACE,
        "home.toml:1: as_of: out of range (found 9999-12-31)\n"
        "    allowed: at least 2000-01-01, at most 2099-12-31\n"
        "    mend: give a day in the allowed range",
    ),
    "a name that would steer the terminal": (
        'name = "\\u001b[31mHome"\n' + PLACE,
        "home.toml:1: name: holds characters that cannot be printed "
        '(found "\\x1b[31mHome")\n'
        "    mend: type it anew, on one line",
    ),
    "a time with a line end": (
        PLACE + '[heater]\ncontrol = "hours"\nhours = [{ start = "22:00\\n", end = "07:00" }]\n',
        'home.toml:5: heater.hours[1].start: not a time of day (found "22:00\\n")\n'
        '    allowed: from "00:00" to "24:00"\n'
        '    mend: write hours and minutes such as "07:00"',
    ),
    "a text for true or false": (
        PLACE + '[people]\nseason = "yes"\n',
        'home.toml:4: people.season: not true or false (found "yes")\n'
        "    allowed: true, false\n"
        "    mend: write true, without quotes",
    ),
    "a date in quotes": (
        'as_of = "2026-11-25"\n' + PLACE,
        'home.toml:1: as_of: not a date (found "2026-11-25")\n'
        "    mend: write it without quotes: 2026-11-25",
    ),
    "a date with a time": (
        "as_of = 2026-11-25T10:00:00\n" + PLACE,
        "home.toml:1: as_of: not a date (found 2026-11-25T10:00:00)\n"
        "    mend: write only the day: 2026-11-25",
    ),
    "a time without quotes": (
        PLACE
        + '[heater]\ncontrol = "hours"\nhours = [\n  { start = 22:00:00, end = "07:00" },\n]\n',
        "home.toml:6: heater.hours[1].start: not a text in quotes (found 22:00:00)\n"
        '    allowed: from "00:00" to "24:00"\n'
        '    mend: write it in quotes: "22:00"',
    ),
    "an impossible time": (
        PLACE + '[constraints]\nquiet_hours = [{ start = "22:00", end = "7am" }]\n',
        'home.toml:4: constraints.quiet_hours[1].end: not a time of day (found "7am")\n'
        '    allowed: from "00:00" to "24:00"\n'
        '    mend: write hours and minutes such as "07:00"',
    ),
    "a wrong choice": (
        PLACE + '[heater]\nkind = "Heat pump"\n',
        'home.toml:4: heater.kind: not one of the choices (found "Heat pump")\n'
        "    allowed: electric_storage, electric_continuous, heat_pump, solar_flat, solar_tube, "
        "solar_gas, solar_gas_tank, solar_inline, gas_storage, gas_continuous, none\n"
        '    mend: did you mean "heat_pump"?',
    ),
    "a fraction of a person": (
        PLACE + "[people]\ncount = 2.5\n",
        "home.toml:4: people.count: not a whole number (found 2.5)\n"
        "    allowed: at least 1, at most 20\n"
        "    mend: write a whole number",
    ),
    "eleven months of cold water": (
        PLACE + "cold_water_c = [20, 20, 19, 17, 15, 13, 12, 13, 15, 17, 18]\n",
        "home.toml:3: place.cold_water_c: wrong number of entries (found a list of 11)\n"
        "    allowed: twelve numbers from 0 to 40 degC\n"
        "    mend: give twelve numbers from 0 to 40",
    ),
    "single brackets for a list": (
        PLACE + "[electricity.arrays]\nkw = 6.6\n",
        "home.toml:3: electricity.arrays: not a list of sections (found a section)\n"
        "    mend: write [[electricity.arrays]] in double brackets, once for each entry",
    ),
    "double brackets for a section": (
        '[[place]]\npostcode = "2480"\n',
        "home.toml:1: place: not a section (found a list of 1)\n"
        "    mend: write a section [place] with its keys on the lines below",
    ),
    "no place": (
        'name = "Somewhere"\n',
        'home.toml: place: missing\n    mend: add a section [place] with postcode = "2480"',
    ),
    "panels without power": (
        PLACE + "[[electricity.arrays]]\ntilt_deg = 20\n",
        "home.toml:3: electricity.arrays[1].kw: missing\n"
        "    mend: add kw = ... (rated power of the panels in kW)",
    ),
    "a place abroad without weather": (
        '[place]\ncountry = "PT"\nlatitude = 38.7\nlongitude = -9.1\ntime_zone = "Europe/Lisbon"\n',
        "home.toml:1: place: without a postcode the place also needs weather_file\n"
        "    mend: give a postcode in Australia; elsewhere give latitude, longitude, time_zone "
        "and weather_file",
    ),
    "a northern latitude in Australia": (
        PLACE + "latitude = 28.8\nlongitude = 153.3\n",
        'home.toml:3: place.latitude: the country "AU" lies south of the equator (found 28.8)\n'
        "    allowed: negative in the south\n"
        "    mend: write latitude = -28.8, or correct country",
    ),
    "a mistyped time zone": (
        PLACE + 'time_zone = "Australia/Sidney"\n',
        'home.toml:3: place.time_zone: no such time zone (found "Australia/Sidney")\n'
        "    allowed: a name of the IANA list, such as Europe/Lisbon\n"
        '    mend: did you mean "Australia/Sydney"?',
    ),
    "a time zone of another continent": (
        PLACE + 'time_zone = "Europe/London"\n',
        "home.toml:3: place.time_zone: no Australian postcode keeps this time "
        '(found "Europe/London")\n'
        "    mend: leave it out: the postcode tells the time zone",
    ),
    "quiet hours without end": (
        PLACE + "[constraints]\nquiet_hours = [\n"
        '  { start = "07:00", end = "22:00" }, { start = "22:00", end = "07:00" },\n]\n',
        "home.toml:4: constraints.quiet_hours: they cover the whole year, so that a heat pump "
        "could never run\n"
        "    mend: write no_heat_pump = true instead, or leave hours for it",
    ),
    "a meter file that is not there": (
        PLACE + '[electricity]\nmeter_file = "meter.csv"\n',
        "home.toml:4: electricity.meter_file: there is no such file, or it may not be read "
        '(found "meter.csv")\n'
        "    mend: give its name relative to the case file's folder, or its whole path",
    ),
    "a folder for a meter file": (
        PLACE + '[electricity]\nmeter_file = "/"\n',
        'home.toml:4: electricity.meter_file: this is not a regular file (found "/")\n'
        "    mend: give its name relative to the case file's folder, or its whole path",
    ),
    "off-peak without controlled load": (
        PLACE
        + '[heater]\ncontrol = "off_peak"\n[electricity.tariff]\nsupply_per_day = 1.0\n'
        + "usage = [{ price_per_kwh = 0.3 }]\n",
        "home.toml:4: heater.control: the electricity plan has no controlled load "
        '(found "off_peak")\n'
        "    mend: add a section [electricity.tariff.controlled_load] with its price and hours",
    ),
    "a gas heater without gas": (
        PLACE + '[heater]\nkind = "gas_storage"\n[gas]\nconnected = false\n',
        "home.toml:6: gas.connected: today's heater burns gas, but the home is said to have none "
        "(found false)\n"
        "    mend: write connected = true, or correct the heater's kind",
    ),
    "hours in which nothing has a price": (
        PLACE
        + "[electricity.tariff]\nsupply_per_day = 1.0\n"
        + 'usage = [{ start = "07:00", end = "22:00", price_per_kwh = 0.3 }]\n',
        "home.toml:3: electricity.tariff: no usage price applies in month 1 on weekdays at 00:00\n"
        "    mend: add a last usage entry without hours, days and months",
    ),
    "two quotes for the wiring": (
        PLACE
        + '[[quotes]]\nfamily = "electric_circuit"\n[[quotes]]\nfamily = "electric_circuit"\n',
        "home.toml:6: quotes[2].family: a second quote for the wiring "
        '(found "electric_circuit")\n    mend: keep the one you would take',
    ),
    "a COP for a diverter": (
        PLACE + '[[quotes]]\nfamily = "diverter"\ncop = 3.5\n',
        "home.toml:5: quotes[1].cop: a quote for diverter has no cop (found 3.5)\n"
        "    allowed: only for heat_pump\n"
        "    mend: remove cop, or correct family",
    ),
}


@pytest.mark.parametrize("name", BROKEN)
def test_one_fault_reads_well(name: str) -> None:
    text, message = BROKEN[name]
    assert only_fault(text) == message


def test_every_fault_comes_at_once_in_the_order_of_the_file() -> None:
    text = (
        "name = 5\n[place]\npostcode = '2480'\ntime_zone = 'Mars/Olympus'\n"
        "[people]\ncount = 0\n[gas]\nconnected = false\nother_use_mj = 9\n"
        "[electricity]\nmeter_file = 'nothing.csv'\n"
        "[electricity.tariff]\nsupply_per_day = 166\nusage = 3\n"
    )
    found = [(fault.field, fault.line) for fault in faults_of(text)]
    assert found == [
        ("name", 1),
        ("place.time_zone", 4),
        ("people.count", 6),
        ("gas.other_use_mj", 9),
        ("electricity.meter_file", 11),
        ("electricity.tariff.supply_per_day", 13),
        ("electricity.tariff.usage", 14),
    ]


def test_a_rule_is_silent_about_values_that_are_broken_anyway() -> None:
    text = PLACE + '[heater]\nkind = "gas"\n[gas]\nconnected = false\n'
    assert [fault.field for fault in faults_of(text)] == ["heater.kind"]


def test_lines_are_known_inside_inline_tables_and_lists() -> None:
    text = (
        PLACE
        + "[electricity.tariff]\nsupply_per_day = 1.0\nusage = [\n"
        + '  { start = "07:00", end = "22:00",  price_per_kwh = "x" },\n'
        + "  { price_per_kw = 0.2 },\n]\n"
    )
    found = {fault.field: fault.line for fault in faults_of(text)}
    assert found["electricity.tariff.usage[1].price_per_kwh"] == 6
    assert found["electricity.tariff.usage[2].price_per_kw"] == 7


def test_what_is_shown_of_a_hostile_value_is_short_and_printable() -> None:
    text = PLACE + '[heater]\nkind = "\\u001b[31m\\u202e' + "x" * 500 + '"\n'
    message = only_fault(text)
    assert message.isprintable() or set(message) - {"\n"} <= set(filter(str.isprintable, message))
    assert len(message) < 400


def test_prices_in_cents_are_told_beside_other_faults() -> None:
    text = PLACE + (
        '[people]\ncount = "x"\n[electricity.tariff]\nsupply_per_day = 166\nusage = [\n'
        '  { price_per_kwh = 33 },\n  { price_per_kwh = "x", days = "monday" },\n]\n'
        "feed_in = [{ tiers = [{ price_per_kwh = 4 }] }]\n"
        "[gas.tariff]\nsupply_per_day = 90\nblocks = 5\n"
    )
    assert [(fault.field, fault.line) for fault in faults_of(text)] == [
        ("people.count", 4),
        ("electricity.tariff.supply_per_day", 6),
        ("electricity.tariff.usage[1].price_per_kwh", 8),
        ("electricity.tariff.usage[2].days", 9),
        ("electricity.tariff.usage[2].price_per_kwh", 9),
        ("electricity.tariff.feed_in[1].tiers[1].price_per_kwh", 11),
        ("gas.tariff.supply_per_day", 13),
        ("gas.tariff.blocks", 14),
    ]


def test_prices_in_other_money_may_be_large() -> None:
    abroad = (
        '[place]\ncountry = "JP"\nlatitude = 35.7\nlongitude = 139.7\ntime_zone = "Asia/Tokyo"\n'
        'weather_file = "none.epw"\n[wishes]\ncurrency = "JPY"\n'
        "[electricity.tariff]\nsupply_per_day = 30\nusage = [{ price_per_kwh = 31 }]\n"
    )
    assert [fault.field for fault in faults_of(abroad)] == ["place.weather_file"]


def test_doubtful_values_are_warnings_not_faults() -> None:
    text = (
        PLACE
        + "[heater]\nsetpoint_c = 50.0\n[electricity]\ninverter_kw = 3.0\nexport_limit_kw = 5.0\n"
        + "[[electricity.arrays]]\nkw = 10.0\nazimuth_deg = 180.0\n[wishes]\nhorizon_years = 30\n"
    )
    loaded = check_text(text, Path("home.toml"))
    assert {(warning.field, warning.line) for warning in loaded.warnings} == {
        ("heater.setpoint_c", 4),
        ("electricity.inverter_kw", 6),
        ("electricity.export_limit_kw", 7),
        ("electricity.arrays[1].azimuth_deg", 10),
        ("wishes.horizon_years", 12),
    }
    assert all(warning.mend for warning in loaded.warnings)


def test_a_price_that_can_never_apply_is_a_warning() -> None:
    text = PLACE + (
        "[electricity.tariff]\nsupply_per_day = 1.0\n"
        "usage = [\n  { price_per_kwh = 0.3 },\n"
        '  { start = "10:00", end = "14:00", price_per_kwh = 0.1 },\n]\n'
    )
    (warning,) = check_text(text, Path("home.toml")).warnings
    assert (warning.field, warning.line) == ("electricity.tariff.usage[2]", 7)
