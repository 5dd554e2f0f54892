"""The order of the case form: that of the conversation with a household.

Every field of the case belongs to exactly one section. A section asks first what nearly
always matters; the rest of its fields stands folded away below, in the case's own order.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Section:
    """``owns`` are fields and tables (less what another section owns or asks in them), ``asks``
    those shown at once."""

    id: str
    title: str
    about: str
    owns: tuple[str, ...]
    asks: tuple[str, ...]


SECTIONS = (
    Section(
        "home",
        "Home and people",
        "Where the home is, who lives there and when they shower.",
        ("name", "place", "people"),
        ("name", "place.postcode", "people.count", "people.habits", "people.vulnerable"),
    ),
    Section(
        "heater",
        "Today's heater",
        "What heats the water now. Its plate tells age and litres.",
        ("heater",),
        ("heater.kind", "heater.age_years", "heater.tank_l", "heater.control", "heater.hours"),
    ),
    Section(
        "bills",
        "Bills and meter",
        "Prices as on the bills, with tax: 0.33, or 33c.",
        ("electricity", "gas"),
        (
            "electricity.bills",
            "electricity.meter_file",
            "electricity.annual_use_kwh",
            "electricity.usage_price_per_kwh",
            "electricity.feed_in_price_per_kwh",
            "electricity.off_peak_price_per_kwh",
            "electricity.off_peak_circuit",
            "electricity.tariff",
            "gas.connected",
            "gas.tariff",
        ),
    ),
    Section(
        "sun",
        "Sun and roof",
        "Panels, what may be exported, a battery, and the roof for collectors.",
        (
            "electricity.arrays",
            "electricity.inverter_kw",
            "electricity.export_limit_kw",
            "electricity.export_limits",
            "electricity.battery",
            "more_panels",
            "roof",
        ),
        (
            "electricity.arrays",
            "electricity.inverter_kw",
            "electricity.export_limit_kw",
            "electricity.battery",
        ),
    ),
    Section(
        "quotes",
        "Quotes",
        "What installers offered. What is left open takes a usual value, marked as assumed.",
        ("quotes",),
        ("quotes",),
    ),
    Section(
        "wishes",
        "Wishes",
        "How money is weighed and what is ruled out.",
        ("wishes", "constraints", "as_of", "simulation"),
        (
            "wishes.horizon_years",
            "constraints.no_heat_pump",
            "constraints.no_roof_work",
            "constraints.no_gas",
            "constraints.keep_gas",
            "constraints.quiet_hours",
        ),
    ),
)

FIRST_PANELS = "electricity.arrays[1].kw"
FIRST_ANSWERS = {
    "place.postcode": "Postcode",
    "people.count": "People in the home",
    "heater.kind": "What heats the water today",
    "heater.age_years": "How old is it",
    FIRST_PANELS: "Solar panels",
}
"""Five answers that make a useful start, and how they are asked."""

FILE_FIELDS = ("electricity.meter_file", "place.weather_file")
"""Fields that name a file kept with the case."""
