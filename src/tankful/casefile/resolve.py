"""Fill in a case: every open value gets a number, and every number a source."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date

from pydantic import BaseModel

from tankful.casefile.bills import Surroundings, calibrate
from tankful.casefile.equipment import all_equipment
from tankful.casefile.estimates import take_estimates, unclaimed_note, unused_note
from tankful.casefile.filling import Filling
from tankful.casefile.heaters import heater_today
from tankful.casefile.household import HouseUse, car_w, draws_of, house_use_of
from tankful.casefile.load import LoadedCase
from tankful.casefile.new_panels import panel_offer
from tankful.casefile.state_notes import state_notes
from tankful.casefile.supply import electricity_tariff_of, gas_of, off_peak_circuit_of
from tankful.casefile.surroundings import (
    clock_of,
    collectors_of,
    direct_panels_w,
    place_of,
    place_text,
    site_of,
    weather_of,
)
from tankful.clock import FloatArray
from tankful.data.store import cite
from tankful.errors import CaseError, Fault
from tankful.marked import Marked, marks_of
from tankful.model.case import ELECTRIC_INLINE, HAS_ELEMENT
from tankful.model.fields import field_row
from tankful.model.home import Home
from tankful.model.result import Assumption

FURTHER_QUOTE = re.compile(r"-\d+]")
"""Ends the name of equipment that is not the first quoted of its kind."""

HeaterSeries = Callable[[Home], FloatArray]
"""Models today's heater of a home: its electricity on the general circuit [W]."""

ELECTRIC = HAS_ELEMENT | ELECTRIC_INLINE
ELECTRIC_ONLY = ("heater.element_kw", "heater.control", "heater.in_meter_general")
"""Fields that say nothing about other heaters."""

WEIGHT = (
    "electricity.tariff",
    "gas.tariff",
    "people.count",
    "people.hot_litres_per_person_per_day",
    "electricity.annual_use_kwh",
    "electricity.arrays",
    "heater.kind",
    "heater.age_years",
    "quotes[heat_pump].rating_cop",
    "quotes[heat_pump].installed_price",
    "quotes[solar_flat].installed_price",
    "wishes.discount_rate_real",
    "wishes.horizon_years",
    "quotes[electric_storage].installed_price",
    "quotes[diverter].installed_price",
    "gas.leaving_cost",
    "gas.connected",
    "more_panels.price_per_kw",
    "place.cold_water_c",
    "place.weather_file",
    "electricity.meter_file",
    "wishes",
    "people",
    "heater",
    "electricity",
)
"""Where assumptions stand in a list: those that usually weigh most first (judgement)."""


def resolve(loaded: LoadedCase, heater_series: HeaterSeries | None = None) -> Home:
    """The complete home of a sound case.

    ``heater_series`` models today's electric heater, to be taken out of a meter file that
    holds it; without it such a heater stays in the house load, and a note says so. Raises
    CaseError with every default that is not known here, PlaceError for an unknown place,
    FileError for an unfit weather or meter file.
    """
    filling = Filling(loaded, notes=[warning_text(fault) for fault in loaded.warnings])
    home, use = _first_home(filling)
    if use.again is not None and heater_series is not None:
        use = use.again(heater_series(home))
    elif use.again is not None:
        filling.notes.append("Today's electric water heater is still inside the house load.")
    return replace(
        home,
        house_w=use.house_w + car_w(home.case.electricity.car, home.clock),
        assumptions=tuple(filling.assumptions),
        notes=(*filling.notes, *use.notes),
    )


def warning_text(fault: Fault) -> str:
    """A doubt as a note of the answer, with its marks."""
    mend = f"; {marks_of(fault.mend)}" if fault.mend else ""
    return Marked(f"`{fault.field}`: {marks_of(fault.problem)}{mend}.", fault.field)


