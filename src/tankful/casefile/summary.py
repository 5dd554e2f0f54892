"""What was understood of a case, in words, so that a person can check it."""

from __future__ import annotations

from tankful.casefile.bill_words import bill_sentences
from tankful.casefile.cop_test import cop_test
from tankful.casefile.quotes import Numbered, numbered_quotes
from tankful.casefile.words import (
    FAMILIES,
    KINDS,
    battery_words,
    bottled_words,
    car_words,
    electricity_words,
    gas_words,
    horizon_words,
    panels_words,
)
from tankful.clock import FloatArray
from tankful.model.home import Home, part_id
from tankful.model.system import Collector, WaterHeater
from tankful.units import DAYS_PER_YEAR, J_PER_KWH


def summary(home: Home) -> dict[str, list[str]]:
    """Lines in words by topic, in reading order."""
    case = home.case
    currency, power = case.wishes.currency, case.electricity
    lines = {
        "Place": [home.place_text, f"year {home.clock.year}, clock of {home.clock.tz}"],
        "Weather": [
            home.weather_text,
            f"air {home.temp_air_c.mean():.1f} degC in the mean, from "
            f"{round(home.temp_air_c.min())} to {round(home.temp_air_c.max())} degC",
            f"cold water from {home.cold_water_c.min():.0f} to {home.cold_water_c.max():.0f} degC",
        ],
        "Hot water": [_hot_water(home)],
        "Today's heater": [_heater(home.heater_today, home.heater_age_years)],
        "From your bills": list(bill_sentences(home.calibration)) if home.calibration else [],
        "House": _house(home),
        "Panels": [_panels(home)],
        "New panels": _new_panels(home),
        "Battery": [battery_words(power.battery)] if power.battery else [],
        "Car": [car_words(power.car)] if power.car else [],
        "Electricity plan": electricity_words(home.electricity_tariff, currency),
        "Gas plan": _gas(home),
        "Quotes": [_quote(home, each) for each in numbered_quotes(case)],
    }
    return {topic: words for topic, words in lines.items() if words}


def _gas(home: Home) -> list[str]:
    currency = home.case.wishes.currency
    if home.gas_tariff is None:
        return ["the home has no gas"]
    if home.case.gas.bottles is not None:
        return bottled_words(home.case.gas.bottles, currency)
    leaving = f"leaving the network costs {home.gas_leaving_cost:,.0f} {currency}"
    return [*gas_words(home.gas_tariff, currency), leaving]


def _quote(home: Home, numbered: Numbered) -> str:
    """A quote with the properties it gives the equipment."""
    quote = numbered.quote
    part = home.equipment[part_id(quote.family, numbered.number)]
    name = f" ({part.name})" if part.name else ""
    price = f"{part.installed_price:,.0f} {home.case.wishes.currency}"
    parts = [f"{FAMILIES[quote.family]}{name}: {price}"]
    heater = part.heater
    if heater is None:
        return parts[0]
    if heater.tank_l:
        parts.append(f"{heater.tank_l:g} L")
    if heater.boost_element_w:
        parts.append("two elements")
    if heater.collector is not None:
        parts.append(_collector(heater.collector))
    pump = heater.heat_pump
    if pump is not None:
        parts.append(f"COP {pump.cop:.1f} at the rating point")
        if quote.cop is not None:
            parts.append(f"from {quote.cop:g} at {cop_test(quote).text()}")
    return ", ".join(parts)


def _collector(collector: Collector) -> str:
    words = (
        f"{collector.area_m2:g} m2 of collectors (eta0 {collector.eta0:g}, "
        f"a1 {collector.a1_w_per_m2_k:g}, a2 {collector.a2_w_per_m2_k2:g}), slope "
        f"{collector.tilt_deg:g}, facing {collector.azimuth_deg:g} degrees"
        f"{horizon_words(collector.horizon_deg)}"
    )
    return words if collector.pump_w else f"{words}, no pump"


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
    if heater.booster:
        parts.append(f"heats with up to {heater.booster.heat_w / 1000.0:.0f} kW")
    if heater.boost_element_w:
        parts.append("two elements")
    if heater.collector is not None:
        parts.append(_collector(heater.collector))
    parts += [f"{age_years:g} years old", heater.control.text(heater.kind)]
    return ", ".join(parts)


def _new_panels(home: Home) -> list[str]:
    """New panels to weigh, where the case tells of them."""
    offer = home.panel_offer
    if offer is None or not home.case.more_panels.model_fields_set:
        return []
    currency = home.case.wishes.currency
    sizes = ", ".join(f"{a.kw:g} kW at {a.installed_price:,.0f} {currency}" for a in offer.arrays)
    limit_kw = offer.export_limit_kw
    limit = "no export limit" if limit_kw is None else f"export at most {limit_kw:g} kW"
    return [f"{sizes}, before certificates", f"{limit} once they are there"]


def _panels(home: Home) -> str:
    words = panels_words(home.case.electricity)
    if not home.pv_w.any():
        return words
    return f"{words}; {_year_kwh(home, home.pv_w)} a year"
