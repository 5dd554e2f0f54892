"""What surrounds the home: its place, the year's clock, weather, cold water and roof."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from tankful.casefile.defaults import equipment_values
from tankful.casefile.filling import Filling
from tankful.clock import FloatArray, YearClock, year_clock
from tankful.model.case import PvArray
from tankful.model.home import Equipment
from tankful.model.system import Collector, WaterHeater
from tankful.physics.pv import resistance_power_w
from tankful.site.collector_sun import CollectorSpec
from tankful.site.place import Place, find_place, place_abroad
from tankful.site.points import climate_point
from tankful.site.sun_power import ArraySpec
from tankful.site.weather import Weather
from tankful.site.weather_file import read_weather_file
from tankful.site.year import SiteYear, site_year

PANELS_PER_INVERTER = 1.2
"""Panel power over inverter rating where the inverter is not given (common practice)."""


def weather_of(filling: Filling) -> Weather | None:
    """The case's own weather file; ``None`` for the built-in typical year. FileError if unfit."""
    name = filling.case.place.weather_file
    return None if name is None else read_weather_file(filling.beside(name))


def place_of(filling: Filling, weather: Weather | None) -> Place:
    """The home's place, by postcode or by coordinates. PlaceError when it is not known."""
    given = filling.case.place
    if given.postcode is not None:
        return find_place(
            given.postcode,
            latitude=given.latitude,
            longitude=given.longitude,
            elevation_m=given.elevation_m,
        )
    assert given.latitude is not None
    assert given.longitude is not None
    assert given.time_zone is not None
    assert weather is not None  # the case's own rule: without a postcode all four are given
    elevation_m = given.elevation_m
    if elevation_m is None:
        elevation_m = weather.elevation_m
        how = "height of the weather file's station"
        filling.work_out("place.elevation_m", round(elevation_m), "m", how)
    return place_abroad(
        given.latitude,
        given.longitude,
        given.time_zone,
        country=given.country,
        elevation_m=elevation_m,
    )


def clock_of(filling: Filling, place: Place, as_of: date) -> YearClock:
    """The simulated year on the clock of the place; by default the year after the advice."""
    given = filling.case.simulation
    year = given.year
    if year is None:
        year = as_of.year + 1
        filling.work_out("simulation.year", year, "", "the year after the day of the advice")
    zone = filling.case.place.time_zone or place.tz
    return year_clock(year, zone, given.step_min, place.country, place.state)


def collectors_of(today: WaterHeater, equipment: dict[str, Equipment]) -> tuple[Collector, ...]:
    """Every collector of the home's heaters, each once."""
    heaters = [today, *(part.heater for part in equipment.values())]
    found = [heater.collector for heater in heaters if heater and heater.collector]
    return tuple(dict.fromkeys(found))


def site_of(
    filling: Filling,
    place: Place,
    clock: YearClock,
    weather: Weather | None,
    collectors: Sequence[Collector],
) -> SiteYear:
    """Weather, cold water and panel power of the year. PlaceError without a climate point."""
    case = filling.case
    power = case.electricity
    inverter_kw = power.inverter_kw
    if inverter_kw is None and power.arrays:
        panels_kw = sum(array.kw for array in power.arrays)
        inverter_kw = max(0.01, round(panels_kw / PANELS_PER_INVERTER, 2))
        how = f"panel power divided by {PANELS_PER_INVERTER:g}"
        filling.assume("electricity.inverter_kw", inverter_kw, "kW", "common-practice", how)
    arrays = [_array(filling, place, i, array) for i, array in enumerate(power.arrays, start=1)]
    site = site_year(
        place,
        clock,
        arrays,
        None if inverter_kw is None else inverter_kw * 1000.0,
        weather=weather,
        cold_water_c=case.place.cold_water_c,
        collectors=[
            CollectorSpec(
                c.tilt_deg, c.azimuth_deg, c.eta0, c.iam_b0, c.iam_transversal_50, c.horizon_deg
            )
            for c in collectors
        ],
    )
    if weather is None:
        how = f"no weather file is given; {site.weather_text}"
        filling.assume("place.weather_file", "typical year", "", "cligen-au", how)
    if case.place.cold_water_c is None:
        mean_c = round(float(site.cold_water_c.mean()), 1)
        how = f"mean of the year; {site.cold_water_text}"
        filling.assume("place.cold_water_c", mean_c, "degC", _cold_water_source(place), how)
    filling.notes += site.notes
    return site


def direct_panels_w(
    filling: Filling, place: Place, clock: YearClock, weather: Weather | None
) -> FloatArray:
    """Power of the panels that the option with panels of its own would have [W]."""
    value = equipment_values("dedicated_panels")["panels_kw"]
    path = "quotes[dedicated_panels].panels_kw"
    how = "without a controller: away from the light they are matched to, they give less"
    filling.assume(path, value.number, "kW", value.source_id, how)
    roof = filling.case.roof
    azimuth_deg = roof.azimuth_deg
    if azimuth_deg is None:
        azimuth_deg = place.equator_azimuth_deg
    array = ArraySpec(value.number, roof.tilt_deg, azimuth_deg, horizon_deg=roof.horizon_deg or ())
    best_w = site_year(place, clock, [array], None, weather=weather).pv_w
    return resistance_power_w(best_w, rated_w=value.number * 1000.0)


def _array(filling: Filling, place: Place, number: int, array: PvArray) -> ArraySpec:
    azimuth_deg = array.azimuth_deg
    if azimuth_deg is None:
        azimuth_deg = place.equator_azimuth_deg
        path = f"electricity.arrays[{number}].azimuth_deg"
        filling.assume(path, azimuth_deg, "degrees", "judgement", "facing the equator")
    return ArraySpec(
        array.kw,
        array.tilt_deg,
        azimuth_deg,
        array.loss_fraction,
        array.shading or (),
        array.horizon_deg or (),
    )


def _cold_water_source(place: Place) -> str:
    if place.cold_water_zone is None:
        return "burch-christensen-2007"
    return "cold-water-zone-5" if place.cold_water_zone == 5 else "cold-water-zones"


def place_text(place: Place) -> str:
    """Place and climate point in one line."""
    if place.postcode:
        head = f"Postcode {place.postcode}, {place.state} (around {place.name})"
    else:
        head = f"{place.name} ({place.country})"
    if not place.climate_point:
        return head
    point = climate_point(place.climate_point)
    return f"{head}; climate point {point.name}, {place.climate_distance_km:.0f} km away"