def _first_home(filling: Filling) -> tuple[Home, HouseUse]:
    """The home with a metered water heater still inside its load, and how that was made."""
    case = filling.case
    as_of = case.as_of or date.today()
    if case.as_of is None:
        filling.work_out("as_of", as_of.isoformat(), "", "today")
    weather = weather_of(filling)
    place = filling.in_place(lambda: place_of(filling, weather))
    tariff = filling.attempt(lambda: electricity_tariff_of(filling, place).on(as_of))
    gas = filling.attempt(lambda: gas_of(filling, place))
    heater = filling.attempt(lambda: heater_today(filling, tariff, southern=place.southern))
    equipment = filling.attempt(lambda: all_equipment(filling, southern=place.southern))
    if tariff is None or gas is None or heater is None or equipment is None:
        raise CaseError("The case needs more before a year can be simulated.", filling.faults)
    clock = clock_of(filling, place, as_of)
    collectors = collectors_of(heater, equipment)
    site = filling.in_place(lambda: site_of(filling, place, clock, weather, collectors))
    inside = (
        heater.kind in ELECTRIC and heater.circuit == "general" and case.heater.in_meter_general
    )
    use = house_use_of(filling, clock, place, site.pv_w, heater_inside=inside)
    around = Surroundings.of(clock, site.temp_air_c, site.cold_water_c, southern=place.southern)
    found = calibrate(case, heater, around, use.off_peak)
    filling.notes += state_notes(place.state, heater)
    filling.notes += unclaimed_note(heater, use.off_peak)
    if found is None:
        filling.notes += unused_note(case, heater)
    else:
        case, heater = take_estimates(filling, case, heater, found)
    home = Home(
        case=case,
        as_of=as_of,
        place=place,
        clock=clock,
        temp_air_c=site.temp_air_c,
        wet_bulb_c=site.wet_bulb_c,
        cold_water_c=site.cold_water_c,
        house_w=use.house_w,
        pv_w=site.pv_w,
        direct_pv_w=direct_panels_w(filling, place, clock, weather),
        absorbed_w_per_m2=dict(zip(collectors, site.absorbed_w_per_m2, strict=True)),
        draws=draws_of(filling, clock, place, case.people),
        electricity_tariff=tariff,
        gas_tariff=gas.tariff,
        gas_connected=gas.connected,
        gas_leaving_cost=gas.leaving_cost,
        off_peak_circuit=off_peak_circuit_of(filling, tariff),
        heater_today=heater,
        heater_age_years=case.heater.age_years,
        equipment=equipment,
        assumptions=(),
        place_text=place_text(place),
        weather_text=site.weather_text,
        load_text=use.text,
        calibration=found,
        panel_offer=panel_offer(filling, place, clock, weather),
    )
    return home, use


def list_defaults(loaded: LoadedCase, home: Home) -> tuple[Assumption, ...]:
    """Everything the case did not give: field defaults with their source, and what was
    filled in; those that usually weigh most come first."""
    declared = _field_defaults(loaded.case, loaded.case.wishes.currency)
    found = {item.path: item for item in (*declared, *home.assumptions)}
    if home.place.country != "AU":
        found.pop("wishes.certificate_price", None)
    if loaded.case.heater.kind not in ELECTRIC:
        for name in ELECTRIC_ONLY:
            found.pop(name, None)
    if home.panel_offer is None:
        found = {path: item for path, item in found.items() if not path.startswith("more_panels")}
    return tuple(sorted(found.values(), key=lambda item: _weight(item.path)))


def _weight(path: str) -> int:
    path = FURTHER_QUOTE.sub("]", path)
    matches = [i for i, start in enumerate(WEIGHT) if path.startswith(start)]
    return matches[0] if matches else len(WEIGHT)


def _field_defaults(table: BaseModel, currency: str, path: str = "") -> Iterator[Assumption]:
    """Declared defaults with a source that ``table`` and the tables in it rest on."""
    for name, info in type(table).model_fields.items():
        value = getattr(table, name)
        below = f"{path}{name}"
        row = field_row(below, info)
        if name not in table.model_fields_set and row.source:
            unit = row.unit.replace("money", currency)
            yield Assumption(below, value if value != () else "none", unit, cite(row.source))
        elif isinstance(value, BaseModel):
            yield from _field_defaults(value, currency, f"{below}.")
        elif isinstance(value, tuple):
            for i, entry in enumerate(value, start=1):
                if isinstance(entry, BaseModel):
                    yield from _field_defaults(entry, currency, f"{below}[{i}].")
