"""Short names of inputs for people, where the sentence of the field table is long.

The sentence itself stands behind the input, on demand. ``[]`` is any row of a list.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

LABELS: Mapping[str, str] = {
    "place.postcode": "Postcode",
    "place.country": "Country",
    "place.latitude": "Latitude",
    "place.longitude": "Longitude",
    "place.time_zone": "Time zone",
    "place.weather_file": "Weather file",
    "place.cold_water_c": "Cold water by month",
    "people.count": "People in the home",
    "people.habits": "Most showers are taken",
    "people.vulnerable": "Someone at risk of scalds",
    "people.hot_litres_per_person_per_day": "Hot water for each person",
    "people.pattern": "When hot water is drawn",
    "people.season": "More hot water in winter",
    "people.seed": "Start of the random draws",
    "heater.kind": "Today's water heater",
    "heater.age_years": "Age of the heater",
    "heater.control": "The element may run",
    "heater.hours": "Hours in which it may run",
    "heater.element_kw": "Electric element",
    "heater.efficiency": "Efficiency of the gas burner",
    "heater.two_elements": "Second element high up",
    "heater.circulation": "Collectors driven by",
    "heater.backup_element": "Element of a heat pump helps",
    "heater.indoors": "The tank stands inside",
    "heater.in_meter_general": "Counted in meter file or bills",
    "electricity.annual_use_kwh": "Yearly use less hot water",
    "electricity.meter_file": "Meter file",
    "electricity.usage_price_per_kwh": "Price from the grid",
    "electricity.feed_in_price_per_kwh": "Paid for exports",
    "electricity.off_peak_price_per_kwh": "Price on the off-peak circuit",
    "electricity.off_peak_circuit": "Off-peak circuit",
    "electricity.metering": "Metering of three phases",
    "electricity.bills[].first": "First day of the bill",
    "electricity.bills[].last": "Last day of the bill",
    "electricity.bills[].kwh": "Bought from the grid",
    "electricity.off_peak_bills[].first": "First day of the bill",
    "electricity.off_peak_bills[].last": "Last day of the bill",
    "electricity.off_peak_bills[].kwh": "Used on the off-peak circuit",
    "electricity.tariff.usage[].start": "From",
    "electricity.tariff.usage[].end": "Until",
    "electricity.tariff.usage[].days": "Days",
    "electricity.tariff.usage[].months": "Months",
    "electricity.tariff.usage[].name": "Name on the bill",
    "electricity.tariff.usage[].price_per_kwh": "Price",
    "electricity.tariff.usage[].blocks[].up_to_kwh_per_day": "Block ends at",
    "electricity.tariff.controlled_load.hours": "Hours that it is on",
    "electricity.tariff.feed_in[].start": "From",
    "electricity.tariff.feed_in[].end": "Until",
    "electricity.tariff.feed_in[].days": "Days",
    "electricity.tariff.feed_in[].months": "Months",
    "electricity.tariff.feed_in[].price_per_kwh": "Paid",
    "electricity.tariff.feed_in[].tiers[].up_to_kwh_per_day": "Tier ends at",
    "electricity.tariff.feed_in[].until": "Last day of the contract",
    "electricity.tariff.feed_in[].price_after_per_kwh": "Paid after that day",
    "electricity.tariff.free_window.start": "From",
    "electricity.tariff.free_window.end": "Until",
    "electricity.tariff.free_window.days": "Days",
    "electricity.tariff.free_window.months": "Months",
    "electricity.tariff.demand[].start": "From",
    "electricity.tariff.demand[].end": "Until",
    "electricity.tariff.demand[].days": "Days",
    "electricity.tariff.demand[].months": "Months",
    "electricity.export_limits[].start": "From",
    "electricity.export_limits[].end": "Until",
    "electricity.export_limits[].days": "Days",
    "electricity.export_limits[].months": "Months",
    "electricity.export_limits[].kw": "Most to the grid then",
    "electricity.arrays[].azimuth_deg": "Direction faced",
    "electricity.arrays[].shading": "Lost to shade by month",
    "electricity.arrays[].horizon_deg": "Height of the horizon",
    "electricity.arrays[].loss_fraction": "Other losses",
    "electricity.inverter_kw": "Inverter rating",
    "electricity.export_limit_kw": "Export limit",
    "electricity.battery.capacity_kwh": "Usable capacity when new",
    "electricity.battery.round_trip_efficiency": "Energy out over energy in",
    "gas.connected": "The home has gas",
    "gas.price_per_mj": "Price of gas",
    "gas.other_use_mj": "Gas for cooking and heating",
    "gas.leaving_cost": "Charge for leaving the network",
    "gas.tariff.blocks[].up_to_mj_per_day": "Block ends at",
    "gas.bills[].mj": "Gas used, where billed in MJ",
    "gas.bills[].kwh": "Gas used, where billed in kWh",
    "gas.bills[].first": "First day of the bill",
    "gas.bills[].last": "Last day of the bill",
    "more_panels.sizes_kw": "Sizes to try",
    "more_panels.azimuth_deg": "Direction faced",
    "more_panels.inverter_kw": "Rating of their inverter",
    "more_panels.export_limit_kw": "Export limit with them",
    "more_panels.installed_price": "Quoted price of the one size",
    "more_panels.fixed_price": "Price whatever the size",
    "more_panels.price_per_kw": "Price for each kW",
    "roof.azimuth_deg": "Direction faced",
    "roof.horizon_deg": "Height of the horizon",
    "quotes[].family": "What the quote is for",
    "quotes[].label": "Name of the quote",
    "quotes[].installed_price": "Price before certificates",
    "quotes[].includes_wiring": "Price holds the wiring",
    "quotes[].certificates": "Certificates",
    "quotes[].cop": "Heat per unit of electricity (COP)",
    "quotes[].cop_air_c": "Air in that test",
    "quotes[].cop_wet_bulb_c": "Wet bulb in that test",
    "quotes[].cop_water_from_c": "Water when that test began",
    "quotes[].cop_water_to_c": "Water when it ended",
    "quotes[].heat_kw": "Heating power",
    "quotes[].grade": "Class, if figures are not known",
    "quotes[].cop_model": "Curve of the COP",
    "quotes[].variable_speed": "Power can follow spare sun",
    "quotes[].backup_element": "Its element helps",
    "quotes[].two_elements": "Second element high up",
    "quotes[].element_kw": "Electric element",
    "quotes[].collector_m2": "Area",
    "quotes[].collector_eta0": "Efficiency without loss (eta0)",
    "quotes[].collector_a1": "Linear heat loss (a1)",
    "quotes[].collector_a2": "Quadratic heat loss (a2)",
    "quotes[].circulation": "Driven by",
    "quotes[].frost_protection": "Against frost",
    "wishes.discount_rate_real": "Interest above inflation",
    "wishes.electricity_growth_real": "Electricity grows yearly by",
    "wishes.feed_in_growth_real": "Export payment grows yearly by",
    "wishes.gas_growth_real": "Gas grows yearly by",
    "wishes.certificate_price": "Paid for one certificate",
    "wishes.cold_shower_cost": "Worth of a warm shower",
    "wishes.tie_margin": "A tie is within",
    "constraints.no_heat_pump": "No heat pump outside",
    "constraints.no_roof_work": "No work on the roof",
    "constraints.no_gas": "No gas",
    "constraints.keep_gas": "Gas stays for other uses",
    "constraints.quiet_hours": "Quiet hours for a heat pump",
    "constraints.neighbour_near": "A bedroom next door is near",
    "constraints.largest_tank_l": "Largest tank",
    "constraints.weak_supply": "Weak electricity supply",
    "as_of": "Day of the advice",
}

OF_FILES: Mapping[str, str] = {
    "weather_file": "Weather file",
    "meter_file": "Meter file",
    "postcode": "Postcode",
    "ghi": "Sun on level ground",
    "dni": "Sun straight on",
    "dhi": "Sun from the sky and clouds",
    "temp_air_c": "Air temperature",
    "dew_point_c": "Dew point",
    "wind_speed_m_s": "Wind",
    "latitude": "Latitude",
    "longitude": "Longitude",
    "elevation_m": "Height above sea",
    "utc_offset_h": "Hours ahead of universal time",
}
"""Columns and headings of files of weather and readings, and what stands for a file."""

LISTS: Mapping[str, tuple[str, str]] = {
    "electricity.tariff.usage": ("Usage prices", "usage price"),
    "electricity.tariff.usage[].blocks": ("Prices by amount used", "block"),
    "electricity.tariff.feed_in": ("Payment for exports", "payment for exports"),
    "electricity.tariff.feed_in[].tiers": ("Payment by amount exported", "tier"),
    "electricity.tariff.demand": ("Demand charges", "demand charge"),
    "electricity.bills": ("Electricity bills", "electricity bill"),
    "electricity.off_peak_bills": ("Bills of the off-peak circuit", "off-peak bill"),
    "electricity.export_limits": ("Export limits by hour", "export limit"),
    "electricity.arrays": ("Solar panels on the roof", "solar panels"),
    "gas.tariff.blocks": ("Usage prices by amount", "block"),
    "gas.bills": ("Gas bills", "gas bill"),
    "quotes": ("Quotes of installers", "quote"),
}
"""Names of lists, and of one of their rows."""

FOLDS: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "electricity.arrays[]": {"Shade and losses": ("shading", "horizon_deg", "loss_fraction")},
    "quotes[]": {
        "Life and upkeep": ("life_years", "maintenance_per_year"),
        "Figures of a heat pump": (
            "cop",
            "cop_air_c",
            "cop_wet_bulb_c",
            "cop_water_from_c",
            "cop_water_to_c",
            "heat_kw",
            "grade",
            "cop_model",
            "variable_speed",
            "backup_element",
        ),
        "Figures of an electric heater": ("two_elements", "element_kw"),
        "Figures of solar collectors": (
            "collector_m2",
            "collector_eta0",
            "collector_a1",
            "collector_a2",
            "circulation",
            "frost_protection",
        ),
    },
}
"""Fields of a row that few need, folded away under a title."""

CHOICES: Mapping[str, Mapping[str, str]] = {
    "habits": {
        "mixed": "at all times of day",
        "morning": "in the morning",
        "evening": "in the evening",
        "day": "during the day",
    },
    "pattern": {"household": "this household's, at random"},
    "control": {
        "always": "at any time",
        "hours": "in hours of its own",
        "off_peak": "on the off-peak circuit",
    },
    "circulation": {"pump": "a pump", "thermosiphon": "warm water that rises by itself"},
    "backup_element": {
        "cold_air": "in air too cold for the heat pump",
        "cold_tank": "also whenever the tank is cold",
        "none": "never: it has none",
    },
    "metering": {"net": "together", "each_phase": "each phase by itself"},
    "days": {
        "all": "every day",
        "weekday": "Monday to Friday",
        "weekend": "weekends and public holidays",
    },
    "grade": {"entry": "basic", "good": "good", "best": "the best"},
    "cop_model": {
        "lab_curve": "measured curve of small heat pumps",
        "carnot": "constant share of the ideal",
    },
    "frost_protection": {
        "circulate": "warm water is pumped round",
        "antifreeze": "the liquid cannot freeze",
    },
}
"""Choices of a field by its own name, where the word that a case file takes says too little."""

NOTHING_ASSUMED = (
    *("place.postcode", "heater.hours", "gas.bills[].mj", "gas.bills[].kwh"),
    *("electricity.tariff.source", "gas.tariff.source"),
    *("electricity.tariff.usage[].price_per_kwh", "electricity.tariff.feed_in[].price_per_kwh"),
)
"""Fields that stand for nothing where they are left open."""

SIGNS = {"degC": "°C", "degF": "°F", "m2": "m²", "K2": "K²"}
"""Units that a case file writes in letters."""


def named(path: str, about: str) -> tuple[str, str]:
    """An input's short name, and what else there is to say of it."""
    if path in LABELS:
        return LABELS[path], raised(about)
    label, _, remark = about.partition("; ")
    return raised(label), raised(remark)


def signs(words: str) -> str:
    """Words with units as people write them."""
    for letters, sign in SIGNS.items():
        words = words.replace(letters, sign)
    return words


def any_row(path: str) -> str:
    """A path with the numbers of its rows left out."""
    return re.sub(r"\[\d+\]", "[]", path)


def raised(words: str) -> str:
    return words[:1].upper() + words[1:]
