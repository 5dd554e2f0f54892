"""What was understood of a case, in words, so that a person can check it."""

from __future__ import annotations

from tankful.casefile.words import electricity_words, gas_words, panels_words
from tankful.clock import FloatArray
from tankful.model.home import Home
from tankful.model.system import WaterHeater
from tankful.units import DAYS_PER_YEAR, J_PER_KWH

KINDS = {
    "electric_storage": "electric tank",
    "electric_continuous": "electric continuous-flow heater",
    "heat_pump": "heat pump",
    "solar_flat": "flat-plate solar heater with electric boost",
    "solar_tube": "evacuated-tube solar heater with electric boost",
    "solar_gas": "flat-plate solar heater with gas boost",
    "gas_storage": "gas storage heater",
    "gas_continuous": "gas continuous-flow heater",
    "none": "no water heater",
}


def summary(home: Home) -> dict[str, list[str]]:
    """Lines in words by topic, in reading order."""
    case = home.case
    currency = case.wishes.currency
    lines = {
        "Place": [home.place_text, f"year {home.clock.year}, clock of {home.clock.tz}"],
        "Weather": [
            home.weather_text,
            f"air {home.temp_air_c.mean():.1f} degC in the mean, from "
            f"{home.temp_air_c.min():.0f} to {home.temp_air_c.max():.0f} degC",
            f"cold water from {home.cold_water_c.min():.0f} to {home.cold_water_c.max():.0f} degC",
        ],
        "Hot water": [_hot_water(home)],
        "Today's heater": [_heater(home.heater_today, home.heater_age_years)],
        "House": _house(home),
        "Panels": [_panels(home)],
        "Electricity plan": electricity_words(home.electricity_tariff, currency),
    }
    if home.gas_tariff is not None:
        leaving = f"leaving the network costs {home.gas_leaving_cost:,.0f} {currency}"
        lines["Gas plan"] = [*gas_words(home.gas_tariff, currency), leaving]
    else:
        lines["Gas plan"] = ["the home has no gas"]
    return lines


def _year_kwh(home: Home, power_w: FloatArray) -> str:
    return f"{float(power_w.sum()) * home.clock.step_s / J_PER_KWH:,.0f} kWh"


def _house(home: Home) -> list[str]:
    if home.case.electricity.meter_file is None:
        return [home.load_text]
    return [home.load_text, f"{_year_kwh(home, home.house_w)} a year before panels"]


def _hot_water(home: Home) -> str:
    people = home.case.people
    heat_kwh = float(home.draws.heat_kwh().sum()) / DAYS_PER_YEAR
    if people.pattern != "household":
        return f"the standard day {people.pattern}, {heat_kwh:.1f} kWh of heat a day"
    who = "one person" if people.count == 1 else f"{people.count} people"
    litres = people.hot_litres_per_person_per_day
    return f"{who} at {litres:g} L a day each, {heat_kwh:.1f} kWh of heat a day"


def _heater(heater: WaterHeater, age_years: float) -> str:
    words = KINDS[heater.kind]
    if heater.kind == "none":
        return words
    parts = [words]
    if heater.tank_l:
        parts.append(f"{heater.tank_l:g} L at {heater.setpoint_c:g} degC")
    if heater.burner_w:
        parts.append(f"burner efficiency {heater.efficiency:g}")
    parts += [f"{age_years:g} years old", heater.control.text()]
    return ", ".join(parts)


def _panels(home: Home) -> str:
    words = panels_words(home.case.electricity)
    if not home.pv_w.any():
        return words
    return f"{words}; {_year_kwh(home, home.pv_w)} a year"
