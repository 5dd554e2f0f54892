"""Rules of what shares the home's sun: battery, car, export limits and the roof."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from tankful.casefile.mends import ADD_PANELS
from tankful.casefile.rule import Rule, rule
from tankful.casefile.rules_supply import hidden_windows
from tankful.errors import Fault
from tankful.model.case import Case
from tankful.model.window import mean_hours_a_day

MOST_CAR_KW = 22.0
"""Three phases of 32 A, the most a home charger gives (from memory)."""

HIGH_HORIZON_DEG = 45.0
"""In the mean all round; a higher one leaves less than half of the sky's light (judgement)."""

AWAY_DEG = 45.0
"""Within this angle of the pole a sloping roof faces away from the sun."""


@rule("electricity.car")
def car_charges_in_its_hours(case: Case, folder: Path) -> Iterator[Fault]:
    car = case.electricity.car
    if car is None:
        return
    hours = mean_hours_a_day(car.hours)
    if car.kwh_per_day > MOST_CAR_KW * hours:
        yield Fault(
            "electricity.car.kwh_per_day",
            f"takes {car.kwh_per_day / hours:.0f} kW in the {hours:.1f} hours a day given",
            f"{car.kwh_per_day:g}",
            f"at most {MOST_CAR_KW:g} kW, which is {MOST_CAR_KW * hours:.0f} kWh in those hours",
            "give more hours, or less for an average day",
        )


@rule("electricity.car", "electricity.meter_file", "electricity.bills")
def car_is_counted_once(case: Case, folder: Path) -> Iterator[Fault]:
    power = case.electricity
    if power.car is not None and (power.meter_file is not None or power.bills):
        source = "the meter file" if power.meter_file is not None else "the bills"
        may = "may hold it already"
        yield Fault(
            "electricity.car",
            f"comes on top of {source}, which {may}",
            mend="`remove the section|leave it empty` if the car was charged at home in those days",
        )


@rule("electricity.battery", "electricity.bills")
def bills_are_from_before_the_battery(case: Case, folder: Path) -> Iterator[Fault]:
    power = case.electricity
    if power.battery is not None and power.bills:
        yield Fault(
            "electricity.bills",
            "taken to be from before the battery; with it the house uses more than they tell",
            mend="better give a meter file or the yearly use if the battery was there already",
        )


@rule("electricity.arrays", "electricity.battery")
def battery_has_something_to_store(case: Case, folder: Path) -> Iterator[Fault]:
    power = case.electricity
    if power.battery is not None and not power.arrays:
        yield Fault(
            "electricity.battery",
            "is charged by spare sun only, and there are no panels",
            mend=f"{ADD_PANELS}, or remove the battery",
        )


@rule("electricity.export_limits", "electricity.arrays")
def every_export_limit_applies(case: Case, folder: Path) -> Iterator[Fault]:
    power = case.electricity
    if power.export_limits and not power.arrays:
        yield Fault(
            "electricity.export_limits",
            "given, but there are no panels",
            mend=f"{ADD_PANELS}, or remove them",
        )
    for number, hidden in enumerate(hidden_windows(power.export_limits), start=1):
        if hidden:
            yield Fault(
                f"electricity.export_limits[{number}]",
                "never applies: the entries before it take all its hours",
                mend="put the entries with few hours first",
            )


@rule("electricity.arrays")
def shade_leaves_some_sun(case: Case, folder: Path) -> Iterator[Fault]:
    for number, array in enumerate(case.electricity.arrays, start=1):
        if array.shading and min(array.shading) > 0.5:
            yield Fault(
                f"electricity.arrays[{number}].shading",
                "more than half the light is lost in every month",
                mend="give the share lost, not the share left: 0.1 for a tenth in shade",
            )


@rule("electricity.arrays", "roof.horizon_deg")
def horizon_leaves_some_sun(case: Case, folder: Path) -> Iterator[Fault]:
    arrays = enumerate(case.electricity.arrays, start=1)
    given = [(f"electricity.arrays[{i}]", array.horizon_deg) for i, array in arrays]
    for path, horizon_deg in [*given, ("roof", case.roof.horizon_deg)]:
        if horizon_deg and sum(horizon_deg) / len(horizon_deg) > HIGH_HORIZON_DEG:
            yield Fault(
                f"{path}.horizon_deg",
                "the horizon stands higher than half way to the zenith in the mean",
                mend="give the height above the level, 0 for an open view",
            )


@rule("roof", "place.latitude", "place.country")
def roof_faces_the_sun(case: Case, folder: Path) -> Iterator[Fault]:
    roof = case.roof
    if roof.azimuth_deg is None or roof.tilt_deg < 10:
        return
    south = case.place.latitude is None or case.place.latitude < 0
    away_deg = 180.0 if south else 0.0
    if abs((roof.azimuth_deg - away_deg + 180.0) % 360.0 - 180.0) < AWAY_DEG:
        yield Fault(
            "roof.azimuth_deg",
            "collectors on this roof would face away from the sun",
            f"{roof.azimuth_deg:g}",
            mend="north is 0, east 90, south 180, west 270",
        )


@rule("more_panels", "constraints.no_roof_work")
def new_panels_may_go_on_the_roof(case: Case, folder: Path) -> Iterator[Fault]:
    if case.constraints.no_roof_work and case.more_panels.model_fields_set:
        yield Fault(
            "more_panels",
            "given, but `constraints.no_roof_work` rules new panels out",
            mend="take one of the two out` of the case|`",
        )


POWER_RULES: tuple[Rule, ...] = (car_charges_in_its_hours,)
POWER_WARNINGS: tuple[Rule, ...] = (
    car_is_counted_once,
    bills_are_from_before_the_battery,
    battery_has_something_to_store,
    every_export_limit_applies,
    shade_leaves_some_sun,
    horizon_leaves_some_sun,
    roof_faces_the_sun,
    new_panels_may_go_on_the_roof,
)
