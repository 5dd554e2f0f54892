"""New panels that could be bought: sizes, prices and what they would make."""

from __future__ import annotations

from tankful.casefile.defaults import Value
from tankful.casefile.equipment import currency_rate, shipped_value
from tankful.casefile.filling import Filling
from tankful.casefile.surroundings import PANELS_PER_INVERTER
from tankful.clock import FloatArray, YearClock
from tankful.data.store import load_table
from tankful.model.home import NewArray, PanelOffer
from tankful.model.more_panels import MorePanels
from tankful.site.place import Place
from tankful.site.sun_power import ArraySpec
from tankful.site.weather import Weather
from tankful.site.year import site_year

PRICES = ("fixed_price", "price_per_kw", "maintenance_per_year")
"""Items of the shipped table that are Australian dollars with tax and fields of the case."""


def panel_offer(
    filling: Filling, place: Place, clock: YearClock, weather: Weather | None
) -> PanelOffer | None:
    """What new panels would cost and make; ``None`` where nothing may go on the roof."""
    if filling.case.constraints.no_roof_work:
        return None
    given, shipped = filling.case.more_panels, _Shipped(filling)
    sizes_kw = given.sizes_kw or _steps(shipped)
    fixed, per_kw = 0.0, 0.0
    if given.installed_price is None:
        fixed = shipped.number("fixed_price", given.fixed_price)
        per_kw = shipped.number("price_per_kw", given.price_per_kw)
    else:
        fixed = given.installed_price
    return PanelOffer(
        arrays=tuple(
            NewArray(
                kw=kw,
                inverter_kw=(inverter_kw := given.inverter_kw or kw / PANELS_PER_INVERTER),
                installed_price=fixed + per_kw * kw,
                inverter_price=shipped.inverter_price(inverter_kw),
            )
            for kw in sorted(set(sizes_kw))
        ),
        made_w_per_kw=_made_w_per_kw(filling, given, place, clock, weather),
        rebate=given.rebate,
        life_years=shipped.number("life_years", given.life_years),
        inverter_life_years=shipped.number("inverter_life_years", given.inverter_life_years),
        maintenance_per_year=shipped.number("maintenance_per_year", given.maintenance_per_year),
        export_limit_kw=_export_limit_kw(shipped, place),
    )


class _Shipped:
    """Shipped numbers of new panels, noted where the case does not give its own."""

    def __init__(self, filling: Filling) -> None:
        self.filling = filling
        self.values = {
            row["item"]: Value(float(row["value"]), row["unit"], row["source_id"])
            for row in load_table("new_panels")
        }
        self.rate = currency_rate(filling.case.wishes.currency)
        if filling.case.more_panels.inverter_price is None:
            words = f"{self._converted('inverter_fixed_price'):g} and "
            words += f"{self._converted('inverter_price_per_kw'):g} a kW"
            source_id = self.values["inverter_fixed_price"].source_id
            currency = filling.case.wishes.currency
            filling.assume("more_panels.inverter_price", words, currency, source_id)

    def number(self, item: str, given: float | None) -> float:
        """The given number, or the shipped one."""
        if given is not None:
            return given
        path, is_price = f"more_panels.{item}", item in PRICES
        return shipped_value(self.filling, path, self.values[item], self.rate, is_price=is_price)

    def inverter_price(self, inverter_kw: float) -> float:
        """Price of the next inverter."""
        given = self.filling.case.more_panels.inverter_price
        if given is not None:
            return given
        per_kw = self._converted("inverter_price_per_kw")
        return self._converted("inverter_fixed_price") + per_kw * inverter_kw

    def _converted(self, item: str) -> float:
        return round(self.values[item].number * self.rate.number, 2)


def _steps(shipped: _Shipped) -> tuple[float, ...]:
    """Sizes of every fourth panel up to the room there is, at least the room itself."""
    room_kw = shipped.number("room_kw", shipped.filling.case.more_panels.room_kw)
    step = shipped.values["step_kw"]
    count = int(room_kw / step.number)
    sizes_kw = tuple(round(step.number * n, 2) for n in range(1, min(count, 12) + 1)) or (room_kw,)
    words = " ".join(f"{kw:g}" for kw in sizes_kw)
    shipped.filling.assume("more_panels.sizes_kw", words, "kW", step.source_id)
    return sizes_kw


def _export_limit_kw(shipped: _Shipped, place: Place) -> float | None:
    """The home's own limit, or in Australia the usual one; never less than today's inverter may
    feed in without one."""
    case = shipped.filling.case
    given = case.more_panels.export_limit_kw
    today_kw = case.electricity.export_limit_kw
    if given is not None or today_kw is not None:
        return today_kw if given is None else given
    if place.country != "AU":
        return None
    power = case.electricity
    feeds_in_kw = power.inverter_kw or sum(array.kw for array in power.arrays)
    return max(shipped.number("export_limit_kw", None), feeds_in_kw)


def _made_w_per_kw(
    filling: Filling, given: MorePanels, place: Place, clock: YearClock, weather: Weather | None
) -> FloatArray:
    """What each kW of new panels makes [W]."""
    roof = filling.case.roof
    tilt_deg = roof.tilt_deg if given.tilt_deg is None else given.tilt_deg
    azimuth_deg = roof.azimuth_deg if given.azimuth_deg is None else given.azimuth_deg
    if azimuth_deg is None:
        azimuth_deg = place.equator_azimuth_deg
    array = ArraySpec(1.0, tilt_deg, azimuth_deg)
    return site_year(place, clock, [array], None, weather=weather).pv_w
